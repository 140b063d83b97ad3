"""The plain records that go into and come out of the rotation.

Conventions
    Minutes are whole minutes. A *practice day* is a date with at least one logged play; waits and gaps are
    counted in practice days, so days off change nothing. Key positions go round the circle of fifths in
    fifths: C is 0, G 1, D 2 ... F 11. Dates are the player's own calendar dates.
"""

import datetime as dt
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple, Self

from generator.errors import RequestError

KEYS = 12
NO_KEY_RANK = 12
FIFTHS_STEP = 5  # ties go round the circle five fifths at a time, so that keys in a row are far apart


class _Fields(NamedTuple):
    """What an item is at bottom; a large list is made, and read, faster as tuples."""

    id: str
    minutes: int
    key: int | None
    catalogue: int
    at_least_every: int | None
    goal: int | None
    heavy: bool
    name: str
    warm: bool
    rank: int


class Item(_Fields):
    """One exercise of the list that is kept alive.

    Args:
        id: the name it has in the log; never reused for something else.
        minutes: how long one careful play takes, at least 1.
        key: position on the circle of fifths, 0 (C) to 11 (F), or None.
        catalogue: catalogue number of form and figure. It is part of the rule (ties are broken by it),
            so numbers are never reused or given to something else.
        at_least_every: the player's own wish, in practice days; shortens the wanted gap, never lengthens it.
        goal: goal tempo, used where the log entry itself has none.
        heavy: high or loud; two heavy items do not stand side by side where the count allows.
        name: what sentences call it; the id if empty.
        warm: fit to begin with: long tones, slurs over the partials.
        rank: among what was never played the smaller number is begun first, whatever the tie says.

    Raises:
        RequestError: an impossible number.
    """

    __slots__ = ()

    def __new__(
        cls,
        id: str,  # noqa: A002
        minutes: int = 1,
        key: int | None = None,
        catalogue: int = 0,
        at_least_every: int | None = None,
        goal: int | None = None,
        heavy: bool = False,
        name: str = "",
        warm: bool = False,
        rank: int = 0,
    ) -> Self:
        """Check the numbers."""
        problem = number_problem(minutes, key, at_least_every)
        if problem:
            raise RequestError(f'"{id}" {problem}.')
        return super().__new__(
            cls, id, minutes, key, catalogue, at_least_every, goal, heavy, name, warm, rank
        )

    @property
    def tie(self) -> tuple[int, int, str]:
        """The fixed order among items that have waited equally long: catalogue number, key, id.

        >>> Item("G major", key=1, catalogue=4).tie
        (4, 5, 'G major')
        """
        return tie_of(self.catalogue, self.key, self.id)

    @property
    def called(self) -> str:
        """The name for sentences.

        >>> Item("flute: G major", name="G major").called
        'G major'
        """
        return self.name or self.id


def tie_of(catalogue: int, key: int | None, item_id: str) -> tuple[int, int, str]:
    """The fixed order among items that have waited equally long; see `Item.tie`.

    >>> [tie_of(4, key, "") for key in (0, 5, None)]
    [(4, 0, ''), (4, 1, ''), (4, 12, '')]
    """
    return (
        catalogue,
        NO_KEY_RANK if key is None else FIFTHS_STEP * key % KEYS,
        item_id,
    )  # 0 5 10 3 8 1 6 11 ...


def number_problem(minutes: int, key: int | None, at_least_every: int | None) -> str | None:
    """Why an item cannot have these numbers.

    >>> number_problem(minutes=0, key=None, at_least_every=None)
    'has 0 minutes; at least 1 is needed'
    >>> number_problem(minutes=1, key=11, at_least_every=7) is None
    True
    """
    if minutes < 1:
        return f"has {minutes} minutes; at least 1 is needed"
    if key is not None and not 0 <= key < KEYS:
        return f"has key position {key}; positions go from 0 (C) to 11 (F)"
    if at_least_every is not None and at_least_every < 1:
        return f"is wanted every {at_least_every} days; at least 1 is needed"
    return None


