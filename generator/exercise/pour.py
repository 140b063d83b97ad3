"""Pouring a line of notes into a rhythm, and cutting it into full bars; see ending for how it arrives on a beat."""

from dataclasses import replace
from fractions import Fraction

from generator.errors import RequestError
from generator.exercise.ending import timed
from generator.exercise.records import Bar, Note
from generator.exercise.rhythm import Rhythm, Slot
from generator.theory.duration import Metre, Value, split_length, value_of
from generator.theory.pitch import Pitch


def pour(
    pitches: tuple[Pitch, ...], rhythm: Rhythm, openings: tuple[int, ...] = ()
) -> tuple[tuple[Note, ...], ...]:
    """Give each pitch the next value of the cell; the last one begins on a beat and completes its bar.

    Args:
        pitches: written pitches in order.
        rhythm: the cell and its metre.
        openings: the first notes of the halves of a scale, which may be held so that the halves begin on a beat.

    Returns:
        For each pitch the written notes that make it (more than one when tied, a rest before it standing with it).

    >>> from generator.exercise.rhythm import parse_cell
    >>> from generator.theory.duration import Metre
    >>> rhythm = Rhythm("dotted eighth and sixteenth", Metre.parse("2/4"), parse_cell("8. 16"))
    >>> poured = pour(tuple(map(Pitch.parse, ("C4", "D4", "E4"))), rhythm)
    >>> print(*[f"{note.pitch} {note.value}" for (note,) in poured], sep=", ")
    C4 8., D4 16, E4 4
    """
    line = timed(len(pitches), rhythm, openings)
    poured = [
        tuple(_note(None if slot.rest else pitch, slot) for slot in slots)
        for pitch, slots in zip(pitches, line.values, strict=False)
    ]
    poured.append(_last(pitches[-1], rhythm, line.lead, line.place))
    return tuple(poured)


def _note(pitch: Pitch | None, slot: Slot) -> Note:
    return Note(pitch, slot.value, tie=slot.tie, tuplet_start=slot.opens, tuplet_stop=slot.closes)


def _last(pitch: Pitch, rhythm: Rhythm, lead: tuple[Slot, ...], place: Fraction) -> tuple[Note, ...]:
    """The final note, which fills its bar; rests of the cell before it, or tied values, as everywhere else."""
    written = [_note(None if slot.rest else pitch, slot) for slot in lead]
    place += sum((note.length for note in written), Fraction(0))
    bar, metre = rhythm.bar_at(place)
    at = place - bar
    written += [Note(pitch, v, tie=True) for v in split_length(at, metre.length - at, metre)]
    return (*written[:-1], replace(written[-1], tie=False))


def into_bars(notes: tuple[Note, ...], rhythm: Rhythm) -> tuple[Bar, ...]:
    """Cut notes into bars; the lengths must fall on the barlines.

    Raises:
        RequestError: a note crosses a barline or the last bar is not full.

    >>> from generator.exercise.rhythm import parse_cell
    >>> from generator.theory.duration import Metre
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
