"""Outlines to play from memory: clef, signature and first note, side by side where the paper is wide enough. Pure."""

from collections.abc import Sequence

from generator.pages.fill import System
from generator.pages.heights import Profile
from generator.pages.paper import Paper
from generator.pages.systems import Head, head_height

COLUMNS = 2
# Share of the line that one of two columns takes, and the least it needs in staff spaces.
COLUMN = 0.47
_LEAST = 46.0
_GAP, _APART, _FOOT = 0.4, 1.0, 1.0
# Share of a column that the tempi may take at most, and size of its words beside those of a heading.
_TICKS, _SIZE = 0.45, 0.92


def columns_on(paper: Paper) -> int:
    """How many outlines stand side by side."""
    return COLUMNS if COLUMN * paper.line >= _LEAST else 1


def row_systems(heads: Sequence[Head], profiles: Sequence[Profile], line: float) -> list[System]:
    """The rows of outlines as systems; measured from their upper edges.

    Args:
        heads: what stands over the outlines, in order.
        profiles: their outlines.
        line: length of a whole line in staff spaces.
    """
    heights = [
        head_height(head, COLUMN * line / _SIZE, _TICKS) + _GAP + one.above + one.below
        for head, one in zip(heads, profiles, strict=True)
    ]
    found: list[System] = []
    before = 0.0
    for start in range(0, len(heights), COLUMNS):
        height = max(heights[start : start + COLUMNS])
        found.append(System(0.0, before + _APART, before + _APART, 0.1, height + _FOOT))
        before = height
    return found
