"""What is asked of a page besides its print size, in place of what its reader has settled."""

from dataclasses import dataclass, replace

from generator.pages.paper import staff_of
from generator.pages.reader import ReaderNeeds


@dataclass(frozen=True, slots=True)
class OwnPage:
    """Asked for one page.

    Attributes:
        staff: height of the staff in points, or None.
        landscape: the paper lies on its long side; None where nothing is said.
    """

    staff: float | None = None
    landscape: bool | None = None

    def of(self, reader: ReaderNeeds, size: str | None = None) -> ReaderNeeds:
        """What holds for the page.

        Args:
            reader: what the reader has settled.
            size: a print size that is asked for; it goes before the reader's staff, a staff before both.

        Raises:
            RequestError: no such staff.

        >>> asked = OwnPage(landscape=True).of(ReaderNeeds(staff=26, lines=1.5), "small")
        >>> asked.staff, asked.landscape, asked.lines
        (None, True, 1.5)
        """
        staff = staff_of(self.staff) or (None if size else reader.staff)
        landscape = reader.landscape if self.landscape is None else self.landscape
        return replace(reader, staff=staff, landscape=landscape)


NO_PAGE = OwnPage()
