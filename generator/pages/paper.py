"""Paper and print sizes. Lengths in millimetres unless a name says staff spaces.

Staff sizes in points are the height of the five lines; a staff space is a quarter of that. 18 pt (6.3 mm) is a
comfortable part; 28 pt serves large print (no measured standard exists; readers differ).
"""

from dataclasses import dataclass, replace
from typing import Literal

from generator.errors import RequestError, shown
from generator.pages.reader import LARGEST_STAFF, SMALLEST_STAFF, USUAL_READER, ReaderNeeds

PaperName = Literal["letter", "a4"]
PrintSize = Literal["small", "normal", "large"]
MM_PER_POINT = 25.4 / 72.27
_SIZES = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
_STAFF = {"small": 16.0, "normal": 18.0, "large": 28.0}
LEFT, RIGHT, TOP, BOTTOM = 16.0, 14.0, 12.0, 11.0
# The same of a half sheet: left, right, top, bottom; and how wide and high it is, upright.
HALF_MARGINS = (11.0, 10.0, 9.0, 9.0)
_HALVES = {"letter": (139.7, 215.9), "a4": (148.0, 210.0)}
# Smaller staves, 5.5 mm, are hard to read on a stand (common practice, no source).
EASY = 15.6
_CLOSER = (0.95, 0.9, 0.89)  # of 18 points the last is 16, which holds ten lines to a page
PAPERS: tuple[PaperName, ...] = ("letter", "a4")
PRINT_SIZES: tuple[PrintSize, ...] = ("small", "normal", "large")


@dataclass(frozen=True, slots=True)
class Paper:
    """A page to print on.

    Attributes:
        name: letter or a4.
        staff: staff size in points.
        reader: how the one who reads it needs it printed.
        half: half a sheet, upright.
    """

    name: PaperName
    staff: float
    reader: ReaderNeeds = USUAL_READER
    half: bool = False

    def __str__(self) -> str:
        # Codes of sheets are made of this, and those of usual pages stay what they are.
        own = f", {self.reader}" if self.reader != USUAL_READER else ""
        own += ", half" if self.half else ""
        return f"Paper(name={self.name!r}, staff={self.staff!r}{own})"

    @classmethod
    def of(cls, name: str, size: str, reader: ReaderNeeds = USUAL_READER) -> "Paper":
        """Paper and print size by name.

        Args:
            name: letter or a4.
            size: small, normal or large.
            reader: how the one who reads it needs it; a staff of their own goes before the size.

        Raises:
            RequestError: no such paper or size.
        """
        if name not in _SIZES:
            raise RequestError(f"unknown paper {shown(name)}; it can be {' or '.join(_SIZES)}")
        if size not in _STAFF:
            raise RequestError(f"unknown print size {shown(size)}; it can be {', '.join(_STAFF)}")
        return cls(name, reader.staff or _STAFF[size], reader)  # type: ignore[arg-type]

    def read_by(self, reader: ReaderNeeds) -> "Paper":
        """The same as another reader needs it: a staff of their own goes before this one."""
        return replace(self, staff=reader.staff or self.staff, reader=reader)

    @property
    def width_and_height(self) -> tuple[float, float]:
        """Of the whole sheet."""
        width, height = _HALVES[self.name] if self.half else _SIZES[self.name]
        return (height, width) if self.reader.landscape else (width, height)

    @property
    def margins(self) -> tuple[float, float, float, float]:
        """Left, right, top and bottom."""
        return HALF_MARGINS if self.half else (LEFT, RIGHT, TOP, BOTTOM)

    @property
    def space(self) -> float:
        """One staff space."""
        return self.staff * MM_PER_POINT / 4

    @property
    def line(self) -> float:
        """Length of a line in staff spaces."""
        left, right, *_ = self.margins
        return (self.width_and_height[0] - left - right) / self.space

    @property
    def height(self) -> float:
        """Height between the margins in staff spaces."""
        *_, top, bottom = self.margins
        return (self.width_and_height[1] - top - bottom) / self.space

    @property
    def closer(self) -> tuple["Paper", ...]:
        """The same with somewhat smaller staves, where they stay easy to read and no size was asked for."""
        if self.large or self.reader.staff:
            return ()
        sizes = (self.staff * share for share in _CLOSER)
        return tuple(replace(self, staff=round(size, 1)) for size in sizes if size >= EASY)

    @property
    def large(self) -> bool:
        """Whether this is large print."""
        return self.staff > 22


def staff_of(points: float | None) -> float | None:
    """A staff size as asked for.

    Raises:
        RequestError: nobody could read it, or no page could hold it.
    """
    if points is not None and not SMALLEST_STAFF <= points <= LARGEST_STAFF:
        raise RequestError(
            f"a staff of {points:g} points cannot be printed; it can be {SMALLEST_STAFF} to {LARGEST_STAFF} points high"
        )
    return points
