"""Days of practice as a calendar file (RFC 5545), for any calendar program.

The library is loaded only when a calendar is asked for.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from generator.files.loading import loading


@dataclass(frozen=True, slots=True)
class DayEntry:
    """One whole day of a calendar.

    Attributes:
        uid: the same for the same thing, so that a second import changes it instead of doubling it.
        day: the day.
        title: shown in the calendar.
        text: more, one thing a line.
    """

    uid: str
    day: dt.date
    title: str
    text: str


@loading()
def as_calendar(name: str, entries: Sequence[DayEntry], made: dt.datetime, version: str) -> bytes:
    """Whole-day entries as one calendar.

    Args:
        name: of the calendar.
        entries: in order.
        made: moment of making, with its time zone.
        version: of this program.
    """
    from icalendar import Calendar, Event  # noqa: PLC0415

    calendar = Calendar()
    calendar.add("prodid", f"-//Scalewright//{version}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", made.astimezone(dt.UTC))
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + dt.timedelta(days=1))
        event.add("summary", entry.title)
        event.add("description", entry.text)
        event.add("transp", "TRANSPARENT")  # practising blocks no appointment
        calendar.add_component(event)
    return bytes(calendar.to_ical())
