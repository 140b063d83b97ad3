"""A required list for a whole section: every chair gets what the list asks of its instrument, or a draw common to all.

An instrument the list does not name takes the sheet of one that is read and fingered alike, and that is said; one that
has none is left out by name, and the others go on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.required_file import read_list
from generator.documents.required_list import RequiredItem, RequiredList, find_list, lists_folder
from generator.documents.section import Chair, Section
from generator.errors import DoesNotFitError, RequestError, clipped
from generator.exercise.build import Player
from generator.exercise.instrument import Instrument
from generator.exercise.one_line import on_one_line
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.phrase import expand
from generator.phrase.write import canonical
from generator.practice.required_sheet import note_words, singles_of, source_words, worn
from generator.section.playing_tests import AskedScale, piece_points
from generator.section.rehearsal import ChairPart, Rehearsal, shared_pages
from generator.section.turns import Turn, at_concert_pitch, in_clef

Asked = tuple[Request, RequiredItem]


@dataclass(frozen=True, slots=True)
class RequiredHandout:
    """A list, or a draw from it, for a section.

    Attributes:
        title: of the pages.
        note: where it was read, what else it says, and the warning.
        rehearsal: the page of every chair that has one.
        told: one line each: whose sheet somebody takes, what is left out, why there is no score.
    """

    title: str
    note: str
    rehearsal: Rehearsal
    told: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Listed:
    """What a list asks of those who share a page."""

    player: Player
    chairs: tuple[Chair, ...]
    singles: tuple[Asked, ...]

    @property
    def said(self) -> tuple[str, ...]:
        """Each exercise as the list asks for it, whatever span the instrument has."""
        return tuple(_said(single) for single, _ in self.singles)


def required_handout(
    name: str, section: Section, here: Path, draw: int = 0, chance: Random | None = None
) -> RequiredHandout:
    """What a list asks of each chair.

    Args:
        name: of a list, or the path of a file.
        section: who plays.
        here: the current folder.
        draw: how many exercises to draw, the same for all; 0 takes all, in the order of the list.
        chance: for the draw; without it nothing is drawn.

    Raises:
        RequestError: no such list, it is for none of the instruments, or it is shorter than the draw.
        BadFileError: the file has mistakes.
    """
    required = read_list(find_list(name, lists_folder(), here), shared_catalogue())
    listed, told = _of_all(required, section)
    if draw and chance is not None:
        listed = _drawn(listed, draw, chance, required)
    parts, together = _parts(listed)
    if not together and len(parts) > 1:
        told.append("the list asks each instrument for its own notes, so that bars do not line up: no score")
    turns = tuple(_turns(listed, parts))
    items = list(dict.fromkeys(item for one in listed for _, item in one.singles))
    words = [*note_words(required, items, drawn=bool(draw)), f"{', '.join(source_words(required, items))}."]
    return RequiredHandout(
        f"Mock draw: {required.title}" if draw else required.title,
        " ".join(f"{word[:1].upper()}{word[1:]}" for word in words),
        Rehearsal(tuple(parts), turns, together),
        tuple(told),
    )


def required_scales(
    name: str, section: Section, here: Path, draw: int, chance: Random
) -> tuple[str, str, list[AskedScale], tuple[str, ...]]:
    """The same for a playing test: each exercise of the list with what everybody reads of it.

    Args:
        name: of a list, or the path of a file.
        section: who is tested.
        here: the current folder.
        draw: how many exercises to draw; 0 takes all.
        chance: for the draw.

    Returns:
        The title of the list, what it says, its exercises, and what is to be said.

    Raises:
        RequestError: as `required_handout`.
    """
    pitched = replace(section, chairs=tuple(chair for chair in section.chairs if not chair.unpitched))
    if not pitched.chairs:  # drums alone have the rhythms of what a flute would play
        pitched = replace(section, chairs=(Chair("Flute", player_named("flute")),))
    made = required_handout(name, pitched, here, draw, chance if draw else None)
    players = frozenset(chair.player for chair in section.chairs) & {p.player for p in made.rehearsal.parts}
    scales = []
    for number, one in enumerate(made.rehearsal.turns):
        own = [part for part in made.rehearsal.parts if number < len(part.exercises)]
        pieces = tuple(
            (p.player, p.exercises[number], piece_points(p.exercises[number]))
            for p in own
            if p.player in players
        )
        scales.append(AskedScale(one.heading, one.read[0], pieces, players))
    told = tuple(line for line in made.told if not line.endswith(": no score"))
    return made.title, made.note, scales, told


def _of_all(required: RequiredList, section: Section) -> tuple[list[_Listed], list[str]]:
    """What it asks of each page, and what is to be said about that."""
    listed: list[_Listed] = []
    told: list[str] = []
    without: list[Chair] = []
    for player, chairs in shared_pages(section):
        stands_for = required.stands_for(player.instrument, shared_catalogue().instruments)
        try:
            items = required.items_for(stands_for)
        except DoesNotFitError:
            without += chairs
            continue
        singles, refused = singles_of(items, player, stands_for.name)
        told += _remarks(required, player.instrument, stands_for, _names(chairs))
        told += [f"left out for {_names(chairs)}: {reason}" for _, reason in refused]
        if singles:
            listed.append(_Listed(player, chairs, tuple(singles)))
    if without:
        whom = clipped(", ".join(required.named), 160)
        told.insert(0, f"left out, because the list is for {whom} alone: {_names(without, most=12)}")
    if not listed:
        raise DoesNotFitError("\n".join(dict.fromkeys(told)))
    return listed, told


def _remarks(required: RequiredList, instrument: Instrument, other: Instrument, names: str) -> Iterator[str]:
    if other != instrument:
        yield f"{names}: the list does not name the {instrument.name}; as for the {other.name}"
    elif required.named and instrument.name not in required.named:
        yield f"{names}: what the list asks of everyone; for some exercises it names other instruments"


def _names(chairs: Sequence[Chair], most: int = 3) -> str:
    names = list(dict.fromkeys(chair.name for chair in chairs))
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if names[most:] else "")


def _said(single: Request) -> str:
    return canonical(replace(single, span=Request(single.form).span, register="lowest octave", tempo=None))


def _drawn(listed: Sequence[_Listed], draw: int, chance: Random, required: RequiredList) -> list[_Listed]:
    """The same draw for all: by place where every list is equally long, else of what all have in common."""
    counts = {len(one.singles) for one in listed if not one.chairs[0].unpitched}
    by_place = len(counts) < 2
    pitched = [one for one in listed if not one.chairs[0].unpitched] or list(listed)
    first = pitched[0]
    shared = [
        place
        for place, said in enumerate(first.said)
        if by_place or all(said in other.said for other in pitched[1:])
    ]
    if draw > len(shared):
        common = " that all these instruments have" if not by_place else ""
        raise RequestError(f"{required.title} has {len(shared)} exercises{common}; {draw} cannot be drawn")
    drawn = chance.sample(shared, draw)
    places = sorted(drawn) if required.ordered else drawn
    # One articulation for all: who does not know it plays plain.
    strokes = [worn(*first.singles[place], chance).articulation for place in places]
    found: list[_Listed] = []
    for one in listed:
        where = [place if by_place else _place_of(first.said[place], one) for place in places]
        # A drummer has one rhythm where the others have a scale in every key.
        own = [one.singles[min(place, len(one.singles) - 1)] for place in where]
        asked = [
            (replace(single, articulation=stroke) if item.articulations else single, item)
            for (single, item), stroke in zip(own, strokes, strict=True)
        ]
        if one.chairs[0].unpitched:
            asked = list(dict.fromkeys(asked))
        found.append(replace(one, singles=tuple(asked)))
    return found


def _place_of(said: str, one: _Listed) -> int:
    return one.said.index(said) if said in one.said else 0


def _parts(listed: Sequence[_Listed]) -> tuple[list[ChairPart], bool]:
    """The page of each, and whether all sound the same notes in the same bars, so that a score makes sense."""
    made = {one.player: _part(one) for one in listed}
    pitched = [part for part in made.values() if not part.unpitched]
    together = _together(pitched)
    for part in made.values():
        if part.unpitched:
            lines = _along(part, pitched[0]) if together and pitched else _different(part.exercises)
            made[part.player] = replace(part, exercises=lines, heard=lines)
    return list(made.values()), together and bool(pitched)


def _along(drums: ChairPart, other: ChairPart) -> tuple[Exercise, ...]:
    """The rhythm of what the others play, exercise for exercise."""
    return tuple(
        on_one_line(e, drums.player, ", ".join(w for w in (e.concert_heading or e.head, e.details) if w))
        for e in other.exercises
    )


def _different(exercises: Sequence[Exercise]) -> tuple[Exercise, ...]:
    """Each rhythm once: keys make no difference to a drum."""
    found: dict[object, Exercise] = {}
    for exercise in exercises:
        found.setdefault(exercise.bars, exercise)
    return tuple(found.values())


def _part(one: _Listed) -> ChairPart:
    player, instrument = one.player, one.player.instrument
    read = tuple(_built(single, player) for single, _ in one.singles)
    heard = read
    if instrument.transposes:
        sounding = at_concert_pitch(player)
        heard = tuple(
            in_clef(_heard(single, sounding, own), instrument)
            for (single, _), own in zip(one.singles, read, strict=True)
        )
    return ChairPart(one.chairs, player, read, heard)


def _built(single: Request, player: Player) -> Exercise:
    try:
        return expand.build_single(single, player)
    except DoesNotFitError:
        # Strokes that the instrument does not have: the notes count.
        return expand.build_single(replace(single, articulation=None, articulation_down=None), player)


def _heard(single: Request, sounding: Player, read: Exercise) -> Exercise:
    if not single.concert:
        return read
    try:
        return _built(single, sounding)
    except DoesNotFitError:
        return read


def _together(parts: Sequence[ChairPart]) -> bool:
    if len({len(part.exercises) for part in parts}) > 1:
        return False
    return all(
        len({_heard_when(*one) for one in zip(same, parts, strict=True)}) == 1
        for same in zip(*(part.exercises for part in parts), strict=True)
    )


def _heard_when(exercise: Exercise, part: ChairPart) -> tuple[object, ...]:
    """Bars with lengths and rests, and the pitch classes that are heard."""
    bars = tuple(tuple((note.length, note.pitch is None) for note in bar.notes) for bar in exercise.bars)
    return bars, _classes(exercise, part)


def _classes(exercise: Exercise, part: ChairPart) -> tuple[int, ...]:
    sounds = part.player.instrument.sounds.semitones
    return tuple((pitch.height + sounds) % 12 for pitch in exercise.pitches)


def _turns(listed: Sequence[_Listed], parts: Sequence[ChairPart]) -> Iterator[Turn]:
    """What stands on the cover: one line for each place of the list."""
    for number in range(max(len(one.singles) for one in listed)):
        said = list(
            dict.fromkeys(
                one.said[number] for one in listed if number < len(one.said) and not one.chairs[0].unpitched
            )
        )
        heading = said[0] if len(said) == 1 else "each instrument its own" if said else "Rhythm"
        own = [part for part in parts if number < len(part.exercises)]
        yield Turn(
            f"{heading[:1].upper()}{heading[1:]}",
            tuple(part.exercises[number] for part in own),
            tuple(part.heard[number] for part in own),
        )
