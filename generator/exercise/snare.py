"""The snare drum: the rhythm of the line with its sticking, long notes rolled.

Equal notes go from hand to hand. In a beat of a quarter that holds several the right hand has what falls on its
even parts, so that the same figure always lies in the same hands (right-hand lead; common practice, no source). What
the others slur, a rudiment stands for; its letters come with the line, see `Articulation.drum`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.articulation import STICKS
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.strokes import LINE, ROLLED, rolled
from generator.theory.duration import Metre, Value

_BEGINNER = "first notes"
_NOT_FOR_DRUMS = frozenset({"breath", "staccato", "tenuto"})
_QUARTER, _EIGHTH = Fraction(1, 4), Fraction(1, 8)
_OTHER = {"R": "L", "L": "R"}


def strokes(exercise: Exercise, level: str, *, whole: bool = False) -> tuple[Bar, ...]:
    """The bars of a snare drum.

    Args:
        exercise: everybody's line, as built for drums.
        level: of the drummer; a beginner has single strokes in eighths for a roll, and no flams.
        whole: notes keep their values, so that a roll ends where its note does.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, eighths", player=player("snare drum"))[0]
    >>> " ".join(note.syllable or "-" for note in made.bars[0].notes)
    'R L R L R L R L'
    >>> long = exercises("C major, a fifth, whole notes", player=player("snare drum"))[0]
    >>> [(str(note.value), *note.marks) for note in long.bars[0].notes]
    [('2.', 'roll'), ('4',)]
    """
    bars = [replace(bar, notes=tuple(_plain(note) for note in bar.notes)) for bar in exercise.bars]
    bars = [
        replace(bar, notes=notes)
        for bar, notes in zip(bars, _long_notes(bars, level, whole=whole), strict=True)
    ]
    return tuple(_handed(bars, level))


def _plain(note: Note) -> Note:
    if note.pitch is None:
        return replace(note, clef="")
    marks = tuple(mark for mark in note.marks if mark not in _NOT_FOR_DRUMS)
    hand = note.syllable if note.syllable in STICKS else None
    return replace(
        note,
        pitch=LINE,
        slur=None,
        syllable=hand,
        text=None,
        marks=marks,
        clef="",
        finger="",
        also=(),
        chord=None,
    )


def _long_notes(bars: Sequence[Bar], level: str, *, whole: bool) -> Iterator[tuple[Note, ...]]:
    """The notes of each bar, held ones as rolls; a beginner taps eighths instead."""
    notes = [note for bar in bars for note in bar.notes]
    made: list[tuple[Note, ...]] = [(note,) for note in notes]
    run: list[int] = []
    for index, note in enumerate(notes):
        if note.pitch is None or note.grace:
            continue
        run.append(index)
        if note.tie:
            continue
        pieces = [notes[n] for n in run]
        if sum((one.length for one in pieces), Fraction(0)) >= ROLLED:
            parts = _held(pieces, level, whole=whole)
            for n, part in zip(run, parts, strict=True):
                made[n] = part
        run = []
    parts_left = iter(made)
    for bar in bars:
        yield tuple(note for _ in bar.notes for note in next(parts_left))


def _held(pieces: Sequence[Note], level: str, *, whole: bool) -> Sequence[tuple[Note, ...]]:
    if whole:
        return [(one if level == _BEGINNER else one.marked("roll"),) for one in pieces]
    return [_tapped(one) for one in pieces] if level == _BEGINNER else rolled(pieces)


def _tapped(piece: Note) -> tuple[Note, ...]:
    """Eighths in the place of a held note, which a beginner counts; what cannot be parted stays."""
    count = piece.length / _EIGHTH
    if piece.value.tuplet or count.denominator != 1 or "fermata" in piece.marks:
        return (replace(piece, tie=False),)
    first = replace(piece, value=Value(8), tie=False, syllable=None, dynamic_end=())
    plain = Note(LINE, Value(8))
    last = replace(plain, dynamic_end=piece.dynamic_end)
    return (first, *(plain,) * (int(count) - 2), last)[: int(count)]


def _handed(bars: Sequence[Bar], level: str) -> Iterator[Bar]:
    """The bars with a letter under each stroke, and a small note before a flam."""
    hand, tied = "L", False
    for bar in bars:
        place = Fraction(0)
        notes: list[Note] = []
        lead = _by_right_hand(bar)
        for note in bar.notes:
            made = note
            if note.pitch is None or "roll" in note.marks or tied:
                hand, made = "L", replace(note, syllable=None)
            elif not note.grace:
                hand = note.syllable or lead.get(place) or _OTHER[hand]
                made = replace(note, syllable=hand)
            if "flam" in made.marks:
                if level != _BEGINNER:
                    notes.append(Note(LINE, Value(8), grace=True))
                made = replace(made, marks=tuple(m for m in made.marks if m != "flam"))
            notes.append(made)
            tied = note.tie
            place += note.length
        yield replace(bar, notes=tuple(notes))


def _by_right_hand(bar: Bar) -> dict[Fraction, str]:
    """Places at which a figure decides about the hand: the right one on the even parts of its beat."""
    found: dict[Fraction, str] = {}
    for start, beat in _beats(bar.metre):
        inside: list[tuple[Fraction, Note]] = []
        place = Fraction(0)
        for note in bar.notes:
            if start <= place < start + beat:
                inside.append((place, note))
            place += note.length
        lengths = {note.length for _, note in inside}
        if beat != _QUARTER or len(inside) < 2 or any(note.value.tuplet for _, note in inside):
            continue
        unit = min(*lengths, _EIGHTH)
        for at, _ in inside:
            found[at] = "L" if (at - start) / unit % 2 else "R"
    return found


def _beats(metre: Metre) -> Iterator[tuple[Fraction, Fraction]]:
    return zip(metre.beat_starts, metre.beats, strict=True)
