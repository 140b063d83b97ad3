"""Notes left out: rests in their place, so that bars still line up; slurs, tuplets and beams are put right."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.instrument import Compass
from generator.exercise.records import Bar, Exercise, Note, Slur
from generator.theory.duration import value_of


def beyond(exercise: Exercise, compass: Compass) -> tuple[bool, ...]:
    """For each note of an exercise, whether it lies beyond a compass."""
    return tuple(
        note.pitch is not None and not compass.holds(note.pitch)
        for bar in exercise.bars
        for note in bar.notes
    )


def silenced(exercise: Exercise, silent: Sequence[bool]) -> Exercise:
    """The exercise with some of its notes left out.

    Args:
        exercise: any, for one hand.
        silent: for each note, whether it becomes a rest.
    """
    notes = [note for bar in exercise.bars for note in bar.notes]
    slurs = _slurs(notes, silent)
    hairpins = not any(quiet and (n.dynamic or n.dynamic_end) for n, quiet in zip(notes, silent, strict=True))
    made = iter(
        _rest(note) if quiet else replace(note, slur=slur) if hairpins else _plain(note, slur)
        for note, quiet, slur in zip(notes, silent, slurs, strict=True)
    )
    flags = iter(silent)
    bars = []
    for bar in exercise.bars:
        own = [next(made) for _ in bar.notes]
        quiet = [next(flags) for _ in bar.notes]
        if any(quiet):
            own = [replace(note, beam=None) for note in _gathered(own, bar)]
        bars.append(replace(bar, notes=tuple(own)))
    return replace(exercise, bars=tuple(bars))


def _rest(note: Note) -> Note:
    return Note(
        None,
        note.value,
        tuplet_start=note.tuplet_start,
        tuplet_stop=note.tuplet_stop,
        clef=note.clef,
        grace=note.grace,
    )


def _plain(note: Note, slur: Slur | None) -> Note:
    """Without dynamics: a hairpin that begins or ends at a rest says nothing."""
    return replace(note, slur=slur, dynamic=(), dynamic_end=())


def _slurs(notes: Sequence[Note], silent: Sequence[bool]) -> list[Slur | None]:
    """What slurs do when some notes are silent: each is cut there, and one over a single note goes."""
    begins: set[int] = set()
    ends: set[int] = set()
    inside: set[int] = set()
    for group in _groups(notes):
        run: list[int] = []
        for index in (*group, -1):
            if index >= 0 and not silent[index]:
                run.append(index)
                continue
            if len(run) > 1:
                begins.add(run[0])
                ends.add(run[-1])
                inside.update(run[1:-1])
            run = []
    found: list[Slur | None] = []
    for index in range(len(notes)):
        both = index in begins and index in ends
        found.append(
            "stop start" if both
            else "start" if index in begins
            else "stop" if index in ends
            else "inside" if index in inside
            else None
        )  # fmt: skip
    return found


def _groups(notes: Sequence[Note]) -> Iterator[list[int]]:
    """The notes under each slur."""
    group: list[int] = []
    for index, note in enumerate(notes):
        if note.slur is None:
            continue
        group.append(index)
        if note.slur in ("stop", "stop start"):
            yield group
            group = [index] if note.slur == "stop start" else []
    if group:
        yield group


def _gathered(notes: Sequence[Note], bar: Bar) -> list[Note]:
    """Rests that fill whole beats as one rest a beat; a bar of rests as one."""
    whole = value_of(bar.filled)
    if whole and all(note.pitch is None for note in notes):
        return [Note(None, whole, clef=notes[0].clef)]
    ends, place = [], Fraction(0)
    for beat in bar.metre.beats:
        place += beat
        ends.append(place)
    found: list[Note] = []
    beat_notes: list[Note] = []
    at = Fraction(0)
    for note in notes:
        beat_notes.append(note)
        at += note.length
        if at in ends:
            found += _one_rest(beat_notes)
            beat_notes = []
    return found + beat_notes


def _one_rest(notes: list[Note]) -> list[Note]:
    value = value_of(sum((note.length for note in notes), Fraction(0)))
    if value is None or len(notes) < 2 or any(note.pitch for note in notes):
        return notes
    return [Note(None, value, clef=notes[0].clef)]
