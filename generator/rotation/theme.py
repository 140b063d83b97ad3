"""The thread of a sheet: one key that runs through it, for a day or a week, or none.

With a thread a scale comes with its thirds, its arpeggio, its dominant seventh and its relative minor, so that
the ear stays at home while the fingers change what they do; the floor goes on to whatever has waited longest,
in any key. The keys take turns round the circle of fourths, one a practice day or one a week.

The key of the day is what a player gets who says nothing. It is how wind teachers and method books lay out
daily scales, the circle of fourths one key a day; a player knows the key before the page is open; every key
comes back within a fortnight, whereas a week on one key leaves the last one alone for eleven. A sheet of
scattered keys is the harder reading and asks for a new signature every two minutes: good for those who know
all of them. (Common practice; the studies on mixed against blocked practice of music do not decide it.)
"""

import datetime as dt
from collections.abc import Collection, Iterable
from enum import StrEnum

from generator.rotation.records import KEYS

WEEK = 7


class Theme(StrEnum):
    """How long one key runs through the sheets."""

    DAY = "key of the day"
    WEEK = "key of the week"
    SCATTERED = "scattered"


def in_fourths(keys: Iterable[int | None], first: int) -> list[int]:
    """The keys that occur, round the circle of fourths from one of them.

    >>> in_fourths([0, 7, 11, 10, None, 11], first=0)
    [0, 11, 10, 7]
    """
    return sorted({key for key in keys if key is not None}, key=lambda key: (first - key) % KEYS)


def thread_of(
    theme: Theme, keys: Collection[int], today: dt.date, practice_day: int, first_day: dt.date | None
) -> int | None:
    """The key that runs through the sheet of a day.

    Args:
        theme: how long a key stays.
        keys: the keys in turn.
        today: the day.
        practice_day: the practice day that today would be.
        first_day: the first day the log knows.

    >>> start = dt.date(2027, 1, 4)
    >>> [thread_of(Theme.DAY, [0, 11, 10], start, number, start) for number in (1, 2, 3, 4)]
    [0, 11, 10, 0]
    >>> later = start + dt.timedelta(days=8)
    >>> thread_of(Theme.WEEK, [0, 11, 10], later, 5, start), thread_of(Theme.SCATTERED, [0], later, 5, start)
    (11, None)
    """
    in_turn = list(keys)
    if theme is Theme.SCATTERED or not in_turn:
        return None
    if theme is Theme.DAY:
        return in_turn[(practice_day - 1) % len(in_turn)]
    weeks = 0 if first_day is None else _week(today) - _week(first_day)
    return in_turn[weeks % len(in_turn)]


def _week(day: dt.date) -> int:
    """Number of the calendar week, Monday first."""
    return (day.toordinal() - 1) // WEEK
