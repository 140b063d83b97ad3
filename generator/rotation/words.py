"""Numbers, days and dates in plain words, for every sentence of the program that has them."""

import datetime as dt

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def count(number: int, noun: str) -> str:
    """A number with its noun, which gets an s unless there is just one.

    >>> count(1, "practice day"), count(27, "practice day")
    ('1 practice day', '27 practice days')
    """
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def every(number: int, noun: str) -> str:
    """How often something comes.

    >>> every(1, "practice day"), every(3, "practice day")
    ('every practice day', 'every 3 practice days')
    """
    return f"every {noun}" if number == 1 else f"every {count(number, noun)}"


def weekday(day: dt.date) -> str:
    """The day of the week.

    >>> weekday(dt.date(2027, 3, 5))
    'Friday'
    """
    return WEEKDAYS[day.weekday()]


def month(day: dt.date) -> str:
    """The month in three letters.

    >>> month(dt.date(2027, 3, 5))
    'Mar'
    """
    return MONTHS[day.month - 1][:3]


def short_day(day: dt.date) -> str:
    """A date without its year, as short as can be.

    >>> short_day(dt.date(2027, 3, 5))
    '5 Mar'
    """
    return f"{day.day} {month(day)}"


def day_and_month(day: dt.date) -> str:
    """A date without its year.

    >>> day_and_month(dt.date(2027, 3, 5))
    '5 March'
    """
    return f"{day.day} {MONTHS[day.month - 1]}"


def long_day(day: dt.date) -> str:
    """A date in full.

    >>> long_day(dt.date(2027, 3, 5))
    '5 March 2027'
    """
    return f"{day_and_month(day)} {day.year}"
