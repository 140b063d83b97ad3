"""Turns the entries of the log into what is known of each item on one morning.

The same entries, day and ceiling always give the same state, and the order in which the entries arrive does not
matter. Days are read one after the other, so a long log can be read up to some day once (`settle`) and only what
is dated since need be read on every later morning. It makes no difference to the state: a change of the list
counts the practice days before its own date, whenever it is read, and plays never look ahead.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from operator import itemgetter

from generator.errors import RequestError
from generator.rotation.gap import FIRST_GAP, next_gap
from generator.rotation.item_table import ItemTable
from generator.rotation.records import EventTuple, Item
from generator.rotation.settled import Settled

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
        gone: numbers (seq) of the entries that were taken back.
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
    gone: set[int | None] = field(default_factory=set)

    @classmethod
    def blank(cls, items: Sequence[Item]) -> "State":
        """The state before the first entry."""
        number = len(items)
        return cls(
            places=dict(zip(ItemTable.of(items).ids, range(number), strict=True)),
            ages=[NEVER_ENTERED] * number,
            gaps=[FIRST_GAP] * number,
            played=[None] * number,
            entered=[None] * number,
            absent=[False] * number,
        )

    @classmethod
    def after(cls, settled: Settled, items: Sequence[Item]) -> "State":
        """The state on the morning of the day that everything settled is before.

        Raises:
            RequestError: it was settled for a list of another size.
        """
        ids = [*ItemTable.of(items).ids, *settled.others]
        if len(ids) != len(settled.ages):
            raise RequestError(
                f"A state of {len(settled.ages)} rows does not belong to {len(ids)} exercises."
            )
        return cls(
            dict(zip(ids, range(len(ids)), strict=True)),
            list(settled.ages),
            list(settled.gaps),
            list(settled.played),
            list(settled.entered),
            list(settled.absent),
            list(settled.days),
            settled.first_day,
            gone=set(settled.gone),
        )

    @property
    def today(self) -> int:
        """The practice day that today would be."""
        return len(self.days) + 1

    def on_list(self, place: int) -> bool:
        """Whether the log has the item of a row on the list."""
        return self.entered[place] is not None and not self.absent[place]

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


def replay(
    events: Iterable[EventTuple],
    today: dt.date,
    items: Sequence[Item],
    ceiling: int,
    start: Settled | None = None,
) -> State:
    """The state on the morning of `today`.

    Plays before `today` and other entries up to and including it are read, by date, changes of the list
    before plays, then as saved. Plays of `today` itself are not, so a sheet printed again after some of it
    was logged is the same sheet.

    Args:
        events: the log, in any order.
        today: the day of the sheet.
        items: the list; their goal tempi serve plays that were logged without one.
        ceiling: the longest wanted gap.
        start: what was settled from the same log, list and ceiling; then only what is dated from its day on is
            read here.

    Raises:
        RequestError: an entry has a day that is no date, or `start` does not fit.
    """
    state = _begin(items, ceiling, today, start)
    entries = _standing(state, list(events), today)
    changes = _read_days(state, entries, items, ceiling, today.isoformat())
    _look_around(state, entries, changes, today.isoformat())
    return state


def settle(
    events: Iterable[EventTuple],
    before: dt.date,
    today: dt.date,
    items: Sequence[Item],
    ceiling: int,
    start: Settled | None = None,
) -> Settled:
    """Read everything dated before a day, so that later mornings can start from there.

    Args:
        events: the log, in any order; what is dated from `before` on only says what was taken back.
        before: the day; `today` or earlier.
        today: what was taken back up to this day is left out. The result serves this day and later ones.
        items: the list.
        ceiling: the longest wanted gap.
        start: an earlier result; then only what is dated from its day on is read here.

    Raises:
        RequestError: an entry has a day that is no date, or a day or `start` does not fit.
    """
    if before > today or (start is not None and before < start.before):
        raise RequestError(f"What is dated before {before} cannot be settled on {today}.")
    state = _begin(items, ceiling, today, start)
    limit = before.isoformat()
    entries = [entry for entry in _standing(state, list(events), today) if entry[2] < limit]
    _read_days(state, entries, items, ceiling, limit)
    return Settled(
        before,
        today,
        ceiling,
        tuple(state.places)[len(items) :],
        tuple(state.ages),
        tuple(state.gaps),
        tuple(state.played),
        tuple(state.entered),
        tuple(state.absent),
        tuple(state.days),
        state.first_day,
        frozenset(one for one in state.gone if one is not None),
    )


def _begin(items: Sequence[Item], ceiling: int, today: dt.date, start: Settled | None) -> State:
    """The state before the first entry that is read."""
    if start is None:
        return State.blank(items)
    if start.today > today or start.ceiling != ceiling:
        raise RequestError(
            f"What was settled on {start.today} with gaps up to {start.ceiling} does not serve {today} "
            f"with gaps up to {ceiling}."
        )
    return State.after(start, items)


def _standing(state: State, entries: list[EventTuple], today: dt.date) -> list[EventTuple]:
    """The entries that were not taken back up to `today`."""
    check_days({entry[2] for entry in entries})
    now = today.isoformat()
    state.gone |= {entry[7] for entry in entries if entry[1] == "void" and entry[2] <= now}
    return [entry for entry in entries if entry[0] not in state.gone] if state.gone else entries


def _read_days(
    state: State, entries: Sequence[EventTuple], items: Sequence[Item], ceiling: int, now: str
) -> list[EventTuple]:
    """Read the days before `now` and what changed on the list up to it; the changes, in order."""
    changes = [entry for entry in entries if entry[1] in {"item_in", "item_out"}]
    plays = [entry for entry in entries if entry[1] == "play"]
    for part in (changes, plays):
        part.sort(key=_SEQ)
        part.sort(key=_DAY)
    goals = ItemTable.of(items).goals
    first = done = 0
    for day, end in _ends_of_days(plays):
        if day >= now:
            break
        upto = done
        while upto < len(changes) and changes[upto][2] <= day:
            upto += 1
        state.change_list(changes[done:upto])
        state.days.append(day)
        state.play(plays[first:end], goals, ceiling)
        done, first = upto, end
    state.change_list(change for change in changes[done:] if change[2] <= now)
    days = state.days[:1] + [change[2] for change in changes[:1] if change[2] <= now]
    if state.first_day is None and days:
        state.first_day = dt.date.fromisoformat(min(days))
    return changes


def _ends_of_days(plays: Sequence[EventTuple]) -> list[tuple[str, int]]:
    """Each day that has plays, with the place where its plays end."""
    return list({play[2]: place for place, play in enumerate(plays, start=1)}.items())


def _look_around(
    state: State, entries: Sequence[EventTuple], changes: Sequence[EventTuple], now: str
) -> None:
    """What is dated later: an item that enters only then is not on the list yet."""
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
