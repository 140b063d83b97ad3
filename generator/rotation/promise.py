"""The promise: how many practice days any exercise can wait at the longest.

A part of each sheet, the *floor* of R minutes, goes strictly to whatever has waited longest. While an item
waits, every other item can be a floor row at most once (played, it is younger and stays so). So a day of
waiting uses up R minutes of the list, except where the lane stopped early at an item that did not fit; such
an item is longer than M - R + 1 and certainly fits first thing next day, and that short day also used up an
item shorter than R. Hence, with L minutes in the whole list, the longest gap is

    N = (L - shortest) // max(R, shortest) + 1 + min(items longer than M - R + 1, items shorter than R)

whatever the ratings, the days off and the rest of the sheet. No rule at all can do better than L / M days:
within any G days of a gap G everything is played once, so L <= G * M.
(Own proof; the floor is the project's own rule. Gaps that hold for each item separately are not to be had:
deciding that is NP-hard already for items of equal length; see tests/rotation/test_theory.py.)
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.rotation.item_table import ItemTable
from generator.rotation.records import Item

HALF = Fraction(1, 2)

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
    """

    budget: int
    minutes: int
    promise: int
    short_days: int
    step: int

    def is_long(self, minutes: int) -> bool:
        """Whether an item of so many minutes may find no room after the floor has begun with others.

        >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
        >>> floor.is_long(6), floor.is_long(7)
        (False, True)
        """
        return minutes > self.budget - self.minutes + 1

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


def floor_at(lengths: Lengths, budget: int, minutes: int) -> Floor:
    """The promise, in practice days, that a floor of exactly `minutes` gives; every length must fit the budget.

    >>> floor = floor_at({2: 10, 9: 1}, budget=10, minutes=5)
    >>> floor.promise, floor.short_days
    (7, 1)
    """
    if not lengths:
        return Floor(budget=budget, minutes=minutes, promise=0, short_days=0, step=max(1, minutes))
    shortest = min(lengths)
    step = max(minutes, shortest)
    long = sum(count for length, count in lengths.items() if length > budget - minutes + 1)
    small = sum(count for length, count in lengths.items() if length < minutes)
    short_days = min(long, small)
    promise = (total_minutes(lengths) - shortest) // step + 1 + short_days
    return Floor(budget=budget, minutes=minutes, promise=promise, short_days=short_days, step=step)


def best_floor(lengths: Lengths, budget: int, share: Fraction = HALF) -> Floor:
    """The floor for a list, in minutes: `share` of the budget, or a smaller one if that promises more.

    Smaller ones pay where a few items nearly fill a sheet: with R = M - l + 1 an item of l minutes costs no
    short day. Among equal promises the floor nearest to the share is taken.

    >>> best_floor({2: 10, 9: 1}, budget=10)
    Floor(budget=10, minutes=5, promise=7, short_days=1, step=5)
    """
    asked = -(-budget * share.numerator // share.denominator)
    smaller = {budget - length + 1 for length in lengths if budget - length + 1 < asked}
    floors = [floor_at(lengths, budget, minutes) for minutes in (asked, *sorted(smaller, reverse=True))]
    return min(floors, key=lambda floor: floor.promise)


def minutes_needed(lengths: Lengths, wished: int, share: Fraction = HALF) -> int:
    """The smallest budget whose promise is at most `wished` practice days, and that fits every item.

    Found by search, since a minute more can cost a short day: the search starts at the first budget whose
    floor is large enough on the count of minutes alone.

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
    while best_floor(lengths, budget, share).promise > wished:
        budget += 1
    return budget


def minutes_allowed(floor: Floor, shortest: int, wished: int) -> int:
    """How long a list may be, in minutes, for the promise `wished` at today's budget; 0 if none is known.

    >>> minutes_allowed(best_floor({1: 60}, budget=12), shortest=1, wished=10)
    60
    """
    days = wished - floor.short_days
    return max(0, days * floor.step + shortest - 1) if days > 0 else 0


@dataclass(frozen=True, slots=True)
class Outlook:
    """What can be promised from today's state on.

    Attributes:
        promise_now: longest gap of the waits now running, never less than the promise.
        settles_in: practice days until nothing can wait longer than the promise any more; 0 if so already.
    """

    promise_now: int
    settles_in: int


def outlook(items: Sequence[Item], by_age: Mapping[int, Sequence[int]], day: int, floor: Floor) -> Outlook:
    """The bound that holds from today's actual state, whatever happened before.

    Args:
        items: what is on the list and fits.
        by_age: the places of the items of each age, see `replay.State`.
        day: the practice day that today would be.
        floor: the floor from today on.

    >>> items = [Item("G"), Item("D"), Item("A")]
    >>> outlook(items, {1: [0, 1, 2]}, day=3, floor=floor_at({1: 3}, budget=2, minutes=1))
    Outlook(promise_now=5, settles_in=3)
    """
    ahead = long = small = settles_in = 0
    now, step = floor.promise, floor.step
    table = ItemTable.of(items)
    minutes, tie = table.minutes, table.tie
    ages = sorted(by_age)
    if ages and floor.short_days:
        first = min(by_age[ages[0]], key=tie)
        long -= floor.is_long(minutes[first])  # the first in line surely fits
    for age in ages:
        lengths = [minutes[place] for place in by_age[age]]
        ahead += sum(lengths)
        if floor.short_days:
            long += sum(map(floor.is_long, lengths))
            small += sum(map(floor.is_small, lengths))
        waited = day - (age >> 1)
        if waited + ahead // step + min(long, small) <= floor.promise:
            continue  # not even one that takes no time itself would wait too long
        last = minutes[max(by_age[age], key=tie)]  # the last in line of one age waits longest
        to_wait = (ahead - last) // step + min(long, small - (small > 0 and floor.is_small(last)))
        if waited + to_wait > floor.promise:
            settles_in = max(settles_in, to_wait + 1)
            now = max(now, waited + to_wait)
    return Outlook(promise_now=now, settles_in=settles_in)


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
