"""Whole days of a calendar, read back by icalendar."""

import datetime as dt

import icalendar

from generator.exchange.calendar import DayEntry, as_calendar

DAY = dt.date(2027, 3, 5)
MADE = dt.datetime(2027, 3, 4, 21, 30, tzinfo=dt.timezone(dt.timedelta(hours=2)))


def test_a_day_ends_where_the_next_begins_and_blocks_no_appointment() -> None:
    # Source: RFC 5545: DTEND is "the non-inclusive end" of an event (3.6.1); times of making are in UTC (3.8.7.2);
    # TRANSP of TRANSPARENT does not show in searches for busy time (3.8.2.7).
    data = as_calendar("Practice", [DayEntry("one", DAY, "30 minutes", "G major\nD major")], MADE, "1.0")
    calendar = icalendar.Calendar.from_ical(data)
    (event,) = calendar.walk("VEVENT")
    assert (event.decoded("dtstart"), event.decoded("dtend")) == (DAY, dt.date(2027, 3, 6))
    assert event.decoded("dtstamp") == dt.datetime(2027, 3, 4, 19, 30, tzinfo=dt.UTC)
    assert (event["transp"], event["description"]) == ("TRANSPARENT", "G major\nD major")
    assert calendar["method"] == "PUBLISH"
