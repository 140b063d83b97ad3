"""What the sheet says: the one-line reasons and the sentences about what cannot be had.

Waits are told in calendar days, as a player remembers them; gaps and promises in practice days, as the rule
keeps them. Minutes are whole minutes of playing, `rest` aside.
"""

import datetime as dt
from fractions import Fraction

from generator.rotation.words import count, day_and_month

WEEK = 7


def a_day(playing: int, rest: int) -> str:
    """The daily minutes: "25 minutes of playing a day (30 with rest)".

    >>> a_day(25, 5), a_day(1, 0)
    ('25 minutes of playing a day (30 with rest)', '1 minute a day')
    """
    return (
        f"{count(playing, 'minute')} of playing a day ({playing + rest} with rest)"
        if rest
        else (f"{count(playing, 'minute')} a day")
    )


# Reasons


def ago(days: int) -> str:
    """When it was last played.

    >>> ago(0), ago(3)
    ('last played earlier today', 'last played 3 days ago')
    """
    return "last played earlier today" if days == 0 else f"last played {count(days, 'day')} ago"


def because_oldest(days: int, practice_days: int, promise: int) -> str:
    """Reason of a floor row.

    >>> because_oldest(days=9, practice_days=7, promise=12)
    'last played 9 days ago, 7 practice days: longest waiting (at most 12)'
    """
    return f"{ago(days)}, {count(practice_days, 'practice day')}: longest waiting (at most {promise})"


def because_due(days: int, gap: int) -> str:
    """Reason of a row at or past its wanted gap.

    >>> because_due(days=9, gap=7)
    'last played 9 days ago; wanted every 7 practice days'
    """
    return f"{ago(days)}; wanted every {count(gap, 'practice day')}"


def because_room(days: int, early: int) -> str:
    """Reason of a row that is not due but fitted.

    >>> because_room(days=3, early=2)
    'last played 3 days ago; 2 practice days early, as there was room'
    """
    return f"{ago(days)}; {count(early, 'practice day')} early, as there was room"


def because_new(days: int | None) -> str:
    """Reason of a row never played; `days` since it came on the list, None if nobody knows.

    >>> because_new(None), because_new(0), because_new(4)
    ('never played', 'never played; new on the list', 'never played; 4 days on the list')
    """
    if days is None:
        return "never played"
    return "never played; new on the list" if days == 0 else f"never played; {count(days, 'day')} on the list"


def because_listed(name: str, days_left: int, days: int | None, gap: int) -> str:
    """Reason of a row that a dated list asks for; `days` since the last play, None if never.

    >>> because_listed("audition", days_left=14, days=3, gap=2)
    'audition in 14 days; wanted every 2 practice days, last played 3 days ago'
    """
    played = "never played" if days is None else ago(days)
    return f"{name} in {count(days_left, 'day')}; wanted every {count(gap, 'practice day')}, {played}"


# What cannot be had


def wish_impossible(total: int, playing: int, rest: int, bound: int, wished: int) -> str:
    """The wished gap is below what any rule could keep.

    >>> told = wish_impossible(total=412, playing=15, rest=0, bound=28, wished=14)
    >>> print(told)  # doctest: +NORMALIZE_WHITESPACE
    Once through the list takes 412 minutes. At 15 minutes a day something always waits 28 practice days
    or more, however it is arranged; 14 cannot be kept.
    """
    return (
        f"Once through the list takes {count(total, 'minute')}. At {a_day(playing, rest)} something always "
        f"waits {count(bound, 'practice day')} or more, however it is arranged; {wished} cannot be kept."
    )


def wish_needs(playing: int, rest: int, promise: int, wished: int, needed: int, allowed: int) -> str:
    """The wished gap could be kept with more minutes, or with a shorter list.

    >>> told = wish_needs(playing=15, rest=0, promise=52, wished=14, needed=59, allowed=112)
    >>> print(told)  # doctest: +NORMALIZE_WHITESPACE
    At 15 minutes a day the longest wait is 52 practice days. For 14 you need 59 minutes a day or a list
    of at most 112 minutes.
    """
    shorter = f" or a list of at most {count(allowed, 'minute')}" if allowed else ""
    return (
        f"At {a_day(playing, rest)} the longest wait is {count(promise, 'practice day')}. "
        f"For {wished} you need {count(needed, 'minute')} a day{shorter}."
    )


def left_out(name: str, minutes: int, playing: int) -> str:
    """An item longer than the sheet.

    >>> print(left_out("E major in tenths", minutes=20, playing=15))  # doctest: +NORMALIZE_WHITESPACE
    E major in tenths takes 20 minutes and a sheet has 15 for playing: it is left out until it is split
    or the time is raised.
    """
    return (
        f"{name} takes {count(minutes, 'minute')} and a sheet has {playing} for playing: "
        "it is left out until it is split or the time is raised."
    )


