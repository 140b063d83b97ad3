"""The clock: the only place where the program learns what day it is."""

import datetime as dt

from generator.errors import RequestError, shown

_WORDS = {"today": 0, "yesterday": -1, "tomorrow": 1}


def now() -> dt.datetime:
    """This moment, with the local time zone."""
    return dt.datetime.now().astimezone()  # noqa: TID251  # the one place


def today() -> dt.date:
    """The player's own calendar date."""
    return now().date()


def day_named(text: str | None) -> dt.date:
    """The day that ``--date`` names; today without one.

    Raises:
        RequestError: it is no day of the calendar.
    """
    if text is None:
        return today()
    word = text.strip().casefold()
    if word in _WORDS:
        return today() + dt.timedelta(days=_WORDS[word])
    try:
        day = dt.date.fromisoformat(word)
    except ValueError:
        day = None
    if day is None or day.isoformat() != word:
        raise RequestError(
            f"{shown(text)} is no day of the calendar; write one like 2027-02-06, or yesterday, today, tomorrow"
        )
    return day
