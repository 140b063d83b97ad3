"""How a line arrives: the values of its notes, so that the last one begins on a beat and is a quarter or longer.

Where the notes come out even, the rhythm is kept throughout. Where they do not, an editor of a method book does one of
two things, and so do we, from the number of notes alone, so that every key and every player has the same bars:

* A scale in equal notes holds the first note of each half, as the boards' "long tonics" do (an eighth and six
  sixteenths for an octave); both halves then begin on a beat.
* Any other line keeps its groups on their beats and broadens at the end: the notes that are left over share the last
  beat. How many notes share a beat is data, see shared/beats.toml.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, pairwise
from math import ceil, log2

from generator.exercise.rhythm import Rhythm, Slot
from generator.theory.duration import Metre, Value, split_length, value_of

LEAST = Fraction(1, 4)
"""How long a last note is at the least: a quarter."""
_HALVES = 2


@dataclass(frozen=True, slots=True)
class Timed:
    """When the notes of a line are played.

    Attributes:
        values: the slots of every note but the last, rests before it included.
        place: where those end, from the beginning, a fraction of a whole note.
        lead: slots that belong to the last note and keep their values: rests before it, values tied to its end.
    """

    values: tuple[tuple[Slot, ...], ...]
    place: Fraction
    lead: tuple[Slot, ...] = ()


@dataclass(frozen=True, slots=True)
class _Even:
    """The cell over and over, up to the last note."""

    values: tuple[tuple[Slot, ...], ...]
    index: int
    place: Fraction


def timed(notes: int, rhythm: Rhythm, openings: Sequence[int] = ()) -> Timed:
    """Values for a line of so many notes.

    Args:
        notes: how many, the last one included.
        rhythm: the cell and its metre.
        openings: which notes begin a half of a scale, the first included; empty for lines in groups.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> rhythms = shared_catalogue().rhythms
    >>> scale = timed(15, rhythms.find("sixteenths"), openings=(0, 7))  # an octave up and down
    >>> print(*[slot.value for slots in scale.values for slot in slots], "then at", scale.place)
    8 16 16 16 16 16 16 8 16 16 16 16 16 16 then at 1
    >>> groups = timed(14, rhythms.find("eighths"))
    >>> print(*[slot.value for slots in groups.values for slot in slots], "then at", groups.place)
    8 8 8 8 8 8 8 8 8 8 8 8 4 then at 7/4
    """
    even = _even(notes, rhythm)
    return _kept(even, rhythm) or _held(notes, rhythm, openings) or _broadened(even, rhythm)


def arrivals(metre: Metre) -> tuple[Fraction, ...]:
    """Where in a bar a last note may begin: on beats that leave it a quarter, else at the barline.

    >>> print(*arrivals(Metre.parse("6/8")), "-", *arrivals(Metre.parse("3/8")), "-", *arrivals(Metre.parse("2/8")))
    0 3/8 - 0 - 0
    """
    return tuple(s for s in metre.beat_starts if metre.length - s >= LEAST) or (Fraction(0),)


def part_beat(rhythm: Rhythm, length: Fraction, notes: int) -> tuple[Slot, ...]:
    """How so many notes share a beat, or () where no row says so.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> rhythms = shared_catalogue().rhythms
    >>> for name in ("sixteenths", "triplets"):
    ...     print(name, *[slot.value for slot in part_beat(rhythms.find(name), Fraction(1, 4), 2)])
    sixteenths 8 8
    triplets 4 8
    """
    rows = [
        row
        for row in rhythm.part_beats
        if (row.length, row.notes) == (length, notes) and row.of in (0, rhythm.per_beat)
    ]
    return max(rows, key=lambda row: row.of).cell if rows else ()


def _kept(even: _Even, rhythm: Rhythm) -> Timed | None:
    """The rhythm throughout, if its last note arrives; a rest before that note goes where it arrives without."""
    cell, size, index = rhythm.cell, len(rhythm.cell), even.index
    while cell[index % size].rest:
        index += 1
    rests = tuple(cell[k % size] for k in range(even.index, index))
    here = cell[index % size]
    if here.value.tuplet and not here.opens:
        return None
    if not _arrives(even.place + _length(rests), rhythm):
        return Timed(even.values, even.place) if rests and _arrives(even.place, rhythm) else None
    tied = index
    while cell[tied % size].tie:
        # A long tone of several bars stays as long at the end as everywhere else.
        tied += 1
    return Timed(even.values, even.place, (*rests, *(cell[k % size] for k in range(index, tied))))


def _held(notes: int, rhythm: Rhythm, openings: Sequence[int]) -> Timed | None:
    """A scale whose halves begin on a beat, their first notes held."""
    equal = rhythm.per_beat
    if equal < 2 or not 0 < len(openings) <= _HALVES or equal % len(rhythm.cell):
        return None
    beat = rhythm.metre.beats[0]
    values: list[tuple[Slot, ...]] = []
    beats = 0
    for first, end in pairwise((*openings, notes - 1)):
        whole, left = divmod(end - first, equal)
        shared = part_beat(rhythm, beat, left) if left else ()
        if left and not shared:
            return None
        values += [(slot,) for slot in shared]
        values += [(rhythm.cell[k % len(rhythm.cell)],) for k in range(whole * equal)]
        beats += whole + bool(left)
    place = beats * beat
    return Timed(tuple(values), place) if _arrives(place, rhythm) else None


def _broadened(even: _Even, rhythm: Rhythm) -> Timed:
    """The rhythm up to the last beat, which the notes that are left share."""
    starts = list(accumulate((_length(slots) for slots in even.values), initial=Fraction(0)))
    last = len(even.values) - 1
    on_beat = (
        k
        for k in range(last, -1, -1)
        if starts[k] - (bar := rhythm.bar_at(starts[k]))[0] in bar[1].beat_starts
    )
    first = next(on_beat, last)
    goal = _arrival_from(starts[-1], rhythm)
    return Timed((*even.values[:first], *_shared(even.values[first:], starts[first], goal, rhythm)), goal)


def _shared(
    left: Sequence[tuple[Slot, ...]], start: Fraction, goal: Fraction, rhythm: Rhythm
) -> Sequence[tuple[Slot, ...]]:
    """Values for the notes that are left, from a beat to where the last note arrives."""
    room = goal - start
    row = part_beat(rhythm, room, len(left))
    if row:
        return [(slot,) for slot in row]
    even = value_of(room / len(left))
    if even is not None and even.dots == 0:
        return [(Slot(even),)] * len(left)
    beats = _beats_between(start, goal, rhythm)
    if len(beats) >= len(left) - 1:
        # A note to a beat; the first takes the beats that are left.
        places = [start, *beats[len(beats) - len(left) + 1 :], goal]
        return [_tied(a, b, rhythm) for a, b in pairwise(places)]
    whole = _whole_tuplets(left[:-1])
    kept = sum((_length(slots) for slots in left[:whole]), Fraction(0))
    if whole == len(left) - 1:
        return [*left[:-1], _tied(start + kept, goal, rhythm)]
    if whole:
        return [*left[:whole], *_shared(left[whole:], start + kept, goal, rhythm)]
    short = Slot(Value(2 ** ceil(log2(len(left) / room))))
    others = [(short,)] * (len(left) - 1)
    return [*others, _tied(start + len(others) * short.value.length, goal, rhythm)]


def _whole_tuplets(values: Sequence[tuple[Slot, ...]]) -> int:
    """How many notes come before a tuplet that is not completed."""
    slots = [(k, slot) for k, note in enumerate(values) for slot in note]
    opened = next((k for k, slot in reversed(slots) if slot.opens), len(values))
    closed = next((k for k, slot in reversed(slots) if slot.closes), -1)
    return len(values) if closed >= opened or opened == len(values) else opened


def _tied(start: Fraction, end: Fraction, rhythm: Rhythm) -> tuple[Slot, ...]:
    """One note as it is written, tied over beats and barlines where no single value lasts so long."""
    values: list[Value] = []
    while start < end:
        bar, metre = rhythm.bar_at(start)
        stop = min(end, bar + metre.length)
        values += split_length(start - bar, stop - start, metre)
        start = stop
    return tuple(Slot(value, tie=place < len(values) - 1) for place, value in enumerate(values))


@lru_cache(maxsize=256)
def _even(notes: int, rhythm: Rhythm) -> _Even:
    """Slots of all notes but the last, the next place in the cell, and where they end."""
    values: list[tuple[Slot, ...]] = []
    index = 0
    while len(values) < notes - 1:
        first = index
        while rhythm.cell[index % len(rhythm.cell)].rest or rhythm.cell[index % len(rhythm.cell)].tie:
            index += 1
        index += 1
        values.append(tuple(rhythm.cell[k % len(rhythm.cell)] for k in range(first, index)))
    rounds, more = divmod(index, len(rhythm.cell))
    return _Even(tuple(values), index, rounds * _length(rhythm.cell) + _length(rhythm.cell[:more]))


def _length(slots: Sequence[Slot]) -> Fraction:
    return sum((slot.value.length for slot in slots), Fraction(0))


def _arrives(place: Fraction, rhythm: Rhythm) -> bool:
    bar, metre = rhythm.bar_at(place)
    return place - bar in arrivals(metre)


def _arrival_from(place: Fraction, rhythm: Rhythm) -> Fraction:
    """The first place from here on where a last note may begin."""
    bar, metre = rhythm.bar_at(place)
    return next((bar + a for a in arrivals(metre) if bar + a >= place), bar + metre.length)


def _beats_between(start: Fraction, goal: Fraction, rhythm: Rhythm) -> list[Fraction]:
    """Beats after the start and before the goal."""
    found: list[Fraction] = []
    bar, metre = rhythm.bar_at(start)
    while bar < goal:
        found += [bar + b for b in metre.beat_starts if start < bar + b < goal]
        bar, metre = rhythm.bar_at(bar + metre.length)
    return found