def long_items(longest: int, number: int, promise: int, short_days: int) -> str:
    """Items that share no sheet with the floor cost days.

    >>> long_items(longest=14, number=1, promise=55, short_days=3)
    'An exercise of 14 minutes needs a sheet almost to itself: longest wait 55 practice days instead of 52.'
    """
    items = (
        f"An exercise of {longest} minutes"
        if number == 1
        else f"{number} exercises of up to {longest} minutes"
    )
    fills = "needs a sheet almost to itself" if number == 1 else "need sheets almost to themselves"
    return f"{items} {fills}: longest wait {promise} practice days instead of {promise - short_days}."


def overload(load: float, playing: int) -> str:
    """The wanted gaps ask for more than the budget.

    >>> print(overload(load=34.2, playing=15))  # doctest: +NORMALIZE_WHITESPACE
    By your ratings the list asks for 34 minutes a day and gets 15: what is weak comes about 2.3 times
    later than wanted.
    """
    return (
        f"By your ratings the list asks for {round(load)} minutes a day and gets {playing}: "
        f"what is weak comes about {load / playing:.1f} times later than wanted."
    )


def for_now(promise_now: int, promise: int, settled: dt.date) -> str:
    """The list grew or the minutes were cut: the promise holds again later.

    >>> for_now(promise_now=41, promise=30, settled=dt.date(2027, 3, 12))
    'For now the longest wait is 41 practice days; 30 again from about 12 March.'
    """
    return (
        f"For now the longest wait is {count(promise_now, 'practice day')}; "
        f"{promise} again from about {day_and_month(settled)}."
    )


def days_off(promise: int, pace: Fraction) -> str:
    """The promise in calendar days.

    >>> days_off(promise=30, pace=Fraction(5, 7))
    '30 practice days: about 42 calendar days at your pace of the last four weeks (5 days in 7).'
    """
    return (
        f"{count(promise, 'practice day')}: about {round(promise / pace)} calendar days at your pace "
        f"of the last four weeks ({round(WEEK * pace)} days in {WEEK})."
    )


def _expected(name: str, minutes: int, practice_days: int, playing: int) -> str:
    return (
        f"The {name} list takes {count(minutes, 'minute')}, and {count(practice_days, 'practice day')} "
        f"of {count(playing, 'minute')} can be expected before it"
    )


def list_in_reach(name: str, minutes: int, practice_days: int, playing: int) -> str:
    """A dated list that can be promised once, not twice.

    >>> told = list_in_reach("audition", minutes=104, practice_days=9, playing=15)
    >>> print(told)  # doctest: +NORMALIZE_WHITESPACE
    The audition list takes 104 minutes, and 9 practice days of 15 minutes can be expected before it:
    each exercise once more, not twice.
    """
    return f"{_expected(name, minutes, practice_days, playing)}: each exercise once more, not twice."


def list_out_of_reach(
    name: str, minutes: int, practice_days: int, playing: int, sure: int, number: int
) -> str:
    """A dated list of which only a part can be promised.

    >>> told = list_out_of_reach("audition", minutes=104, practice_days=5, playing=15, sure=31, number=36)
    >>> print(told)  # doctest: +NORMALIZE_WHITESPACE
    The audition list takes 104 minutes, and 5 practice days of 15 minutes can be expected before it: 31
    of 36 exercises are sure to come once more.
    """
    start = _expected(name, minutes, practice_days, playing)
    return f"{start}: {sure} of {count(number, 'exercise')} are sure to come once more."


def others_wait(name: str, days: int) -> str:
    """What a dated list costs the rest.

    >>> others_wait("audition", days=41)
    'Until the audition, exercises outside its list can wait up to 41 practice days.'
    """
    return f"Until the {name}, exercises outside its list can wait up to {count(days, 'practice day')}."


def heavy_neighbours(number: int, extra: int) -> str:
    """Heavy rows that could not be kept apart.

    >>> print(heavy_neighbours(number=2, extra=1))  # doctest: +NORMALIZE_WHITESPACE
    Heavy exercises stand side by side in 2 places: take the rest between them with the instrument down;
    the sheet is 1 minute longer for it.
    """
    longer = f"; the sheet is {count(extra, 'minute')} longer for it" if extra else ""
    return (
        f"Heavy exercises stand side by side in {count(number, 'place')}: "
        f"take the rest between them with the instrument down{longer}."
    )


def unread(number: int) -> str:
    """Entries dated after the sheet.

    >>> unread(1)
    '1 entry of the log is dated later than this sheet and was not read.'
    """
    verb = "is" if number == 1 else "are"
    noun = "entry of the log" if number == 1 else "entries of the log"
    return (
        f"{number} {noun} {verb} dated later than this sheet and {'was' if number == 1 else 'were'} not read."
    )