class Event(NamedTuple):
    """One entry of the log, as far as the rule reads it.

    Kinds read by the rule: "item_in", "item_out" (changes of the list), "play" (with item and rating 1 to 4)
    and "void" (takes back the entry whose seq is `ref`). Others are carried and ignored. The day is written
    2027-03-05.
    """

    seq: int
    kind: str
    day: str
    item: str | None = None
    rating: int | None = None
    tempo: int | None = None
    goal: int | None = None
    ref: int | None = None


@dataclass(frozen=True, slots=True)
class DatedList:
    """A required list and the day it is wanted: an audition, an examination, a concert.

    Args:
        name: how sentences call it, such as "audition".
        day: the day itself.
        item_ids: what is required.
    """

    name: str
    day: dt.date
    item_ids: frozenset[str]


class Lane(StrEnum):
    """Why a row has its place: FLOOR rows carry the promise, NEED rows are chosen by need."""

    FLOOR = "floor"
    NEED = "need"


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet.

    Attributes:
        item_id: which exercise.
        lane: FLOOR rows are to be played first when time is short; the promise rests on them.
        minutes: how long it takes.
        waited_days: calendar days since it was last played, or since it came on the list.
        waited_practice_days: the same in practice days, today counted.
        gap: the wanted gap used today, in practice days.
        reason: one line for the player.
        rest_after: seconds of rest that follow this row.
        new: it was never played before.
        threaded: it is in the key that runs through the sheet.
        listed: name of the dated list that brought it here, or "".
    """

    item_id: str
    lane: Lane
    minutes: int
    waited_days: int
    waited_practice_days: int
    gap: int
    reason: str
    rest_after: int
    new: bool = False
    threaded: bool = False
    listed: str = ""


class Topic(StrEnum):
    """What a note is about, so that a page can choose which notes to print."""

    NOTHING = "nothing to play"
    TOO_LONG = "too long"
    WISH = "wish"
    LONG_ITEM = "long item"
    LOAD = "load"
    BEGINNING = "beginning"
    DAYS_OFF = "days off"
    DATED_LIST = "dated list"
    REST = "rest"
    LOG = "log"


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence that belongs under a sheet."""

    topic: Topic
    text: str


@dataclass(frozen=True, slots=True)
class DaySheet:
    """What to play on one day, in the order of the paper.

    Attributes:
        rows: the exercises in playing order.
        playing_minutes: minutes for exercises, the rest taken off.
        rest_minutes: minutes of rest.
        floor_minutes: how many of the playing minutes go to whatever has waited longest.
        promise: within how many practice days of the usual minutes everything on the list comes round, from
            this morning on, if the floor rows are played; see `promise` for what counts as one. While a
            dated list has the floor the days up to its date are added.
        settled: the same once everything has begun and no date is near.
        to_begin: how many items of the list were never played.
        thread: place on the circle of fifths of the key that runs through the sheet, or None.
        given_to: name of the dated list that has this sheet to itself, or "".
        lower_bound: no rule whatever can keep every gap shorter than this.
        load: minutes a day that would see every item exactly on its wanted gap.
        attendance: share of days practised in the last four weeks, smoothed.
        too_long: ids of items longer than the playing minutes; they are not in the rotation.
        notes: sentences for the player, most urgent first.
        future_entries: entries of the log dated after the sheet; they were not read.
        rule_version: version of the rule that made this sheet.
    """

    rows: tuple[Row, ...]
    playing_minutes: int
    rest_minutes: int
    floor_minutes: int
    promise: int
    settled: int
    to_begin: int
    thread: int | None
    given_to: str
    lower_bound: int
    load: float
    attendance: Fraction
    too_long: tuple[str, ...]
    notes: tuple[Remark, ...]
    future_entries: int
    rule_version: int


def check_items(items: Collection[Item]) -> None:
    """Refuse a list with an id that comes twice.

    Raises:
        RequestError: naming the first such id.

    >>> check_items([Item("G major"), Item("G major")])
    Traceback (most recent call last):
        ...
    generator.errors.RequestError: "G major" is on the list twice; each exercise needs an id of its own.
    """
    if len({item.id for item in items}) < len(items):
        counts = Counter(item.id for item in items)
        twice = next(item.id for item in items if counts[item.id] > 1)
        raise RequestError(f'"{twice}" is on the list twice; each exercise needs an id of its own.')
