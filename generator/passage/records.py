"""A passage of a player's own: bars as they are read, and the passage that is cut out of them.

Pitches are written pitches, as a part prints them. Lengths and places are fractions of a whole note.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from generator.errors import RequestError
from generator.theory.duration import Metre, Value
from generator.theory.pitch import Pitch

MOST_BARS, MOST_NOTES, LONGEST = 64, 2000, 16
LOWEST_OCTAVE, HIGHEST_OCTAVE = 0, 9


@dataclass(frozen=True, slots=True)
class ReadNote:
    """A note or rest as it stands in a file.

    Attributes:
        pitch: written pitch; None for a rest.
        value: as written, with its tuplet.
        tie: tied to the next note.
        opens: slurs that begin here.
        closes: slurs that end here.
        marks: staccato, accent and the like, ornaments too.
        graces: small notes before it, with their values.
        starts: first note of a printed tuplet.
        stops: last note of a printed tuplet.
    """

    pitch: Pitch | None
    value: Value
    tie: bool = False
    opens: int = 0
    closes: int = 0
    marks: tuple[str, ...] = ()
    graces: tuple[tuple[Pitch, Value], ...] = ()
    starts: bool = False
    stops: bool = False


@dataclass(frozen=True, slots=True)
class ReadBar:
    """A bar as it stands in a file.

    Attributes:
        number: as printed: "97", "4a", "0" for a pickup.
        metre: its time signature.
        signature: its key signature in fifths.
        notes: what it holds.
        trouble: why it can not be drilled, after its number: "has two voices", or "".
    """

    number: str
    metre: Metre
    signature: int
    notes: tuple[ReadNote, ...]
    trouble: str = ""

    @property
    def filled(self) -> Fraction:
        """Sum of its lengths."""
        return sum((note.value.length for note in self.notes), Fraction(0))


@dataclass(frozen=True, slots=True)
class WrittenValue:
    """One of the values that, tied together, make a note; first or last of a printed tuplet perhaps."""

    value: Value
    starts: bool = False
    stops: bool = False


@dataclass(frozen=True)
class PassageNote:
    """A note that is begun once, or a rest.

    Attributes:
        pitch: written pitch; None for a rest.
        onset: from the beginning of the passage.
        values: as written, tied together.
        slurred: no stroke: under one slur with the note before.
        marks: staccato, accent and the like, ornaments too.
        graces: small notes before it.
    """

    pitch: Pitch | None
    onset: Fraction
    values: tuple[WrittenValue, ...]
    slurred: bool = False
    marks: tuple[str, ...] = ()
    graces: tuple[tuple[Pitch, Value], ...] = ()

    @cached_property
    def length(self) -> Fraction:
        """How long it lasts."""
        return sum((one.value.length for one in self.values), Fraction(0))

    @cached_property
    def end(self) -> Fraction:
        """When it ends, from the beginning of the passage."""
        return self.onset + self.length


@dataclass(frozen=True)
class PassageBar:
    """A bar of a passage: its printed number, metre, key signature, and where it lies.

    Attributes:
        number: as printed.
        metre: its time signature.
        signature: its key signature in fifths.
        start: from the beginning of the passage.
        length: less than the metre where it is incomplete.
    """

    number: str
    metre: Metre
    signature: int
    start: Fraction
    length: Fraction

    @cached_property
    def end(self) -> Fraction:
        """Where the next bar begins."""
        return self.start + self.length

    @property
    def shift(self) -> Fraction:
        """What a pickup leaves out before its first note, so that its beats lie where those of a whole bar do."""
        return self.metre.length - self.length if self.start == 0 else Fraction(0)

    def beats(self) -> Iterator[tuple[Fraction, Fraction]]:
        """Begin and end of each beat that lies in it, from the beginning of the passage; a part of a beat counts."""
        for start, length in zip(self.metre.beat_starts, self.metre.beats, strict=True):
            begin, end = start - self.shift, start + length - self.shift
            if end > 0 and begin < self.length:
                yield self.start + max(begin, Fraction(0)), self.start + min(end, self.length)


@dataclass(frozen=True)
class Passage:
    """Bars of a player's own music, in one voice.

    Attributes:
        bars: at least one.
        notes: notes and rests in order, without gaps, ties joined.
        landing: the first note of the bar after it, if the source has it.
    """

    bars: tuple[PassageBar, ...]
    notes: tuple[PassageNote, ...]
    landing: Pitch | None = None

    @cached_property
    def attacks(self) -> tuple[PassageNote, ...]:
        """The notes that are begun, without the rests."""
        return tuple(note for note in self.notes if note.pitch is not None)

    @property
    def end(self) -> Fraction:
        """Length of the whole."""
        return self.bars[-1].end

    @property
    def name(self) -> str:
        """``bars 97-99``, or ``bar 4``."""
        first, last = self.bars[0].number, self.bars[-1].number
        return f"bar {first}" if len(self.bars) == 1 else f"bars {first}\u2013{last}"

    def beats(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """Begin and end of each beat, in order."""
        return self._beats

    @cached_property
    def _beats(self) -> tuple[tuple[Fraction, Fraction], ...]:
        return tuple(beat for bar in self.bars for beat in bar.beats())

    def bar_at(self, place: Fraction) -> PassageBar:
        """The bar in which a place lies."""
        return next((bar for bar in self.bars if place < bar.end), self.bars[-1])


def cut_out(bars: Sequence[ReadBar], first: str = "", last: str = "") -> Passage:
    """The passage between two bars, both included.

    Args:
        bars: as read, in order.
        first: number of the first bar as printed; "" for the very first.
        last: number of the last one; "" for the very last.

    Raises:
        RequestError: there is no such bar, or a bar among them cannot be drilled; the line names it.

    >>> from generator.passage.abc_reader import read_abc
    >>> bars = read_abc("[K:F][M:2/4][L:1/8] FGAB | c2 f2 | a4").bars
    >>> passage = cut_out(bars, "1", "2")
    >>> print(*[note.pitch for note in passage.attacks], passage.landing)
    F4 G4 A4 Bb4 C5 F5 A5
    """
    start = _place(bars, first) if first else 0
    stop = _place(bars, last, end=True) if last else len(bars) - 1
    if stop < start:
        raise RequestError(f"bar {last} comes before bar {first}; say the earlier one first")
    chosen = bars[start : stop + 1]
    if len(chosen) > MOST_BARS:
        raise RequestError(
            f"these are {len(chosen)} bars; a passage has at most {MOST_BARS}, so choose some with --bars"
        )
    for bar in chosen:
        if bar.trouble:
            raise RequestError(f"bar {bar.number} {bar.trouble}")
    if sum(len(bar.notes) for bar in chosen) > MOST_NOTES:
        raise RequestError(f"these bars hold more than {MOST_NOTES} notes; choose fewer with --bars")
    after = bars[stop + 1].notes if stop + 1 < len(bars) and not bars[stop + 1].trouble else ()
    depth = _depth(bars[:start])
    held = bool(chosen[-1].notes) and chosen[-1].notes[-1].tie  # it sounds on: no note begins there
    landing = after[0].pitch if after and not held else None
    passage = Passage(tuple(_laid(chosen)), tuple(_joined(chosen, depth)), landing)
    _check(passage)
    return passage


def _place(bars: Sequence[ReadBar], number: str, *, end: bool = False) -> int:
    """Where a bar lies; "4" finds "4a" too, a range ends with the last such part."""
    wanted = number.casefold().lstrip("0") or "0"
    exact = [place for place, bar in enumerate(bars) if bar.number.casefold() == wanted]
    parts = [
        place for place, bar in enumerate(bars) if bar.number.rstrip("abcdefghijklmnopqrstuvwxyzX") == wanted
    ]
    found = parts if end and parts else exact or parts
    if not found:
        raise RequestError(
            f"there is no bar {number}; the bars are {bars[0].number} to {bars[-1].number}"
            if bars
            else "there is no music in it"
        )
    return found[-1] if end else found[0]


def _laid(bars: Iterable[ReadBar]) -> Iterator[PassageBar]:
    start = Fraction(0)
    for bar in bars:
        yield PassageBar(bar.number, bar.metre, bar.signature, start, bar.filled)
        start += bar.filled


def _depth(bars: Iterable[ReadBar]) -> int:
    """How many slurs go on after some bars."""
    depth = 0
    for note in (note for bar in bars for note in bar.notes):
        depth = max(0, depth - note.closes) + note.opens
    return depth


def _joined(bars: Iterable[ReadBar], depth: int) -> Iterator[PassageNote]:
    """The notes, those that are tied joined, each told whether a slur leads into it."""
    place, held = Fraction(0), None
    tied = False
    for note in (note for bar in bars for note in bar.notes):
        value = WrittenValue(note.value, note.starts, note.stops)
        if tied and held is not None and note.pitch == held.pitch:
            held = replace(held, values=(*held.values, value), marks=_merged(held.marks, note.marks))
        else:
            if held is not None:
                yield held
            slurred = depth > 0 and note.pitch is not None and held is not None and held.pitch is not None
            held = PassageNote(note.pitch, place, (value,), slurred, note.marks, note.graces)
        depth = max(0, depth - note.closes) + note.opens
        tied = note.tie
        place += note.value.length
    if held is not None:
        yield held


def _merged(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, ...]:
    return (*first, *(mark for mark in second if mark not in first))


def _check(passage: Passage) -> None:
    """Refuse what no drill can be made of."""
    if not passage.attacks:
        raise RequestError(f"there is no note in {passage.name}; choose bars with music")
    for bar in passage.bars:
        if bar.length > bar.metre.length:
            raise RequestError(
                f"bar {bar.number} holds {bar.length} of a whole note, more than its {bar.metre.name}"
            )
    for note in passage.attacks:
        bar = passage.bar_at(note.onset)
        assert note.pitch is not None  # noqa: S101  # for the type checker: attacks have one
        if not LOWEST_OCTAVE <= note.pitch.octave <= HIGHEST_OCTAVE or abs(note.pitch.alter) > 2:
            raise RequestError(
                f"bar {bar.number} has the note {note.pitch.words}; octaves {LOWEST_OCTAVE} to {HIGHEST_OCTAVE} and"
                " two signs are what a page can hold"
            )
        if note.length > LONGEST:
            raise RequestError(
                f"bar {bar.number} has a note of {note.length} whole notes; at most {LONGEST} are read"
            )
