"""Rhythms: repeating cells of note values in a metre.

A cell is written as a musician would list it: ``8. 16``, ``4 8 8``, ``3:2[8 8 8]``, ``r8 8``. The numbers are
note values (4 a quarter), dots follow, ``r`` is a rest, ``~`` ties to the next value, and a ratio with brackets is a
tuplet. See pour for a line of notes in a rhythm.
"""

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, cached_property
from math import lcm

from generator.errors import RequestError
from generator.theory.duration import Metre, Tuplet, Value

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


@dataclass(frozen=True, slots=True)
class PartBeat:
    """How a beat is shared by fewer notes than its rhythm has: a row of shared/beats.toml.

    Attributes:
        length: of the beat, a fraction of a whole note.
        notes: how many share it.
        cell: their values.
        of: only in rhythms of so many equal notes to the beat; 0 in any.
    """

    length: Fraction
    notes: int
    cell: tuple[Slot, ...]
    of: int = 0


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
        part_beats: how a beat is shared by fewer notes, the same for all rhythms.
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
    part_beats: tuple[PartBeat, ...] = field(default=(), compare=False, repr=False)
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
        lengths += [
            s.value.length for row in self.part_beats if row.of in (0, self.per_beat) for s in row.cell
        ]
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

    @cached_property
    def over_barlines(self) -> bool:
        """Whether its notes are held over barlines, as long tones are.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> rhythms = shared_catalogue().rhythms
        >>> [rhythms.find(name).over_barlines for name in ("eight counts", "third of five long")]
        [True, False]
        """
        place = Fraction(0)
        for slot in self.cell:
            place += slot.value.length
            if slot.tie and (place / self.metre.length).denominator == 1:
                return True
        return False

    @cached_property
    def beams_by_bar(self) -> tuple[tuple[Fraction, ...], ...]:
        """Lengths of the beams in the bars of its metres in turn; empty where the metre's own will do.

        Where bars of one length and different beats take turns, as 3/4 and 6/8, the beams of each show its beats: 2+2+2
        beside 3+3 (common practice, no source).
        """
        alike = len({metre.length for metre in self.metres}) == 1
        if self.beams or not alike or len({metre.beats for metre in self.metres}) == 1:
            return (self.beams,) * len(self.metres)
        return tuple(metre.beats for metre in self.metres)

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
