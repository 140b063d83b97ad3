"""The promise: within how many practice days everything on the list comes round, from any morning on.

The *line* is the list in the order of waiting: whatever is played goes to its end, and so does whatever comes on
the list. A part of each sheet, the *floor* of R minutes, goes to the head of the line; its rows are marked on the
page. With the usual minutes M and the whole list of L minutes

    N = (L - shortest) // max(R, shortest) + 1 + min(items longer than M - R + 1, items shorter than R)

**What a practice day is.** A day counts by what was played from the head of the line without leaving anything
out: the minutes of that over max(R, shortest), at most 1 (`floor_share`). So a page whose marked rows were all
played counts 1, a shorter page or a part of the marked rows counts in part, and rows played out of turn count
nothing. A day counts 1 as well if what was played from the head ended at an item longer than M - R + 1.

**Theorem.** On any morning take the list and its N. Whatever happens afterwards - ratings, days off, other
minutes, things played out of turn, items that come or go, entries noted late, taken back or brought in from
another log - every item of that list that is not taken off it has been played by the end of the practice day on
which the practice days since that morning, as the log then has it, reach N.

*Proof.* Let i wait. What is played from the head of the line without a gap stands before i, for i itself was not
played; once played it stands behind i, and so does whatever comes on the list later. So each other item is met
there at most once, and it is one of that morning's list. Days of the first kind use up max(R, shortest) minutes
for each practice day they count, and there are L - (minutes of i) minutes at most. A day of the second kind ended
at a long item j, which then stands first: on the next such day j itself is played, or nothing is and the day
counts nothing. So each long item makes one such day; that day also used up an item shorter than R. Together less
than N practice days can pass before i. QED

*That a page counts 1.* The floor of a sheet with at least the usual minutes goes down the line until R minutes
are filled and stops at the first item that does not fit; the head fits for sure. So playing all of it is a day of
the first kind or of the second. (Where a third of the sheet is kept for what is new, that third is taken from M in
the rule for long items; see `begin`. Pages made from the log as it stands: what is noted after the next page was made
is not known to that page.)

No rule at all can do better than L / M days: within any G days of a gap G everything is played once, so
L <= G * M. (Own proof; the floor is the project's own rule. Gaps that hold for each item separately are not to be
had: deciding that is NP-hard already for items of equal length; see tests/rotation/test_theory.py.)

What was never played may have a way of its own on to the sheet, see `begin`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

HALF = Fraction(1, 2)
THIRD = 3  # of a sheet, at most, for what is new

Lengths = Mapping[int, int]


@dataclass(frozen=True, slots=True)
class Floor:
    """The floor of one list at one budget.

    Attributes:
        budget: playing minutes a day, M.
        minutes: minutes for the longest waiting, R.
        promise: longest gap in practice days, N; 0 for an empty list.
        short_days: how many of those days are owed to items too long to share a sheet with the floor.
        step: minutes of the list that every other day surely uses up.
        reserve: minutes kept for what is new, see `begin`.
    """

    budget: int
    minutes: int
    promise: int
    short_days: int
    step: int
    reserve: int = 0

    def is_long(self, minutes: int) -> bool:
        """Whether an item of so many minutes may find no room after the floor has begun with others.

        >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
        >>> floor.is_long(6), floor.is_long(7)
        (False, True)
        """
        return minutes > self.budget - self.reserve - self.minutes + 1

    def is_small(self, minutes: int) -> bool:
        """Whether an item of so many minutes leaves the floor unfilled.

        >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
        >>> floor.is_small(4), floor.is_small(5)
        (True, False)
        """
        return minutes < self.minutes


def lengths_of(minutes: Iterable[int]) -> Counter[int]:
    """How many items there are of each length in minutes.

    >>> lengths_of([2, 2, 3])
    Counter({2: 2, 3: 1})
    """
    return Counter(minutes)


def total_minutes(lengths: Lengths) -> int:
    """Minutes to play the whole list once.

    >>> total_minutes({2: 2, 3: 1})
    7
    """
    return sum(length * count for length, count in lengths.items())


def lower_bound(lengths: Lengths, budget: int) -> int:
    """No schedule of `budget` minutes a day keeps every gap below this many practice days.

    >>> lower_bound({2: 2, 3: 1}, budget=2)
    4
    """
    return -(-total_minutes(lengths) // budget)


def floor_at(lengths: Lengths, budget: int, minutes: int, reserve: int = 0) -> Floor:
    """The promise, in practice days, that a floor of exactly `minutes` gives; every length must fit the budget.

    With a `reserve` for what is new that much less room is left beside the floor.

    >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
    >>> floor.promise, floor.short_days
    (7, 1)
    """
    if not lengths:
        return Floor(
            budget=budget, minutes=minutes, promise=0, short_days=0, step=max(1, minutes), reserve=reserve
        )
    shortest = min(lengths)
    step = max(minutes, shortest)
    long = sum(count for length, count in lengths.items() if length > budget - reserve - minutes + 1)
    small = sum(count for length, count in lengths.items() if length < minutes)
    short_days = min(long, small)
    promise = (total_minutes(lengths) - shortest) // step + 1 + short_days
    return Floor(
        budget=budget, minutes=minutes, promise=promise, short_days=short_days, step=step, reserve=reserve
    )


def best_floor(lengths: Lengths, budget: int, share: Fraction = HALF, reserve: int = 0) -> Floor:
    """The floor for a list, in minutes: `share` of the budget, or a smaller one if that promises more.

    Smaller ones pay where a few items nearly fill a sheet: with R = M - l + 1 an item of l minutes costs no
    short day. Among equal promises the floor nearest to the share is taken.

    >>> best_floor({2: 10, 9: 1}, budget=10)
    Floor(budget=10, minutes=5, promise=7, short_days=1, step=5, reserve=0)
    """
    asked = -(-budget * share.numerator // share.denominator)
    room = budget - reserve
    smaller = {room - length + 1 for length in lengths if 0 < room - length + 1 < asked}
    floors = [
        floor_at(lengths, budget, minutes, reserve) for minutes in (asked, *sorted(smaller, reverse=True))
    ]
    return min(floors, key=lambda floor: floor.promise)


def third_of(budget: int, longest: int) -> int:
    """Minutes for new items on a usual sheet; 0 where the longest item of the list leaves no room for a third.

    >>> third_of(17, longest=3), third_of(17, longest=13)
    (5, 0)
    """
    third = budget // THIRD
    return third if longest + third <= budget else 0


def minutes_needed(lengths: Lengths, wished: int, share: Fraction = HALF, *, gently: bool = False) -> int:
    """The smallest budget whose promise is at most `wished` practice days, and that fits every item.

    Found by search, since a minute more can cost a short day: the search starts at the first budget whose
    floor is large enough on the count of minutes alone. `gently` keeps a third for what is new.

    >>> minutes_needed({1: 60}, wished=10)
    11
    """
    if not lengths:
        return 0
    shortest = min(lengths)
    floor_needed = (total_minutes(lengths) - shortest) // wished + 1
    budget = max(lengths)
    if shortest < floor_needed:
        budget = max(budget, int((floor_needed - 1) / share) + 1)
    longest = max(lengths)
    while best_floor(lengths, budget, share, third_of(budget, longest) if gently else 0).promise > wished:
        budget += 1
    return budget


def minutes_allowed(floor: Floor, shortest: int, wished: int) -> int:
    """How long a list may be, in minutes, for the promise `wished` at today's budget; 0 if none is known.

    >>> minutes_allowed(best_floor({1: 60}, budget=12), shortest=1, wished=10)
    60
    """
    days = wished - floor.short_days
    return max(0, days * floor.step + shortest - 1) if days > 0 else 0


def floor_of_day(usual: Floor, budget: int, share: Fraction = HALF) -> int:
    """Minutes of the floor on a day with other minutes than usual.

    Never fewer than usual on a longer day, and then never more than leaves the room that is usually left, so that
    no item is long on that day which is not long usually.

    >>> usual = best_floor({2: 10, 9: 1}, budget=10)
    >>> [floor_of_day(usual, budget) for budget in (4, 10, 12, 30)]
    [2, 5, 6, 15]
    """
    asked = -(-budget * share.numerator // share.denominator)
    return asked if budget < usual.budget else min(asked, budget - usual.budget + usual.minutes)


def floor_share(line: Iterable[tuple[int, bool]], floor: Floor, credit: int = 0) -> Fraction:
    """How much of a practice day a date was, by what was played from the head of the line.

    Args:
        line: minutes of each item in the order of waiting on that morning, and whether it was played.
        floor: the usual floor.
        credit: minutes played of what was never played before and stands before the head of the line, see `begin`.

    >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
    >>> [str(floor_share([(2, True), (2, two), (2, two), (2, True)], floor)) for two in (True, False)]
    ['1', '2/5']
    >>> print(floor_share([(2, True), (9, False)], floor))
    1
    """
    used = credit
    for minutes, played in line:
        if not played:
            short = 0 < used < floor.minutes and floor.is_long(minutes)
            return Fraction(1) if short else min(Fraction(used, floor.step), Fraction(1))
        used += minutes
    return Fraction(1)  # nothing is left waiting


def sure_by(lengths: Iterable[int], floor: Floor) -> list[int]:
    """Within how many practice days the floor reaches each item of a line.

    Args:
        lengths: the minutes of the items in the order in which they have the floor.
        floor: the floor.

    >>> sure_by([2, 2, 2], floor_at({2: 3}, budget=4, minutes=2))
    [1, 2, 3]
    """
    days = []
    ahead = small = 0
    long = None
    for minutes in lengths:
        long = 0 if long is None else long + floor.is_long(minutes)  # the first in line surely fits
        days.append(ahead // floor.step + min(long, small) + 1)
        ahead += minutes
        small += floor.is_small(minutes)
    return days
