"""Required lists with a date, and how many practice days a calendar holds.

Until the last 2 * N_Q practice days before the date (N_Q: the promise of the required list alone, with the
same floor) its items are wanted about five times in the days that are left. In that last window the floor
goes to the required list first, so that each of its items comes at least twice, the last time at most N_Q
practice days before the date. Everything else waits at most the window longer than promised. The last three days
belong to the list alone, slowly; the day itself to a light warm-up of it. (A teacher's custom: what is not there
three days before does not come by cramming, and a player who has just been through strange keys is not warm but
tired. No source.)

A fifth of the time left is a round figure inside the 10 to 40 % that Cepeda et al. 2008 report for facts
remembered over weeks; it is not a finding about scales.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.rotation.item_table import ItemTable
from generator.rotation.promise import Floor, floor_at, lengths_of, total_minutes
from generator.rotation.records import DatedList, Item
from generator.rotation.replay import State

MEMORY_DAYS = 28
PLAYED_BEFORE, DAYS_BEFORE = 6, 7  # a new player is taken to practise six days in seven
LEAST_ATTENDANCE = Fraction(3, 10)
TIMES_WANTED = 5
TIMES_SURE = 2
ALONE_DAYS = 3  # before the date, which the list has to itself


@dataclass(frozen=True, slots=True)
class Countdown:
    """One required list as seen on one morning.

    Attributes:
        name: how sentences call it.
        days: calendar days to the date, 0 on the day itself.
        practice_days: how many of them are expected to be practised, at least 1.
        item_ids: its items that are on the list and fit the budget.
        minutes: to play these once.
        promise: N_Q, the longest gap of these while they have the floor, practice days.
        open: the window has begun: they have the floor.
    """

    name: str
    days: int
    practice_days: int
    item_ids: frozenset[str]
    minutes: int
    promise: int
    open: bool

    @property
    def alone(self) -> bool:
        """Whether it has the sheet to itself.

        >>> ahead = Countdown(
        ...     name="audition", days=3, practice_days=2, item_ids=frozenset({"G"}), minutes=9, promise=3, open=True
        ... )
        >>> ahead.alone
        True
        """
        return self.days <= ALONE_DAYS

    @property
    def window(self) -> int:
        """Length of the window in practice days.

        >>> ahead = Countdown(
        ...     name="audition", days=14, practice_days=12, item_ids=frozenset({"G"}), minutes=9, promise=3, open=False
        ... )
        >>> ahead.window
        6
        """
        return TIMES_SURE * self.promise

    @property
    def wanted_gap(self) -> int:
        """The longest gap wanted for its items until the window opens.

        >>> ahead = Countdown(
        ...     name="audition", days=14, practice_days=12, item_ids=frozenset({"G"}), minutes=9, promise=3, open=False
        ... )
        >>> ahead.wanted_gap
        3
        """
        return -(-self.practice_days // TIMES_WANTED)


def attendance(state: State, today: dt.date, full: int = 1) -> Fraction:
    """Share of days practised in the last four weeks, smoothed, between 3/10 and 34/35.

    Args:
        state: what the log says.
        today: the day of the sheet.
        full: minutes of the list that make a whole day of it; less counts in part.

    >>> state = State.blank([Item("G")])
    >>> state.first_day, state.days = dt.date(2027, 3, 1), ["2027-03-01", "2027-03-03"]
    >>> state.worked = [4, 12]
    >>> attendance(state, dt.date(2027, 3, 5)), attendance(state, dt.date(2027, 3, 5), full=8)
    (Fraction(8, 11), Fraction(15, 22))
    """
    known = 0 if state.first_day is None else (today - state.first_day).days
    start = (today - dt.timedelta(days=min(MEMORY_DAYS, (today - dt.date.min).days))).isoformat()
    recent = sum(
        min(Fraction(max(worked, 1), full), Fraction(1))
        for day, worked in zip(state.days[-MEMORY_DAYS:], state.worked[-MEMORY_DAYS:], strict=True)
        if day >= start
    )
    return max(Fraction(recent + PLAYED_BEFORE, min(MEMORY_DAYS, known) + DAYS_BEFORE), LEAST_ATTENDANCE)


def countdowns(
    lists: Iterable[DatedList], items: Sequence[Item], floor: Floor, today: dt.date, pace: Fraction
) -> tuple[Countdown, ...]:
    """The lists still ahead that have something to play, nearest date first.

    Args:
        lists: every required list; those dated earlier are over.
        items: what is on the list and fits the budget.
        floor: the floor of the whole list.
        today: the day of the sheet.
        pace: share of days practised.

    >>> lists = [DatedList("audition", dt.date(2027, 3, 19), frozenset({"G"}))]
    >>> floor = floor_at({1: 2}, budget=2, minutes=1)
    >>> ahead = countdowns(lists, [Item("G"), Item("D")], floor, dt.date(2027, 3, 5), Fraction(6, 7))
    >>> [(one.name, one.days, one.practice_days, one.promise) for one in ahead]
    [('audition', 14, 12, 1)]
    """
    ahead = []
    table = ItemTable.of(items)
    for required in sorted(lists, key=lambda required: (required.day, required.name)):
        days = (required.day - today).days
        mine = table.only([item_id in required.item_ids for item_id in table.ids]) if days >= 0 else ()
        if not mine:
            continue
        lengths = lengths_of(mine.minutes)
        promise = floor_at(lengths, floor.budget, floor.minutes).promise
        practice_days = max(1, int(days * pace))
        ahead.append(
            Countdown(
                name=required.name,
                days=days,
                practice_days=practice_days,
                item_ids=frozenset(mine.ids),
                minutes=total_minutes(lengths),
                promise=promise,
                open=practice_days <= TIMES_SURE * promise or days <= ALONE_DAYS,
            )
        )
    return tuple(ahead)


def having_floor(ahead: Sequence[Countdown]) -> Countdown | None:
    """The list that has the floor today: the nearest whose window is open.

    >>> ahead = Countdown(
    ...     name="audition", days=14, practice_days=12, item_ids=frozenset({"G"}), minutes=9, promise=3, open=False
    ... )
    >>> having_floor([ahead]) is None
    True
    """
    return next((countdown for countdown in ahead if countdown.open), None)


def wanted_gaps(ahead: Sequence[Countdown]) -> dict[str, int]:
    """The gap each item of a list is wanted at; items of lists in their window keep their own.

    >>> ahead = Countdown(
    ...     name="audition", days=14, practice_days=12, item_ids=frozenset({"G"}), minutes=9, promise=3, open=False
    ... )
    >>> wanted_gaps([ahead])
    {'G': 3}
    """
    gaps: dict[str, int] = {}
    for countdown in ahead:
        if not countdown.open:
            for item_id in countdown.item_ids:
                gaps[item_id] = min(gaps.get(item_id, countdown.wanted_gap), countdown.wanted_gap)
    return gaps
