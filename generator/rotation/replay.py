"""Turns the entries of the log into what is known of each item on one morning.

The same entries, day and ceiling always give the same state, and the order in which the entries arrive does not
matter.
"""

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import attrgetter

from generator.errors import RequestError
from generator.rotation.gap import FIRST_GAP, next_gap
from generator.rotation.item_table import ItemTable
from generator.rotation.records import Event, Item

NEVER_ENTERED = 1  # the age of an item the log has never heard of: on the list from the very start

LIST_KINDS = ("item_in", "item_out")
DAY_OF = attrgetter("day")


@dataclass(slots=True)
class State:
    """What the log says on the morning of one day, in columns: first the items of the list, then others.

    Columns, because a large list is read faster so than as one record an item. Days are written as in the
    log, 2027-03-05.

    Attributes:
        places: the row of each id.
        ages: twice the practice day of the last play, or twice the practice day of the entry plus one. So
            the smallest age has waited longest, and whoever has just come in stands behind whoever was
            played on the last practice day: a new item never delays one that is waiting.
        gaps: wanted gap, practice days.
        played: day of the last play.
        entered: day of the last entry into the list.
        absent: it was taken out, or its entry is dated later.
        days: the days with a play so far.
        worked: minutes of the list that were played on each of them.
        first_day: the first day the log knows, or None.
        later: entries dated after this day.
        taken_back: ids of what was noted as played and taken back.
    """

    places: dict[str, int]
    ages: list[int]
    gaps: list[int]
    played: list[str | None]
    entered: list[str | None]
    absent: list[bool]
    days: list[str] = field(default_factory=list)
    worked: list[int] = field(default_factory=list)
    first_day: dt.date | None = None
    later: int = 0
    taken_back: set[str] = field(default_factory=set)

    @classmethod
    def blank(cls, items: Sequence[Item]) -> "State":
        """The state before the first entry.

        >>> State.blank([Item("G major")]).gaps
        [7]
        """
        number = len(items)
        return cls(
            places=dict(zip(ItemTable.of(items).ids, range(number), strict=True)),
            ages=[NEVER_ENTERED] * number,
            gaps=[FIRST_GAP] * number,
            played=[None] * number,
            entered=[None] * number,
            absent=[False] * number,
        )

    @property
    def today(self) -> int:
        """The how-manieth day with a play today would be.

        >>> State.blank([]).today
        1
        """
        return len(self.days) + 1

    def on_list(self, place: int) -> bool:
        """Whether the log has the item of a row on the list.

        >>> state = State.blank([Item("G major")])
        >>> state.on_list(0)
        False
        """
        return self.entered[place] is not None and not self.absent[place]

    def row(self, item_id: str) -> int:
        """The row of an item; a new one if it is not on the list.

        >>> state = State.blank([Item("G major")])
        >>> state.row("G major"), state.row("D major")
        (0, 1)
        """
        place = self.places.get(item_id)
        if place is None:
            self.places[item_id] = place = len(self.ages)
            self.ages.append(NEVER_ENTERED)
            self.gaps.append(FIRST_GAP)
            self.played.append(None)
            self.entered.append(None)
            self.absent.append(False)
        return place

    def change_list(self, changes: Iterable[Event]) -> None:
        """Items come on the list, at the back of the queue with the gap they had, or leave it.

        >>> state = State.blank([Item("G major")])
        >>> state.change_list([Event(1, "item_in", "2027-03-01", "G major")])
        >>> state.entered, state.on_list(0)
        (['2027-03-01'], True)
        """
        row, ages, entered, absent = self.row, self.ages, self.entered, self.absent
        age = 2 * len(self.days) + 1
        for change in changes:
            if change.item is None:
                continue
            place = row(change.item)
            if change.kind == "item_out":
                absent[place] = True
            elif entered[place] is None or absent[place]:  # a second entry must not send it to the back
                ages[place], entered[place], absent[place] = age, change.day, False

    def play(self, plays: Iterable[Event], items: ItemTable, ceiling: int) -> None:
        """The plays of one more practice day; a second play of an item counts as a wait of one.

        >>> items = ItemTable.of([Item("G major", minutes=2)])
        >>> state = State.blank(items)
        >>> state.days.append("2027-03-02")
        >>> state.play([Event(1, "play", "2027-03-02", "G major", rating=2)], items, ceiling=30)
        >>> state.gaps, state.played, state.worked
        ([1], ['2027-03-02'], [2])
        """
        places, ages, gaps, played = self.places, self.ages, self.gaps, self.played
        goals, minutes = items.goals, items.minutes
        index, on_list, worked = len(self.days), len(goals), 0
        for _, _, day, item, rating, tempo, goal, _ in plays:
            if item is None or rating is None:
                continue
            place = places[item] if item in places else self.row(item)
            age = ages[place]
            known = age != NEVER_ENTERED or self.entered[place] is not None
            waited = index - (age >> 1) or 1 if known else 1  # else nobody knows how long it was on the list
            aim = goals[place] if goal is None and place < on_list else goal
            gaps[place] = next_gap(gaps[place], waited, rating, tempo, aim, ceiling)
            ages[place], played[place] = 2 * index, day
            if place < on_list:
                worked += minutes[place]
        self.worked.append(worked)


