"""Turns the entries of the log into what is known of each item on one morning.

Nothing derived is stored anywhere: the same entries, day and ceiling always give the same state, and the
order in which the entries arrive does not matter.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from operator import itemgetter

from generator.errors import RequestError
from generator.rotation.gap import FIRST_GAP, next_gap
from generator.rotation.records import EventTuple, Item

NEVER_ENTERED = 1  # the age of an item the log has never heard of: on the list from the very start

_SEQ, _DAY = itemgetter(0), itemgetter(2)


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
        days: the practice days so far.
        first_day: the first day the log knows, or None.
        later: entries dated after this day.
    """

    places: dict[str, int]
    ages: list[int]
    gaps: list[int]
    played: list[str | None]
    entered: list[str | None]
    absent: list[bool]
    days: list[str] = field(default_factory=list)
    first_day: dt.date | None = None
    later: int = 0

    @classmethod
    def blank(cls, items: Sequence[Item]) -> "State":
        """The state before the first entry."""
        number = len(items)
        return cls(
            places={item.id: place for place, item in enumerate(items)},
            ages=[NEVER_ENTERED] * number,
            gaps=[FIRST_GAP] * number,
            played=[None] * number,
            entered=[None] * number,
            absent=[False] * number,
        )

    @property
    def today(self) -> int:
        """The practice day that today would be."""
        return len(self.days) + 1

    def row(self, item_id: str) -> int:
        """The row of an item; a new one if it is not on the list."""
        place = self.places.get(item_id)
        if place is None:
            self.places[item_id] = place = len(self.ages)
            self.ages.append(NEVER_ENTERED)
            self.gaps.append(FIRST_GAP)
            self.played.append(None)
            self.entered.append(None)
            self.absent.append(False)
        return place

    def change_list(self, changes: Iterable[EventTuple]) -> None:
        """Items come on the list, at the back of the queue with the gap they had, or leave it."""
        row, ages, entered, absent = self.row, self.ages, self.entered, self.absent
        age = 2 * len(self.days) + 1
        for _, kind, day, item, _, _, _, _ in changes:
            if item is None:
                continue
            place = row(item)
            if kind == "item_out":
                absent[place] = True
            elif entered[place] is None or absent[place]:  # a second entry must not send it to the back
                ages[place], entered[place], absent[place] = age, day, False

    def play(self, plays: Iterable[EventTuple], goals: Sequence[int | None], ceiling: int) -> None:
        """The plays of one more practice day; a second play of an item counts as a wait of one."""
        places, ages, gaps, played = self.places, self.ages, self.gaps, self.played
        index, on_list = len(self.days), len(goals)
        for _, _, day, item, rating, tempo, goal, _ in plays:
            if item is None or rating is None:
                continue
            place = places.get(item)
            if place is None:
                place = self.row(item)
            waited = index - (ages[place] >> 1) or 1
            if ages[place] == NEVER_ENTERED and self.entered[place] is None:
                waited = 1  # nobody knows how long it was on the list
            aim = goals[place] if goal is None and place < on_list else goal
            gaps[place] = next_gap(gaps[place], waited, rating, tempo, aim, ceiling)
            ages[place] = 2 * index
            played[place] = day


def replay(events: Iterable[EventTuple], today: dt.date, items: Sequence[Item], ceiling: int) -> State:
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
    """
    entries = list(events)
    check_days({entry[2] for entry in entries})
    now = today.isoformat()
    voided = {entry[7] for entry in entries if entry[1] == "void" and entry[2] <= now}
    if voided:
        entries = [entry for entry in entries if entry[0] not in voided]
    changes = [entry for entry in entries if entry[1] in {"item_in", "item_out"}]
    plays = [entry for entry in entries if entry[1] == "play"]
    for part in (changes, plays):
        part.sort(key=_SEQ)
        part.sort(key=_DAY)
    state = State.blank(items)
    goals = [item.goal for item in items]
    start = done = 0
    for day, end in _ends_of_days(plays):
        if day >= now:
            break
        upto = done
        while upto < len(changes) and changes[upto][2] <= day:
            upto += 1
        state.change_list(changes[done:upto])
        state.days.append(day)
        state.play(plays[start:end], goals, ceiling)
        done, start = upto, end
    state.change_list(change for change in changes[done:] if change[2] <= now)
    _look_around(state, entries, changes, now)
    return state


def _ends_of_days(plays: Sequence[EventTuple]) -> list[tuple[str, int]]:
    """Each day that has plays, with the place where its plays end."""
    return list({play[2]: place for place, play in enumerate(plays, start=1)}.items())


def _look_around(
    state: State, entries: Sequence[EventTuple], changes: Sequence[EventTuple], now: str
) -> None:
    """The first day, and what is dated later: an item that enters only then is not on the list yet."""
    days = state.days[:1] + [change[2] for change in changes[:1] if change[2] <= now]
    state.first_day = dt.date.fromisoformat(min(days)) if days else None
    state.later = sum([entry[2] > now for entry in entries])
    for _, kind, day, item, *_ in changes if state.later else ():
        if item is not None and kind == "item_in" and day > now:
            place = state.row(item)
            state.absent[place] = state.absent[place] or state.entered[place] is None


def check_days(days: Iterable[str]) -> None:
    """Refuse days that are not written as a date of the calendar.

    Raises:
        RequestError: naming the first such day.
    """
    for day in sorted(days):
        try:
            sound = dt.date.fromisoformat(day).isoformat() == day
        except ValueError:
            sound = False
        if not sound:
            raise RequestError(f'"{day}" is no day of the calendar; a date such as 2027-03-05 is needed.')
