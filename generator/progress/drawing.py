"""A drawn page: words, lines, boxes and dots at places in millimetres, before any program draws them.

Places count from the top left corner of the paper, x to the right and y downwards; the y of words is their baseline.
Ink runs from 0 (black) to 1 (white): pages are for black printers. Sizes of letters and widths of lines are in points.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

Align = Literal["left", "center", "right"]
Face = Literal["regular", "bold", "italic"]
Measure = Callable[[str, float, Face], float]
"""Width of words in millimetres, for a size in points and a face."""

MM_PER_POINT = 25.4 / 72
BLACK, WHITE = 0.0, 1.0
HAIR = 0.4
ELLIPSIS = "…"
TIED = "\u00a0"
"""A space at which no line is broken."""


@dataclass(frozen=True, slots=True)
class Text:
    """Words in one line."""

    x: float
    y: float
    words: str
    size: float = 10
    face: Face = "regular"
    align: Align = "left"
    ink: float = BLACK


@dataclass(frozen=True, slots=True)
class Line:
    """A line through some points; dashed if asked for."""

    points: tuple[tuple[float, float], ...]
    width: float = HAIR
    ink: float = BLACK
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A box from its top left corner; filled, outlined or both."""

    x: float
    y: float
    width: float
    height: float
    fill: float | None = None
    outline: float | None = None


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled shape through its corners."""

    corners: tuple[tuple[float, float], ...]
    ink: float = BLACK


@dataclass(frozen=True, slots=True)
class Dot:
    """A round dot; hollow ones have a white middle."""

    x: float
    y: float
    radius: float = 0.7
    hollow: bool = False


Mark: TypeAlias = Text | Line | Box | Shape | Dot


@dataclass(frozen=True, slots=True)
class Drawing:
    """One page.

    Attributes:
        width: of the paper, millimetres.
        height: of the paper.
        marks: in the order of drawing; later ones cover earlier ones.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]


def wrapped(
    words: str, width: float, size: float, measure: Measure, face: Face = "regular"
) -> tuple[str, ...]:
    """Words broken into lines that are no wider than `width`; a word that is wider alone is cut with an ellipsis."""
    lines: list[str] = []
    line: list[str] = []
    used = 0.0
    space = measure(" ", size, face)
    for word in filter(None, words.split(" ")):
        fits = cut(word, width, size, measure, face)
        needed = measure(fits, size, face)
        if line and used + space + needed > width:
            lines.append(" ".join(line))
            line, used = [], 0.0
        used += needed + (space if line else 0)
        line.append(fits)
    return (*lines, " ".join(line)) if line else tuple(lines)


def cut(words: str, width: float, size: float, measure: Measure, face: Face = "regular") -> str:
    """The words, or as many of their letters as fit with an ellipsis after them."""
    if measure(words, size, face) <= width:
        return words
    end = len(words)
    while end and measure(words[:end].rstrip() + ELLIPSIS, size, face) > width:
        end -= 1
    return words[:end].rstrip() + ELLIPSIS


def shrunk(
    words: str, width: float, size: float, least: float, measure: Measure, face: Face = "regular"
) -> float:
    """The largest size from `size` down to `least`, in halves of a point, at which words fit a width."""
    while size > least and measure(words, size, face) > width:
        size -= 0.5
    return size