def replay(events: Iterable[Event], today: dt.date, items: Sequence[Item], ceiling: int) -> State:
    """The state on the morning of `today`.

    Plays before `today` and other entries up to and including it are read, by date, changes of the list
    before plays, then as saved. Plays of `today` itself are not, so a sheet printed again after some of it
    was logged is the same sheet.

    Args:
        events: the log, in any order.
        today: the day of the sheet.
        items: the list; their goal tempi serve plays that were logged without one.
        ceiling: the longest wanted gap.

    Raises:
        RequestError: an entry has a day that is no date.

    >>> log = [Event(1, "item_in", "2027-03-01", "G major"), Event(2, "play", "2027-03-02", "G major", rating=4)]
    >>> state = replay(log, dt.date(2027, 3, 5), [Item("G major")], ceiling=30)
    >>> state.today, state.gaps, state.played
    (2, [8], ['2027-03-02'])
    """
    now = today.isoformat()
    known = list(events)
    entries = standing(known, now)
    changes = in_order(entry for entry in entries if entry.kind in LIST_KINDS)
    plays = in_order(entry for entry in entries if entry.kind == "play")
    state = State.blank(items)
    if len(entries) < len(known):
        kept = {entry.seq for entry in entries}
        state.taken_back = {
            entry.item for entry in known if entry.kind == "play" and entry.item and entry.seq not in kept
        }
    state.later = sum([entry.day > now for entry in entries])
    _read_days(state, changes, plays, ItemTable.of(items), ceiling, now)
    return state


def standing(events: Iterable[Event], now: str) -> list[Event]:
    """The entries of a log without those that were taken back up to a day.

    Args:
        events: the log, in any order.
        now: the day, as 2027-03-05.

    Raises:
        RequestError: an entry has a day that is no date.

    >>> log = [Event(1, "play", "2027-03-02", "G major", rating=4), Event(2, "void", "2027-03-03", ref=1)]
    >>> [event.seq for event in standing(log, "2027-03-02")], [event.seq for event in standing(log, "2027-03-03")]
    ([1, 2], [2])
    """
    entries = list(events)
    check_days({entry.day for entry in entries})
    gone = {entry.ref for entry in entries if entry.kind == "void" and entry.day <= now}
    return [entry for entry in entries if entry.seq not in gone] if gone else entries


def in_order(entries: Iterable[Event]) -> list[Event]:
    """By date, then as saved; two sorts by one column are quicker than one by both, and a log comes sorted.

    >>> log = [Event(2, "play", "2027-03-02"), Event(3, "play", "2027-03-01"), Event(1, "play", "2027-03-02")]
    >>> [event.seq for event in in_order(log)]
    [3, 1, 2]
    """
    return sorted(sorted(entries, key=attrgetter("seq")), key=DAY_OF)


def _read_days(
    state: State,
    changes: Sequence[Event],
    plays: Sequence[Event],
    items: ItemTable,
    ceiling: int,
    now: str,
) -> None:
    """Read the practice days before `now` and what changed on the list up to it."""
    done = 0
    for day, played in groupby(plays, DAY_OF):
        if day >= now:
            break
        upto = bisect_right(changes, day, done, key=DAY_OF)
        state.change_list(changes[done:upto])
        state.days.append(day)
        state.play(played, items, ceiling)
        done = upto
    upto = bisect_right(changes, now, done, key=DAY_OF)
    state.change_list(changes[done:upto])
    known = state.days[:1] + [change.day for change in changes[: min(upto, 1)]]
    if known:
        state.first_day = dt.date.fromisoformat(min(known))
    for change in changes[upto:]:  # what enters later is not on the list yet
        if change.item is not None and change.kind == "item_in":
            place = state.row(change.item)
            state.absent[place] = state.absent[place] or state.entered[place] is None


def check_days(days: Iterable[str]) -> None:
    """Refuse days that are not written as a date of the calendar.

    Raises:
        RequestError: naming the first such day.

    >>> check_days({"2027-02-29"})
    Traceback (most recent call last):
        ...
    generator.errors.RequestError: "2027-02-29" is no day of the calendar; a date such as 2027-03-05 is needed.
    """
    for day in sorted(days):
        try:
            sound = dt.date.fromisoformat(day).isoformat() == day
        except ValueError:
            sound = False
        if not sound:
            raise RequestError(f'"{day}" is no day of the calendar; a date such as 2027-03-05 is needed.')
