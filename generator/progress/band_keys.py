"""Which concert keys a section has played and which not, and what each chair reads for them: in words and drawn."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.progress.drawing import BLACK, HAIR, Box, Face, Line, Mark, Measure, Text, wrapped
from generator.progress.drawn_page import Frame, Heading, fitting, head, key_text, phrase_text
from generator.progress.report import CIRCLE, Play
from generator.theory.key import usual_name
from generator.theory.pitch import NoteName
from generator.theory.written_key import written_key

_ROW, _LABEL = 9.5, 66.0  # millimetres
_WORDS, _KEY, _SMALL = 9.5, 11.0, 8.5  # points
_SHADE = 0.87
_MOST_NAMED, _LINE = 2, 5.2


@dataclass(frozen=True, slots=True)
class KeyPlayed:
    """A concert key.

    Attributes:
        tonic: under its usual name.
        days: calendar days since anything in it was played, or None for never.
        listed: whether the list has anything in it so far.
    """

    tonic: NoteName
    days: int | None
    listed: bool


@dataclass(frozen=True, slots=True)
class Readers:
    """Chairs that read the same keys.

    Attributes:
        pitch: what a written C sounds.
        chairs: who they are.
        keys: what they read for each concert key, in major.
    """

    pitch: NoteName
    chairs: tuple[str, ...]
    keys: tuple[NoteName, ...]

    @property
    def words(self) -> str:
        """``in B-flat: 1st Clarinet, 2nd Clarinet and 7 more``."""
        more = len(self.chairs) - _MOST_NAMED
        names = ", ".join(self.chairs[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        return f"in {self.pitch.words}: {names}"


@dataclass(frozen=True, slots=True)
class BandKeys:
    """The twelve concert keys of a section.

    Attributes:
        keys: round the circle of fourths from C.
        readers: by what they read, in score order.
    """

    keys: tuple[KeyPlayed, ...]
    readers: tuple[Readers, ...]

    @property
    def unseen(self) -> tuple[KeyPlayed, ...]:
        """Those in which nothing was ever played."""
        return tuple(key for key in self.keys if key.days is None)


def band_keys(
    section: Section, plays: Sequence[Play], listed: Sequence[NoteName | None], today: dt.date
) -> BandKeys:
    """Count the keys of a section.

    Args:
        section: who plays.
        plays: the plays up to the day of the report, in concert keys.
        listed: the tonics of what is on the list now.
        today: the day of the report.
    """
    last: dict[int, dt.date] = {}
    for play in plays:
        if play.tonic is not None:
            place = play.tonic.pitch_class
            last[place] = max(play.day, last.get(place, play.day))
    here = {tonic.pitch_class for tonic in listed if tonic is not None}
    keys = tuple(
        KeyPlayed(usual_name(place, 0), (today - last[place]).days if place in last else None, place in here)
        for place in CIRCLE
    )
    return BandKeys(keys, tuple(_readers(section, [key.tonic for key in keys])))


def _readers(section: Section, tonics: Sequence[NoteName]) -> Iterator[Readers]:
    major = shared_catalogue().forms.find("major")
    chairs: dict[tuple[NoteName, tuple[NoteName, ...]], list[str]] = {}
    for chair in section.chairs:
        if not chair.unpitched:
            sounds = chair.player.instrument.sounds
            read = tuple(written_key(tonic, major, sounds) for tonic in tonics)
            chairs.setdefault((sounds.above_name(NoteName(0)), read), []).append(chair.name)
    for (pitch, read), names in chairs.items():
        yield Readers(pitch, tuple(dict.fromkeys(names)), read)


def key_lines(found: BandKeys) -> Iterator[str]:
    """What is to be said in words, a line each."""
    yield "Concert keys, days since anything was played in each; what the chairs read for them in major"
    width = max((len(reader.words) for reader in found.readers), default=0)
    width = min(max(width, len("concert")), 40)
    yield _line("concert", [key.tonic.name for key in found.keys], width)
    yield _line("days", ["-" if key.days is None else str(key.days) for key in found.keys], width)
    for reader in found.readers:
        yield _line(reader.words, [key.name for key in reader.keys], width)
    yield from unseen_words(found)


def _line(label: str, cells: Sequence[str], width: int) -> str:
    label = label if len(label) <= width else f"{label[: width - 3]}..."
    return f"  {label:<{width}}{''.join(f'{cell:>4}' for cell in cells)}"


def unseen_words(found: BandKeys) -> tuple[str, ...]:
    """Which keys the section has never played, and which of them join the list only later."""
    if not found.unseen:
        return ("every concert key has been played",)
    told = [f"not yet played: concert {_named(found.unseen)}"]
    later = [key for key in found.unseen if not key.listed]
    if later:
        every = len(later) == len(found.unseen)
        which = ("they are" if len(later) > 1 else "it is") if every else f"{_named(later)} {_are(later)}"
        told.append(f"{which} not on the list so far: a plan grows when what is on it has gone round")
    return tuple(told)


def _are(keys: Sequence[KeyPlayed]) -> str:
    return "is" if len(keys) == 1 else "are"


def _named(keys: Sequence[KeyPlayed]) -> str:
    words = [key.tonic.words for key in keys]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def keys_page(found: BandKeys, heading: Heading, frame: Frame, measure: Measure) -> list[Mark]:
    """A page with the concert keys, the days since each was played, and what the chairs read.

    Args:
        found: the keys.
        heading: at its top.
        frame: the part of the paper to draw on.
        measure: widths of words.
    """
    marks, y = head(frame, heading, measure)
    cell = (frame.width - _LABEL) / len(CIRCLE)
    y += 6
    rows: list[tuple[str, list[str], Face]] = [
        ("Concert key", [key_text(key.tonic) for key in found.keys], "bold")
    ]
    rows.append(("Days since last played", [_days(key) for key in found.keys], "regular"))
    rows += [(reader.words, [key_text(key) for key in reader.keys], "regular") for reader in found.readers]
    for number, (label, cells, face) in enumerate(rows):
        marks += fitting(phrase_text(label), frame.left, y + 6, _LABEL - 2, measure, size=_WORDS, face=face)
        for place, words in enumerate(cells):
            x = frame.left + _LABEL + place * cell
            if number < 2:
                shade = _SHADE if found.keys[place].days is None else None
                marks.append(Box(x, y, cell, _ROW, shade, HAIR))
            size = _SMALL if words == "never" else _KEY
            slant: Face = "italic" if words == "never" else face
            marks.append(Text(x + cell / 2, y + 6.2, words, size, slant, "center"))
        y += _ROW
        if number > 1:
            marks.append(Line(((frame.left, y), (frame.right, y)), HAIR, 0.6))
    y += 4
    for sentence in unseen_words(found):
        for line in wrapped(f"{sentence[:1].upper()}{sentence[1:]}.", frame.width, _WORDS, measure):
            y += _LINE
            marks.append(Text(frame.left, y, line, _WORDS, ink=BLACK))
    return marks


def _days(key: KeyPlayed) -> str:
    return "never" if key.days is None else str(key.days)
