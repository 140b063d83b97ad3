"""What the sheet says: the one-line reasons and the sentences about what cannot be had.

Waits are told in calendar days, as a player remembers them; gaps and promises in practice days, as the rule
keeps them. Minutes are whole minutes of playing, `rest` aside.
"""

import datetime as dt
from fractions import Fraction

from generator.rotation.words import count, day_and_month, every

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


def because_oldest(days: int) -> str:
    """Reason of a floor row.

    >>> because_oldest(days=9)
    'last played 9 days ago: at the head of the line'
    """
    return f"{ago(days)}: at the head of the line"


def because_due(days: int, gap: int) -> str:
    """Reason of a row at or past its wanted gap.

    >>> because_due(days=9, gap=7)
    'last played 9 days ago; wanted every 7 practice days'
    """
    return f"{ago(days)}; wanted {every(gap, 'practice day')}"


def because_room(days: int) -> str:
    """Reason of a row that is not due but fitted.

    >>> because_room(days=3)
    'last played 3 days ago; there was room to go over it again'
    """
    return f"{ago(days)}; there was room to go over it again"


def because_new(days: int | None, *, threaded: bool = False) -> str:
    """Reason of a row never played; `days` since it came on the list, None if nobody knows.

    >>> because_new(None), because_new(0), because_new(4)
    ('new: the next to begin', 'new on the list', 'new: the next to begin, 4 days on the list')
    >>> because_new(4, threaded=True)
    'new: the next to begin in the key of the sheet'
    """
    if threaded:
        return "new: the next to begin in the key of the sheet"
    if days is None:
        return "new: the next to begin"
    return "new on the list" if days == 0 else f"new: the next to begin, {count(days, 'day')} on the list"


def because_threaded(days: int) -> str:
    """Reason of a row that is there for its key.

    >>> because_threaded(days=3)
    'in the key of the sheet; last played 3 days ago'
    """
    return f"in the key of the sheet; {ago(days)}"


def because_listed(name: str, days_left: int, days: int | None, gap: int) -> str:
    """Reason of a row that a dated list asks for; `days` since the last play, None if never.

    >>> because_listed("audition", days_left=14, days=3, gap=2)
    'audition in 14 days; wanted every 2 practice days, last played 3 days ago'
    """
    return f"{name} in {count(days_left, 'day')}; wanted {every(gap, 'practice day')}, {_last(days)}"


def because_alone(name: str, days_left: int, days: int | None) -> str:
    """Reason of a row of the last days before a date, and of the day itself.

    >>> because_alone("audition", days_left=1, days=3), because_alone("audition", days_left=0, days=1)
    ('audition tomorrow: slowly; last played 3 days ago', 'audition today: once, lightly; last played 1 day ago')
    """
    if days_left == 0:
        return f"{name} today: once, lightly; {_last(days)}"
    when = "tomorrow" if days_left == 1 else f"in {days_left} days"
    return f"{name} {when}: slowly; {_last(days)}"


def _last(days: int | None) -> str:
    return "never played" if days is None else ago(days)


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


def still_to_begin(number: int, days: int) -> str:
    """What was never played yet.

    >>> still_to_begin(96, days=58)
    '96 exercises of the list are still to begin, the last of them within 58 practice days.'
    """
    verb, last = ("is", "") if number == 1 else ("are", ", the last of them")
    return f"{count(number, 'exercise')} of the list {verb} still to begin{last} within {count(days, 'practice day')}."


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
    """What a dated list that has the floor costs the rest.

    >>> others_wait("audition", days=41)
    'Until the audition its list comes first; what is not on it can wait up to 41 practice days.'
    """
    return f"Until the {name} its list comes first; what is not on it can wait up to {count(days, 'practice day')}."


def others_will_wait(name: str, first: dt.date) -> str:
    """What a dated list will cost the rest once it has the floor.

    >>> others_will_wait("audition", first=dt.date(2027, 3, 2))
    'From about 2 March the audition list comes first; those days do not count for what is not on it.'
    """
    return (
        f"From about {day_and_month(first)} the {name} list comes first; "
        "those days do not count for what is not on it."
    )


def too_much(minutes: int) -> str:
    """More minutes than a day bears.

    >>> print(too_much(600))  # doctest: +NORMALIZE_WHITESPACE
    600 minutes are more than anyone should play in a day: play this in several sittings, never in pain, and
    raise your time by 10 minutes a day at most.
    """
    return (
        f"{minutes} minutes are more than anyone should play in a day: play this in several sittings, "
        "never in pain, and raise your time by 10 minutes a day at most."
    )


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
