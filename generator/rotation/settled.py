"""What the log says of each item from everything before some day, kept so that it need not be read again.

What is dated before that day is in it, and every entry that takes something back which had been read when it was
made. The days from then on are added to it one by one, so the state is the same as if the whole log were read.
"""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Settled:
    """A state without the days after it; see `replay.State` for the columns.

    Attributes:
        before: everything dated before this day is in it, nothing else.
        today: what was taken back up to this day is not in it; it serves this day and later ones.
        ceiling: the longest wanted gap that was reckoned with.
        others: ids of the last rows; the rows before them are the items of the list, in its order.
        ages: twice a practice day, plus one for an entry.
        gaps: wanted gaps, practice days.
        played: days of the last plays.
        entered: days of the last entries into the list.
        absent: taken out.
        days: the practice days.
        first_day: the first day the log knows, or None.
        gone: numbers (seq) of the entries that were taken back.
    """

    before: dt.date
    today: dt.date
    ceiling: int
    others: tuple[str, ...]
    ages: tuple[int, ...]
    gaps: tuple[int, ...]
    played: tuple[str | None, ...]
    entered: tuple[str | None, ...]
    absent: tuple[bool, ...]
    days: tuple[str, ...]
    first_day: dt.date | None
    gone: frozenset[int]
