"""Long high passages of flute and piccolo an octave lower, under 8va, where staves are large. Pure.

Woodwinds read at pitch, and the shape of ledger lines shows a register; 8va stands only where a whole phrase lies on
four ledger lines or more, above four on average (common practice), in large print or where a reader asks for it.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.exercise.clef import ledger_lines
from generator.exercise.records import Exercise
from generator.pages.lines import Layout, Piece

INSTRUMENTS = frozenset({"flute", "piccolo"})
_LINES, _PHRASE = 4, 6


def in_octaves(layout: Layout, exercise: Exercise) -> Layout:
    """The lines with the notes marked that stand an octave lower.

    Args:
        layout: the lines.
        exercise: whose they are; of other instruments, or under 8va as a whole, they stay as they are.
    """
    if exercise.instrument not in INSTRUMENTS or exercise.ottava or exercise.left:
        return layout
    return replace(layout, lines=raised(layout.lines))


def raised(lines: Sequence[Sequence[Piece]]) -> tuple[tuple[Piece, ...], ...]:
    """The lines with the phrases marked that lie high throughout."""
    heights = [
        ledger_lines(note.pitch, piece.clef) if note.pitch and note.pitch.octave > 4 else 0
        for line in lines
        for piece in line
        for note in piece.notes
    ]
    high = _phrases(heights)
    marked: list[tuple[Piece, ...]] = []
    at = 0
    for line in lines:
        pieces: list[Piece] = []
        for piece in line:
            here = frozenset(n for n in range(len(piece.notes)) if at + n in high)
            pieces.append(replace(piece, octaves=here) if here else piece)
            at += len(piece.notes)
        marked.append(tuple(pieces))
    return tuple(marked)


def _phrases(heights: Sequence[int]) -> frozenset[int]:
    found: set[int] = set()
    run: list[int] = []
    for place, lines in enumerate([*heights, 0]):
        if lines >= _LINES:
            run.append(place)
            continue
        if len(run) >= _PHRASE and sum(heights[n] for n in run) > _LINES * len(run):
            found |= set(run)
        run = []
    return frozenset(found)
