"""How large a book will be, told before the work begins, and the largest that is bound."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from generator.errors import DoesNotFitError, RequestError
from generator.pages.sheet import Words, lay_out
from generator.phrase.expand import Ordered
from generator.publish.sheet import SheetOrder

# A ream of paper, 500 sheets printed on both sides: more is no book that anybody binds or opens flat on a stand.
MOST_PAGES = 1000
# Fewer exercises are engraved before a person has read what they would be told.
WORTH_TELLING = 120
_SAMPLE = 48
# LilyPond takes 0.67 to 0.95 ms of computing time a note (measured for books of 96 to 408 exercises with 2.24.3), two
# runs at a time.
_SECONDS_A_NOTE = 0.0005
_ENTRIES_A_PAGE = 60  # of the contents
_EVEN = 50


@dataclass(frozen=True, slots=True)
class BookSize:
    """A book before it is engraved, as far as a sample of its exercises tells.

    Attributes:
        exercises: how many.
        pages: about how many, contents included.
        seconds: about how long two cores at rest take.
    """

    exercises: int
    pages: int
    seconds: int

    @property
    def words(self) -> str:
        """``1,200 exercises, about 250 pages and 2 minutes of work``."""
        minutes = round(self.seconds / 60)
        work = f"{minutes} minutes" if minutes > 1 else "a minute" if self.seconds > 40 else "half a minute"
        return f"{self.exercises:,} exercises, about {self.pages:,} pages and {work} of work"


def book_size(orders: Sequence[Ordered], order: SheetOrder) -> BookSize:
    """What a book of these exercises comes to; some are built and laid out for it, evenly spread over it.

    Args:
        orders: the exercises.
        order: how to print.
    """
    sample = []
    for one in orders[:: ceil(len(orders) / _SAMPLE)]:
        try:
            sample.append(one.make())
        except DoesNotFitError:  # told when its turn comes
            continue
    if not sample:
        return BookSize(len(orders), 0, 0)
    share = len(orders) / len(sample)
    notes = share * sum(len(bar.notes) for one in sample for bar in one.bars)
    pages = (
        share * lay_out(sample, Words("", ""), order.paper, order.show).pages + len(orders) / _ENTRIES_A_PAGE
    )
    return BookSize(len(orders), _rounded(pages), round(notes * _SECONDS_A_NOTE))


def refuse_too_large(size: BookSize, *, more: bool = False) -> None:
    """See whether it can be a book.

    Args:
        size: of the book.
        more: whether there are exercises that were not even counted.

    Raises:
        RequestError: it would have too many pages.
    """
    if not more and size.pages <= MOST_PAGES:
        return
    fit = size.exercises * MOST_PAGES // max(size.pages, 1) // _EVEN * _EVEN
    than = "more than " if more else ""
    raise RequestError(
        f"these are {than}{size.words}; a book holds {MOST_PAGES:,} pages, a ream of paper printed on both sides, "
        f"which is about {fit:,} exercises like these; ask for several books"
    )


def _rounded(number: float) -> int:
    """Ten of them are a page more or less of a thousand, so two figures tell enough."""
    step = 10 if number < 1000 else 100
    return ceil(number / step) * step
