"""The figures of a progress report: counted from the log, nothing estimated. Pure.

A *practice day* is a date with at least one play. Days are calendar days; waits and wanted gaps are practice days,
as the rotation keeps them. Weeks begin on Monday (ISO 8601).
"""

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from generator.theory.pitch import NoteName

# The usual order of drilling round the circle, C F B-flat and so on (common practice), as pitch classes.
CIRCLE = tuple(5 * place % 12 for place in range(12))
WEEK = 7
LONG_OVERDUE = 2  # times the wanted gap


@dataclass(frozen=True, slots=True)
class Standing:
    """An exercise of the list, as the rotation sees it before the next practice day.

    Attributes:
        item_id: its name in the log.
        name: its phrase.
        kind: the phrase without the key: the row of the table.
        tonic: written tonic, or None where the exercise has no key.
        goal: goal tempo, or None.
        gap: wanted gap, practice days.
        waited: practice days since the last play, or since it came on the list.
        played: day of the last play, or None.
    """

    item_id: str
    name: str
    kind: str
    tonic: NoteName | None
    goal: int | None
    gap: int
    waited: int
    played: dt.date | None


@dataclass(frozen=True, slots=True)
class Play:
    """A play that stands in the log: neither taken back nor later than the report.

    Attributes:
        day: its date.
        item_id: what was played.
        name: its phrase.
        kind: the phrase without the key.
        tonic: written tonic, or None.
        tempo: tempo reached, or None.
        goal: goal tempo at that time, or None.
        minutes: minutes noted, or None.
        rating: how it felt, 1 to 4, or None.
    """

    day: dt.date
    item_id: str
    name: str
    kind: str
    tonic: NoteName | None = None
    tempo: int | None = None
    goal: int | None = None
    minutes: int | None = None
    rating: int | None = None


@dataclass(frozen=True, slots=True)
class Period:
    """The days a report looks back on, both ends included, and the day it is made."""

    since: dt.date
    until: dt.date
    today: dt.date

    @property
    def length(self) -> int:
        """How many days."""
        return (self.until - self.since).days + 1

    @property
    def days(self) -> tuple[dt.date, ...]:
        """Every day of it."""
        return tuple(self.since + dt.timedelta(days=n) for n in range(self.length))


@dataclass(frozen=True, slots=True)
class Cell:
    """One exercise in the table.

    Attributes:
        item_id: its name in the log.
        name: its phrase, under the name of its key that the player reads.
        days: calendar days since it was last played; None if never.
        waited: the same in practice days.
        gap: wanted gap, practice days.
        tempo: the tempo noted last, or None.
        goal: goal tempo, or None.
    """

    item_id: str
    name: str
    days: int | None
    waited: int
    gap: int
    tempo: int | None
    goal: int | None

    @property
    def never(self) -> bool:
        """It was never played."""
        return self.days is None

    @property
    def due(self) -> bool:
        """It was played, and has waited as long as wanted or longer."""
        return not self.never and self.waited >= self.gap

    @property
    def share(self) -> Fraction:
        """Wait as a share of the wanted gap."""
        return Fraction(self.waited, self.gap)

    @property
    def step(self) -> int:
        """0 lately, 1 for half the wanted gap or more, 2 due, 3 due for as long again."""
        return sum(self.share >= least for least in (Fraction(1, 2), 1, LONG_OVERDUE))


@dataclass(frozen=True, slots=True)
class TableRow:
    """One kind of exercise: a cell for each key of `CIRCLE`, None where the list has none there."""

    kind: str
    cells: tuple[Cell | None, ...]

    @property
    def goals(self) -> tuple[int, ...]:
        """The goal tempi of its cells, each once."""
        return tuple(sorted({cell.goal for cell in self.cells if cell and cell.goal}))


@dataclass(frozen=True, slots=True)
class Course:
    """The tempi of one exercise in the period.

    Attributes:
        item_id: its name in the log.
        name: its phrase.
        points: days and tempi, in the order of playing.
        goal: goal tempo, or None.
        plays: how often it was played in the period.
    """

    item_id: str
    name: str
    points: tuple[tuple[dt.date, int], ...]
    goal: int | None
    plays: int


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the period: plays, and minutes where any were noted."""

    day: dt.date
    plays: int
    minutes: int | None


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days in a row: those of a calendar week or month that lie in the period."""

    days: tuple[Day, ...]

    @property
    def first(self) -> dt.date:
        """Its first day in the period."""
        return self.days[0].day

    @property
    def practised(self) -> int:
        """Days with a play."""
        return sum(day.plays > 0 for day in self.days)

    @property
    def minutes(self) -> int | None:
        """Minutes noted, None if none were."""
        return total(day.minutes for day in self.days)


@dataclass(frozen=True, slots=True)
class Report:
    """Everything a report tells.

    Attributes:
        period: the days it looks back on.
        columns: for each key of `CIRCLE` the written names its exercises have.
        rows: the table.
        keyless: exercises without a key.
        kept: every exercise of the list, also those that share a cell of the table.
        courses: the exercises played most of those with two tempi or more.
        days: every day of the period.
    """

    period: Period
    columns: tuple[tuple[NoteName, ...], ...]
    rows: tuple[TableRow, ...]
    keyless: tuple[Cell, ...]
    kept: tuple[Cell, ...]
    courses: tuple[Course, ...]
    days: tuple[Day, ...]

    @property
    def due(self) -> tuple[Cell, ...]:
        """What is due, most overdue first."""
        return tuple(sorted((cell for cell in self.kept if cell.due), key=lambda c: (-c.share, c.name)))

    @property
    def coming(self) -> tuple[Cell, ...]:
        """What was played and is not due yet, the nearest to it first."""
        rest = (cell for cell in self.kept if not cell.due and not cell.never)
        return tuple(sorted(rest, key=lambda c: (-c.share, c.name)))

    @property
    def never(self) -> tuple[Cell, ...]:
        """What was never played, in the order of the list."""
        return tuple(cell for cell in self.kept if cell.never)

    @property
    def practised(self) -> int:
        """Days of the period with a play."""
        return sum(day.plays > 0 for day in self.days)

    @property
    def noted(self) -> tuple[Day, ...]:
        """Days of the period with minutes."""
        return tuple(day for day in self.days if day.minutes is not None)

    @property
    def weeks(self) -> tuple[Stretch, ...]:
        """The days by calendar week."""
        return _stretches(self.days, monday)

    @property
    def months(self) -> tuple[Stretch, ...]:
        """The days by calendar month."""
        return _stretches(self.days, lambda day: day.replace(day=1))


def monday(day: dt.date) -> dt.date:
    """The Monday of a day's week."""
    return day - dt.timedelta(days=min(day.weekday(), (day - dt.date.min).days))


def _stretches(days: Iterable[Day], start: Callable[[dt.date], dt.date]) -> tuple[Stretch, ...]:
    stretches: dict[dt.date, list[Day]] = {}
    for day in days:
        stretches.setdefault(start(day.day), []).append(day)
    return tuple(Stretch(tuple(some)) for some in stretches.values())


def total(minutes: Iterable[int | None]) -> int | None:
    """The sum of what was noted, None if nothing was."""
    noted = [one for one in minutes if one is not None]
    return sum(noted) if noted else None
