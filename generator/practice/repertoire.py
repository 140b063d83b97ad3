"""From a plan and a player to the list that is kept alive: one entry for each line in one written key.

A *line* is key, form and figure, from one degree: what is kept. The log knows it by its instrument and its canonical
phrase, under the usual name of its written key. What a row of a plan asks of it - span, rhythm, articulation, tempo -
is an `Asking`; a line has as many as rows ask for it, and they take turns. So a line keeps its history when a plan is
edited, dressed differently or asks for the key by its other name, and no row is lost behind another.
"""

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from generator.practice.asking import Asking
from generator.rotation import DatedList, ItemTable


class KeptExercise(NamedTuple):
    """One exercise of the list.

    Attributes:
        name: canonical phrase of its line.
        minutes: its time on a sheet, enough for whatever is asked of it.
        key: place on the circle of fifths, or None.
        catalogue: its place among exercises that have waited equally long.
        asked: numbers of what is asked of it.
        shifts: for each of these its place in the row that asks, so that the keys of a row begin on different turns.
        heavy: high or loud.
        tonics: the names its key is read under, in turn, like "F# Gb".
        warm: fit to begin a sheet with.
        rank: place of the first row that asks for it; what warms up stands before all.
    """

    name: str
    minutes: int
    key: int | None
    catalogue: int
    asked: tuple[int, ...]
    shifts: tuple[int, ...]
    heavy: bool
    tonics: str
    warm: bool
    rank: int


class Columns(NamedTuple):
    """The exercises of a list in columns, see `KeptExercise`; a large list is kept and read faster so."""

    names: tuple[str, ...] = ()
    minutes: tuple[int, ...] = ()
    keys: tuple[int | None, ...] = ()
    catalogues: tuple[int, ...] = ()
    asked: tuple[tuple[int, ...], ...] = ()
    shifts: tuple[tuple[int, ...], ...] = ()
    heavy: tuple[bool, ...] = ()
    tonics: tuple[str, ...] = ()
    warm: tuple[bool, ...] = ()
    ranks: tuple[int, ...] = ()

    @classmethod
    def of(cls, entries: Iterable[KeptExercise]) -> "Columns":
        """The columns of some entries."""
        return cls(*zip(*entries, strict=True))


class Shared(NamedTuple):
    """Two rows of a plan that ask something of the same lines.

    Attributes:
        line: line of the file of the later row.
        earlier: line of the earlier one.
        name: the first exercise both keep.
        number: how many they share.
    """

    line: int
    earlier: int
    name: str
    number: int


@dataclass(frozen=True, slots=True)
class DatedNames:
    """A required list with its date and the names of its exercises."""

    name: str
    day: dt.date
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AimNames:
    """What is to be ready by a day.

    Attributes:
        phrase: what sentences call it, its phrase without a tempo.
        tempo: beats per minute to be reached, or None where it is enough that it feels steady.
        by: the day.
        names: of its exercises.
        askings: numbers of what it asks of them beyond the line, or none.
    """

    phrase: str
    tempo: int | None
    by: dt.date
    names: tuple[str, ...]
    askings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Repertoire:
    """Everything a player keeps alive.

    Attributes:
        instrument: catalogue name.
        columns: the exercises.
        askings: what is asked of them, by number.
        dated: required lists.
        aims: what is to be ready by a day.
        unfit: phrase and reason of what the instrument or level cannot carry.
        shared: rows that ask something of the same exercises.
        mark: changes when the list does.
        stages: the stages of the plan's rows, in order, whether open or not.
    """

    instrument: str
    columns: Columns
    askings: tuple[Asking, ...]
    dated: tuple[DatedNames, ...] = ()
    aims: tuple[AimNames, ...] = ()
    unfit: tuple[tuple[str, str], ...] = ()
    shared: tuple[Shared, ...] = ()
    mark: str = ""
    stages: tuple[int, ...] = ()

    @property
    def entries(self) -> tuple[KeptExercise, ...]:
        """The exercises as records, made anew each time."""
        return tuple(map(KeptExercise._make, zip(*self.columns, strict=True)))

    def called(self, names: Collection[str]) -> dict[str, KeptExercise]:
        """Some exercises by their names."""
        places = [place for place, name in enumerate(self.columns.names) if name in names]
        rows = (KeptExercise._make(column[place] for column in self.columns) for place in places)
        return {entry.name: entry for entry in rows}

    def item_id(self, name: str) -> str:
        """What the log calls an exercise."""
        return f"{self.instrument}: {name}"

    def name_of(self, item_id: str) -> str:
        """The phrase of an id."""
        return item_id.removeprefix(f"{self.instrument}: ")

    def items(self, day: dt.date) -> ItemTable:
        """The list as it stands on a day.

        Raises:
            RequestError: an impossible number.
        """
        today, before = day.isoformat(), f"{self.instrument}: "
        columns = self.columns
        live: dict[tuple[int, ...], list[Asking]] = {
            asked: [self.askings[number] for number in asked if self.askings[number].lasts(today)]
            for asked in set(columns.asked)
        }
        every = {a: min((one.every for one in some if one.every), default=None) for a, some in live.items()}
        goals = {a: max((one.goal for one in some if one.goal), default=None) for a, some in live.items()}
        table = ItemTable(
            tuple([before + name for name in columns.names]),
            columns.minutes,
            columns.keys,
            columns.catalogues,
            tuple(map(every.__getitem__, columns.asked)),
            tuple(map(goals.__getitem__, columns.asked)),
            columns.heavy,
            columns.names,
            columns.warm,
            columns.ranks,
        )
        return table.only([bool(live[asked]) for asked in columns.asked]).checked()

    def lists(self) -> list[DatedList]:
        """Required lists with their dates."""
        return [
            DatedList(one.name, one.day, frozenset(self.item_id(name) for name in one.names))
            for one in self.dated
        ]
