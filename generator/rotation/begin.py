"""What was never played comes on the sheet a little at a time.

After a player's first two practice days at most a third of a sheet is new, so that what was begun comes back
before it is forgotten. New items are begun in the order in which they came on the list, the smaller rank first; a
key that runs through the sheet is a little ahead of the others.

While there are new items the floor is made of both: up to a third of the sheet's minutes of new ones, then the head
of the line. Minutes of new items count towards the floor where they came on the list before the head was last played:
then they stood before it in the line, and the proof in `promise` holds word for word. Others, on a list that grew,
come on top of a whole floor, so that they delay nothing that waits; the third is kept free for them.

**How long it takes until all have begun.** Let q be a third of the usual minutes and k two for every eleven of
them: about a third of the rows, which take less than two minutes each. A day takes new items until k are begun or
nothing more fits q, so it begins k of them, or over q - m minutes, m being the shortest left, and one item at least.
Give each new item of m minutes the weight of the larger of 1 / k and m / max(q - m + 1, m). While the shortest left
stays the same, what a day begins weighs 1 or more: if it is k items, by the first, else by the second, which for what
is longer is larger still. (The day on which the last of a length is begun may weigh less.) So

    B = the weights of all, + number of lengths

practice days at most. A day counts for this by what was begun on it over q - m + 1, or by their number over k, at most
1 (`begin_share`); a page of the usual minutes whose marked rows were all played counts 1. What is promised is the
larger of N and B.

What was noted as played and taken back is not new any more: it stands in the line where it stood, so that what is
still to begin never grows but by what comes on the list. What takes longer than a third of a sheet is not begun by
itself either: it stands in the line from the day it came on the list. Where the longest item leaves no room for a third
of the sheet all new items do.
"""

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from generator.rotation.promise import THIRD, Lengths

ROWS = Fraction(2, 11)  # new rows for each minute of a sheet
FREE_DAYS = 2  # a player's first practice days, on which everything may be new
AHEAD = 3  # so many ranks a key that runs through the sheet is ahead
LISTED = 1_000_000  # so many what a dated list or an aim asks for


class New(NamedTuple):
    """An item that was never played, the first to be begun being the smallest.

    Attributes:
        age: see `replay.State`.
        entered: day on which it came on the list, or "".
        rank: its rank, less `AHEAD` in the key that runs through the sheet, less `LISTED` on a dated list or aimed at.
        tie: the fixed order.
        place: its row.
        minutes: its minutes.
    """

    age: int
    entered: str
    rank: int
    tie: tuple[int, int, str]
    place: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Beginning:
    """How new items are begun at the usual minutes.

    Attributes:
        minutes: for new items a day, q.
        rows: how many of them at most, k.
        promise: practice days until all have begun, B; 0 if there is none.
    """

    minutes: int
    rows: int
    promise: int


def beginning(lengths: Lengths, budget: int) -> Beginning:
    """How long new items of some lengths take to begin.

    >>> beginning({1: 20, 2: 10}, budget=17), beginning({}, budget=17)
    (Beginning(minutes=5, rows=3, promise=13), Beginning(minutes=5, rows=3, promise=0))
    """
    third, rows = budget // THIRD, max(1, int(budget * ROWS))
    weight = sum(
        (number * max(Fraction(1, rows), Fraction(length, max(third - length + 1, length))))
        for length, number in lengths.items()
    )
    return Beginning(minutes=third, rows=rows, promise=int(weight) + len(lengths))


def begin_share(left: Iterable[int], begun: Sequence[int], start: Beginning) -> Fraction:
    """How much of a practice day a date was, by what was begun on it.

    Args:
        left: minutes of what is still to be begun afterwards.
        begun: minutes of what was begun.
        start: q and k.

    >>> start = beginning({1: 20, 2: 10}, budget=17)
    >>> print(begin_share([2, 3], [2, 2], start), begin_share([2], [1], start), begin_share([1], [1, 1, 1], start))
    1 1/3 1
    """
    shortest = min(left, default=0)
    if not shortest:
        return Fraction(1)
    by_minutes = Fraction(sum(begun), max(1, start.minutes - shortest + 1))
    return min(max(by_minutes, Fraction(len(begun), start.rows)), Fraction(1))


def first_new(waiting: Sequence[New], minutes: int, rows: int) -> list[New]:
    """Those to begin with so many minutes and rows: in order, passing over what does not fit.

    >>> line = [New(1, "", 0, (n, 0, ""), n, minutes) for n, minutes in enumerate((2, 3, 2, 1))]
    >>> [[new.place for new in first_new(line, minutes, rows=2)] for minutes in (5, 4)]
    [[0, 1], [0, 2]]
    """
    by_length: dict[int, list[New]] = {}
    for new in waiting:
        if new.minutes <= minutes:
            by_length.setdefault(new.minutes, []).append(new)
    # Of one length no more are ever begun than fit.
    short = (heapq.nsmallest(minutes // length, group) for length, group in by_length.items())
    chosen: list[New] = []
    for new in sorted(one for group in short for one in group):
        if new.minutes <= minutes and len(chosen) < rows:
            chosen.append(new)
            minutes -= new.minutes
    return chosen
