"""The sheets of the next weeks, on the assumption that each is played and feels steady: a forecast, not a timetable.

A day left out or a weak play changes what follows; the sheet of the day itself is always chosen anew.
"""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from generator.errors import RequestError
from generator.exchange.calendar import DayEntry, as_calendar
from generator.files.atomic import place
from generator.files.version import VERSION
from generator.practice.aims import open_aims, standings
from generator.practice.growth import Growth
from generator.practice.line_log import events_of_list
from generator.practice.player_session import PlayerSession
from generator.practice.today import DayRequest, choose
from generator.practice_log import PracticeLog
from generator.rotation import DaySheet, Event, Item, list_changes
from generator.rotation.item_table import ItemTable
from generator.rotation.words import count

FINE = 3
NOTICE = "A forecast: it takes every sheet before it as played. The sheet of the day is chosen that morning."


@dataclass(frozen=True, slots=True)
class ComingDay:
    """One day to come.

    Attributes:
        day: its date.
        session: the player, with the list as far as it has grown by then.
        items: the list on that day.
        events: the log with what is assumed of the days before.
        sheet: what would be chosen.
    """

    day: dt.date
    session: PlayerSession
    items: ItemTable
    events: tuple[Event, ...]
    sheet: DaySheet


def forecast(
    session: PlayerSession, start: dt.date, moment: dt.datetime, weeks: int
) -> Iterator[tuple[dt.date, DaySheet]]:
    """Day by day the sheet that would be chosen.

    The log is read and not changed.

    Raises:
        RequestError: there is nothing to play, or the calendar ends before.
        OutputError: the log cannot be read.
    """
    if (dt.date.max - start).days < 7 * weeks:
        raise RequestError(f"the calendar ends on {dt.date.max}; ask for fewer weeks")
    dates = [start + dt.timedelta(days=number) for number in range(7 * weeks)]
    for one in coming(session, start, moment, [day for day in dates if meets(session, day)]):
        yield one.day, one.sheet


def meets(session: PlayerSession, day: dt.date) -> bool:
    """Whether a day is one to practise on: every day for a player, its rehearsals for a section that says when."""
    on = session.band.section.rehearsals if session.band else ()
    return not on or day.weekday() in on


def coming(
    session: PlayerSession, start: dt.date, moment: dt.datetime, dates: Iterable[dt.date]
) -> Iterator[ComingDay]:
    """Day by day what would be chosen, and from what.

    Args:
        session: the player.
        start: today.
        moment: now.
        dates: the days, in order, none before today.

    Raises:
        RequestError: there is nothing to play.
        OutputError: the log cannot be read.
    """
    events: list[Event] = []
    if session.home.log.exists():
        with PracticeLog.open(session.home.log) as log:
            events = events_of_list(log, session.repertoire, until=start)
    number = max((event.seq for event in events), default=0)
    played_today = {event.item for event in events if event.kind == "play" and event.day == start.isoformat()}
    aims = open_aims(standings(session, start))
    growth = Growth(session)
    for day in dates:
        now = growth.on(day, events)
        items = now.repertoire.items(day)
        changes = list_changes(items, events, day)
        for item_id, kind in (
            *((item.id, "item_in") for item in changes.entering),
            *((item_id, "item_out") for item_id in changes.leaving),
        ):
            number += 1
            events.append(Event(number, kind, day.isoformat(), item_id))
        sheet = choose(now, items, events, DayRequest(day, day, moment), aims=aims)
        yield ComingDay(day, now, items, tuple(events), sheet)
        for row in sheet.rows:
            if day != start or row.item_id not in played_today:
                number += 1
                events.append(Event(number, "play", day.isoformat(), row.item_id, FINE))


def write_calendar(
    session: PlayerSession, start: dt.date, moment: dt.datetime, weeks: int, target: Path
) -> Path:
    """Write the forecast as a calendar file.

    Raises:
        RequestError: there is nothing to play.
        OutputError: the file or the log cannot be written.
    """
    whose = session.plan.player or session.player.instrument.name
    entries = [_entry(session, day, sheet) for day, sheet in forecast(session, start, moment, weeks)]
    entries += [
        DayEntry(
            _uid(session, one.day, one.name), one.day, one.name, f"{len(one.names)} exercises are required."
        )
        for one in session.repertoire.dated
        if start <= one.day
    ]
    kind = "Rehearsals" if session.band else "Practice"
    data = as_calendar(f"{kind}: {whose}", entries, moment, VERSION)
    return place(data, target)


def _entry(session: PlayerSession, day: dt.date, sheet: DaySheet) -> DayEntry:
    names: dict[str, Item] = {item.id: item for item in session.repertoire.items(day)}
    lines = [f"{number}. {names[row.item_id].name}" for number, row in enumerate(sheet.rows, 1)]
    minutes = count(sheet.playing_minutes + sheet.rest_minutes, "minute")
    what = (
        f"Rehearsal, {session.plan.player}" if session.band else f"Practice, {session.player.instrument.name}"
    )
    title = f"{what}: {len(lines)} exercises, {minutes}"
    return DayEntry(_uid(session, day, "sheet"), day, title, "\n".join([*lines, NOTICE]))


def _uid(session: PlayerSession, day: dt.date, what: str) -> str:
    """The same for the same player, day and thing."""
    whose = sha256(
        f"{session.plan.player}\x1f{session.player.instrument.name}\x1f{what}".encode()
    ).hexdigest()[:12]
    return f"{day.isoformat()}-{whose}@scalewright"
