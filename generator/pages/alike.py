"""Staves that are read together break their lines alike, at the same moments; some may rest where others play."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.clef import ending
from generator.exercise.records import Exercise, Note
from generator.pages.lines import Piece
from generator.theory.duration import value_of

Lines = tuple[tuple[Piece, ...], ...]


def broken_alike(exercise: Exercise, model: Sequence[Sequence[Piece]]) -> Lines:
    """The notes of one staff in the lines of another one of the same rhythm."""
    notes = [n for bar in exercise.bars for n in bar.notes]
    bar, begins, previous = 0, True, exercise.clefs[0]
    lines: list[tuple[Piece, ...]] = []
    for line in model:
        pieces: list[Piece] = []
        for piece in line:
            # Within a bar that two lines share, the clef goes on.
            clef = exercise.clefs[bar] if begins else previous
            own = _taken(notes, sum((note.length for note in piece.notes), Fraction(0)))
            signature = exercise.bars[bar].signature if begins else None
            pieces.append(
                replace(piece, notes=own, clef=clef, new_clef=clef != previous, signature=signature)
            )
            bar, begins = bar + piece.closes, piece.closes
            previous = ending(clef, own)
        lines.append(tuple(pieces))
    return tuple(lines)


def _taken(notes: list[Note], length: Fraction) -> tuple[Note, ...]:
    """The first notes of a list, which loses them, as long as a length; one that reaches beyond it is divided."""
    found: list[Note] = []
    while notes and length > 0:
        note = notes.pop(0)
        if note.length > length and not note.value.tuplet:
            first, second = value_of(length), value_of(note.length - length)
            if first and second:
                notes.insert(0, replace(note, value=second, clef="", dynamic=(), chord=None, syllable=None))
                note = replace(note, value=first, tie=note.pitch is not None)
        found.append(note)
        length -= note.length
    return tuple(found)
