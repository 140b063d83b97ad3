"""Rhythms: repeating cells of note values in a metre, and pouring a line of notes into them.

A cell is written as a musician would list it: ``8. 16``, ``4 8 8``, ``3:2[8 8 8]``, ``r8 8``. The numbers are
note values (4 a quarter), dots follow, ``r`` is a rest, ``~`` ties to the next value, and a ratio with brackets is a
tuplet. The last note of a line always completes its bar.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from math import lcm

from generator.errors import RequestError
from generator.exercise.records import Bar, Note
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of
from generator.theory.pitch import Pitch

_SHORTEST_CLOSE = Fraction(1, 8)
_TOKEN = re.compile(r"(\d+):(\d+)\[|\]|(r?)(\d+)(\.*)(~?)")


@dataclass(frozen=True, slots=True)
class Slot:
    """One value of a cell.

    Attributes:
        value: the note value.
        rest: nothing sounds.
        tie: the same note goes on in the next slot.
        opens: first value of a tuplet.
        closes: last value of a tuplet.
    """

    value: Value
    rest: bool = False
    tie: bool = False
    opens: bool = False
    closes: bool = False


@dataclass(frozen=True)
class Rhythm:
    """A row of shared/rhythms.toml.

    Attributes:
        name: the trade's name.
        metre: the metre it is printed in, or the first of several.
        cell: its values, repeating; as long as a whole number of beats.
        beams: lengths of the beams within a bar where they differ from the metre's own.
        feel: words over the first bar ("Swing").
        then: further metres, bar by bar in turn with the first.
        equal: what stays equal where the metre changes: the ``unit`` (eighth = eighth) or the ``beat``.
        catalogue: its number among the rhythms; never reused or changed.
        listed: under which heading it stands in a list.
    """

    name: str
    metre: Metre
    cell: tuple[Slot, ...]
    beams: tuple[Fraction, ...] = ()
    feel: str = ""
    then: tuple[Metre, ...] = ()
    equal: str = ""
    aliases: tuple[str, ...] = ()
    catalogue: int = 0
    listed: str = ""

    def __post_init__(self) -> None:
        length = sum((s.value.length for s in self.cell), Fraction(0))
        for metre in self.metres:
            bars = length / metre.length
            if (bars.denominator != 1 or self.then) and (metre.length / length).denominator != 1:
                raise RequestError(
                    f"rhythm {self.name!r}: its cell lasts {length}, "
                    f"which neither divides nor fills bars of {metre.name}"
                )
        if all(s.rest for s in self.cell) or self.cell[-1].tie:
            raise RequestError(f"rhythm {self.name!r}: a cell needs notes and may not end in a tie")
        place = Fraction(0)
        for slot in self.cell:
            place = place % self.metre.length + slot.value.length
            if place > self.metre.length:
                raise RequestError(
                    f"rhythm {self.name!r}: its value {slot.value} crosses a barline of {self.metre.name}"
                )

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)

    @property
    def metres(self) -> tuple[Metre, ...]:
        """The metres in turn."""
        return (self.metre, *self.then)

    @cached_property
    def grain(self) -> int:
        """Into how many parts a whole note is cut so that every length here is a whole number of them."""
        lengths = [*(slot.value.length for slot in self.cell), *(m.length for m in self.metres)]
        lengths += [beat for metre in self.metres for beat in metre.beats]
        # Closing notes may be tied over pieces as short as a sixty-fourth.
        return lcm(128, *(length.denominator for length in lengths))

    def parts(self, value: Value) -> int:
        """A value's length in parts of the grain: plain integers, because lines are long.

        >>> Rhythm("triplets", Metre.parse("4/4"), parse_cell("3:2[8 8 8]")).parts(Value(4))  # of 384 to a whole note
        96
        """
        return _parts(value, self.grain)

    @cached_property
    def _round(self) -> Fraction:
        return sum((m.length for m in self.metres), Fraction(0))

    def bar_at(self, place: Fraction) -> tuple[Fraction, Metre]:
        """Where the bar that holds a place begins, and its metre.

        >>> rhythm = Rhythm("quarters", Metre.parse("3/4"), parse_cell("4"), then=(Metre.parse("4/4"),))
        >>> start, metre = rhythm.bar_at(Fraction(5, 4))
        >>> print(f"the bar of {metre.name} that begins after {start}")
        the bar of 4/4 that begins after 3/4
        """
        start = place // self._round * self._round
        if not self.then:
            return start, self.metre
        for metre in self.metres:
            if place < start + metre.length:
                return start, metre
            start += metre.length
        raise AssertionError("a place lies in some bar")

    @cached_property
    def per_beat(self) -> int:
        """Equal notes on each beat, or 0 when they are not equal or the beats differ."""
        lengths = {slot.value.length for slot in self.cell}
        beats = {beat for metre in self.metres for beat in metre.beats}
        if len(lengths) != 1 or len(beats) != 1 or any(slot.rest or slot.tie for slot in self.cell):
            return 0
        ratio = beats.pop() / lengths.pop()
        return ratio.numerator if ratio.denominator == 1 else 0

    @property
    def notes_in_cell(self) -> int:
        """Separate notes in one cell."""
        return sum(1 for slot in self.cell if not slot.rest and not slot.tie)


@cache
def _parts(value: Value, grain: int) -> int:
    return value.length.numerator * (grain // value.length.denominator)


def parse_cell(text: str) -> tuple[Slot, ...]:
    """Read a cell.

    Raises:
        RequestError: the cell cannot be read; the message shows where.

    >>> [str(s.value) for s in parse_cell("8. 16")]
    ['8.', '16']
    """
    slots: list[Slot] = []
    tuplet: Tuplet | None = None
    opens = False
    for word in re.findall(r"\d+:\d+\[|\]|[^\s\[\]]+", text):
        match = _TOKEN.fullmatch(word)
        if match is None or (match[4] and int(match[4]) not in (1, 2, 4, 8, 16, 32, 64)):
            raise RequestError(
                f"{word!r} in the rhythm cell {text!r} is no note value; write 4, 8., r16 or 3:2[8 8 8]"
            )
        if match[1]:
            tuplet, opens = Tuplet(int(match[1]), int(match[2])), True
        elif word == "]":
            slots[-1] = replace(slots[-1], closes=True)
            tuplet = None
        else:
            value = Value(int(match[4]), len(match[5]), tuplet)
            slots.append(Slot(value, rest=bool(match[3]), tie=bool(match[6]), opens=opens))
            opens = False
    if not slots or tuplet:
        raise RequestError(f"the rhythm cell {text!r} is empty or leaves a tuplet open")
    return tuple(slots)


def pour(pitches: tuple[Pitch, ...], rhythm: Rhythm) -> tuple[tuple[Note, ...], ...]:
    """Give each pitch the next value of the cell; the last one completes its bar.

    Args:
        pitches: written pitches in order.
        rhythm: the cell and its metre.

    Returns:
        For each pitch the written notes that make it (more than one when tied, a rest before it standing with it).

    >>> rhythm = Rhythm("dotted eighth and sixteenth", Metre.parse("2/4"), parse_cell("8. 16"))
    >>> poured = pour(tuple(map(Pitch.parse, ("C4", "D4", "E4"))), rhythm)
    >>> print(*[f"{note.pitch} {note.value}" for (note,) in poured], sep=", ")  # the last one completes its bar
    C4 8., D4 16, E4 4
    """
    poured: list[tuple[Note, ...]] = []
    index = 0
    for pitch in pitches[:-1]:
        written: list[Note] = []
        while True:
            slot = rhythm.cell[index % len(rhythm.cell)]
            index += 1
            written.append(_note(None if slot.rest else pitch, slot))
            if not slot.rest and not slot.tie:
                break
        poured.append(tuple(written))
    cells, rest = divmod(index, len(rhythm.cell))
    lengths = [slot.value.length for slot in rhythm.cell]
    place = cells * sum(lengths, Fraction(0)) + sum(lengths[:rest], Fraction(0))
    poured.append(_last(pitches[-1], rhythm, index, place))
    return tuple(poured)


def _note(pitch: Pitch | None, slot: Slot) -> Note:
    return Note(pitch, slot.value, tie=slot.tie, tuplet_start=slot.opens, tuplet_stop=slot.closes)


def _last(pitch: Pitch, rhythm: Rhythm, index: int, place: Fraction) -> tuple[Note, ...]:
    """The final note: fills the tuplet it falls into, then the bar; under an eighth, it holds a bar more."""
    written: list[Note] = []
    start = place
    slot = rhythm.cell[index % len(rhythm.cell)]
    while slot.rest:
        written.append(_note(None, slot))
        place += slot.value.length
        index += 1
        slot = rhythm.cell[index % len(rhythm.cell)]
    while slot.tie:
        # A long tone of several bars stays as long at the end as everywhere else.
        written.append(_note(pitch, slot))
        place += slot.value.length
        index += 1
        slot = rhythm.cell[index % len(rhythm.cell)]
    rest_of_tuplet: list[Note] = []
    while slot.value.tuplet and not slot.opens:
        rest_of_tuplet.append(replace(_note(pitch, slot), tie=True))
        place += slot.value.length
        index += 1
        if slot.closes:
            break
        slot = rhythm.cell[index % len(rhythm.cell)]
    written += _merged(rest_of_tuplet)
    bar, metre = rhythm.bar_at(place)
    at = place - bar
    rest_of_bar = metre.length - at if at or not rest_of_tuplet else Fraction(0)
    if rest_of_bar:
        written += [Note(pitch, v, tie=True) for v in split_length(at, rest_of_bar, metre)]
    sounding = place + rest_of_bar - start - sum((n.length for n in written if n.pitch is None), Fraction(0))
    if sounding < _SHORTEST_CLOSE:
        _, metre = rhythm.bar_at(place + rest_of_bar)
        written += [Note(pitch, v, tie=True) for v in split_length(Fraction(0), metre.length, metre)]
    return (*written[:-1], replace(written[-1], tie=False))


def _merged(notes: list[Note]) -> list[Note]:
    """Tied notes of one tuplet as a single value where there is one."""
    if len(notes) < 2:
        return notes
    whole = value_of(sum((n.length for n in notes), Fraction(0)), notes[0].value.tuplet)
    return [replace(notes[0], value=whole, tuplet_stop=True)] if whole else notes


def into_bars(notes: tuple[Note, ...], rhythm: Rhythm) -> tuple[Bar, ...]:
    """Cut notes into bars; the lengths must fall on the barlines.

    Raises:
        RequestError: a note crosses a barline or the last bar is not full.

    >>> rhythm = Rhythm("quarters", Metre.parse("2/4"), parse_cell("4"))
    >>> poured = pour(tuple(map(Pitch.parse, ("C4", "D4", "E4"))), rhythm)
    >>> for bar in into_bars(tuple(note for pieces in poured for note in pieces), rhythm):
    ...     print(bar.metre.name, *[f"{note.pitch} {note.value}" for note in bar.notes])
    2/4 C4 4 D4 4
    2/4 E4 2
    """
    bars: list[Bar] = []
    held: list[Note] = []
    metre, filled, full = rhythm.metre, 0, 0
    for note in notes:
        if not held:
            metre = rhythm.metres[len(bars) % len(rhythm.metres)]
            filled, full = 0, int(metre.length * rhythm.grain)
        held.append(note)
        filled += rhythm.parts(note.value)
        if filled > full:
            raise RequestError(f"a note crosses the barline in {metre.name}")
        if filled == full:
            bars.append(Bar(metre, tuple(held), _equivalence(rhythm, bars, metre)))
            held = []
    if held:
        raise RequestError(f"the last bar of {rhythm.metre.name} is not full")
    return tuple(bars)


def _equivalence(rhythm: Rhythm, before: list[Bar], metre: Metre) -> tuple[Value, Value] | None:
    """What stays equal over the barline, where the metre changes."""
    if not rhythm.equal or not before or before[-1].metre == metre:
        return None
    if rhythm.equal == "unit":
        finest = Value(max(before[-1].metre.unit, metre.unit))
        return finest, finest
    old, new = value_of(before[-1].metre.beats[0]), value_of(metre.beats[0])
    return (old, new) if old and new else None
