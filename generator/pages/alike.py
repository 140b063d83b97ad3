"""Staves that are read together break their lines alike."""

from collections.abc import Sequence
from dataclasses import replace

from generator.exercise.clef import ending
from generator.exercise.records import Exercise
from generator.pages.lines import Piece

Lines = tuple[tuple[Piece, ...], ...]


def broken_alike(exercise: Exercise, model: Sequence[Sequence[Piece]]) -> Lines:
    """The notes of one staff in the lines of another one of the same rhythm."""
    notes = [n for bar in exercise.bars for n in bar.notes]
    at, bar, begins, previous = 0, 0, True, exercise.clefs[0]
    lines: list[tuple[Piece, ...]] = []
    for line in model:
        pieces: list[Piece] = []
        for piece in line:
            # Within a bar that two lines share, the clef goes on.
            clef = exercise.clefs[bar] if begins else previous
            own = tuple(notes[at : at + len(piece.notes)])
            pieces.append(replace(piece, notes=own, clef=clef, new_clef=clef != previous))
            at, bar, begins = at + len(piece.notes), bar + piece.closes, piece.closes
            previous = ending(clef, own)
        lines.append(tuple(pieces))
    return tuple(lines)
