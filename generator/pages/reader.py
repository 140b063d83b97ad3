"""A reader's own page: what eyes that need it ask of print. Pure.

Readers with low vision or dyslexia differ, and no values serve all of them: what one has asked for is kept and used for
every page. Thicker lines are never the default: they made ordinary students misread twice as often (Wilkins and Kiff).
The knobs are those of guides to modified stave notation (UKAAF G009, 2013) and to dyslexia in music teaching.
"""

from dataclasses import dataclass
from typing import Literal, get_args

Names = Literal["none", "in", "under"]
Letters = Literal["usual", "plain"]
NAMES: tuple[Names, ...] = get_args(Names)
LETTERS: tuple[Letters, ...] = get_args(Letters)
# Height of the five lines in points, from the smallest engravers print to three to a page.
SMALLEST_STAFF, LARGEST_STAFF = 12, 60
THICKEST, WIDEST, MOST_BARS = 3, 2, 12
# Pale enough for black notes: red, green and blue of 255 (our own choice; readers differ).
TINTS = {
    "none": (255, 255, 255),
    "cream": (253, 246, 227),
    "yellow": (255, 250, 200),
    "peach": (255, 232, 214),
    "pink": (253, 230, 236),
    "green": (228, 244, 228),
    "blue": (226, 240, 250),
    "grey": (236, 236, 236),
}


@dataclass(frozen=True, slots=True)
class ReaderNeeds:
    """How one person's pages are printed.

    Attributes:
        staff: height of the staff in points; None for that of the print size.
        landscape: the paper lies on its long side.
        lines: thickness of lines, 1 being the usual one.
        letters: the usual ones, or plain ones without italics.
        bars: bars on a line at the most; None for as many as fit.
        spacing: how much further apart notes stand than usual.
        names: names of the notes in their heads, under them, or none.
        tint: colour of the paper.
        ottava: flutes and piccolos read long high passages an octave lower, under 8va.
    """

    staff: float | None = None
    landscape: bool = False
    lines: float = 1.0
    letters: Letters = "usual"
    bars: int | None = None
    spacing: float = 1.0
    names: Names = "none"
    tint: str = "none"
    ottava: bool = False

    @property
    def plain(self) -> bool:
        """Whether letters are plain."""
        return self.letters == "plain"

    @property
    def apart(self) -> float:
        """How much more room notes take; names under them need some of their own."""
        return self.spacing * (1.2 if self.names == "under" else 1.0)


USUAL_READER = ReaderNeeds()
