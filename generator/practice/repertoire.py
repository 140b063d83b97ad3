"""From a plan and a player to the list that is kept alive: one entry for each exercise in one written key.

An exercise is known in the log by its instrument and its canonical phrase without dressing, under the usual name of
its written key. So its history stays when a plan is edited, dressed differently or asks for the key by its other name.
"""

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan import KeyNames
from generator.documents.plan_row import Dressing, Keep, merged
from generator.errors import DoesNotFitError
from generator.exercise.build import Player, written_tonic
from generator.exercise.request import Request, first_form
from generator.exercise.routine import Routine
from generator.phrase import expand
from generator.phrase.write import canonical
from generator.practice.duration_estimate import DurationEstimate, estimate
from generator.rotation import DatedList, ItemTable
from generator.theory.form import Form
from generator.theory.key import both_names, circle_place, usual_name
from generator.theory.pitch import NoteName

_CLASSES = 12
# Chosen so that the kinds of exercise players keep most often begin in different keys: scales stand at the front of the
# catalogue of forms, chords from 24 on.
_DOZEN_STEP, _FIGURE_STEP = 4, 2
_FIRST = 3  # so that a new list begins with C major


class KeptExercise(NamedTuple):
    """One exercise of the list.

    Attributes:
        name: canonical phrase without dressing.
        minutes: its time on a sheet.
        key: place on the circle of fifths, or None.
        catalogue: its place among exercises that have waited equally long.
        dressing: number of what it wears.
        heavy: high or loud.
        until: last day on the list, as a date, or "".
        tonics: the names its key is read under, in turn, like "F# Gb".
    """

    name: str
    minutes: int
    key: int | None
    catalogue: int
    dressing: int
    heavy: bool
    until: str
    tonics: str


class Columns(NamedTuple):
    """The exercises of a list in columns, see `KeptExercise`; a large list is kept and read faster so."""

    names: tuple[str, ...] = ()
    minutes: tuple[int, ...] = ()
    keys: tuple[int | None, ...] = ()
    catalogues: tuple[int, ...] = ()
    dressings: tuple[int, ...] = ()
    heavy: tuple[bool, ...] = ()
    until: tuple[str, ...] = ()
    tonics: tuple[str, ...] = ()

    @classmethod
    def of(cls, entries: Iterable[KeptExercise]) -> "Columns":
        """The columns of some entries."""
        return cls(*zip(*entries, strict=True))


@dataclass(frozen=True, slots=True)
class DatedNames:
    """A required list with its date and the names of its exercises."""

    name: str
    day: dt.date
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Repertoire:
    """Everything a player keeps alive.

    Attributes:
        instrument: catalogue name.
        columns: the exercises.
        dressings: what they wear, by number.
        dated: required lists.
        unfit: phrase and reason of what the instrument or level cannot carry.
        mark: changes when the list does.
        stages: the stages of the plan's rows, in order, whether open or not.
    """

    instrument: str
    columns: Columns
    dressings: tuple[Dressing, ...]
    dated: tuple[DatedNames, ...] = ()
    unfit: tuple[tuple[str, str], ...] = ()
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
        every = [dressing.every for dressing in self.dressings]
        goals = [dressing.goal for dressing in self.dressings]
        names, minutes, keys, catalogues, worn, heavy, until, _ = self.columns
        table = ItemTable(
            tuple([before + name for name in names]),
            minutes,
            keys,
            catalogues,
            tuple(map(every.__getitem__, worn)),
            tuple(map(goals.__getitem__, worn)),
            heavy,
            names,
        )
        return table.only([not last or last >= today for last in until]).checked()

    def lists(self) -> list[DatedList]:
        """Required lists with their dates."""
        return [
            DatedList(one.name, one.day, frozenset(self.item_id(name) for name in one.names))
            for one in self.dated
        ]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A row to be spelled out.

    Attributes:
        keep: the row.
        names: which names of a key with two are read, where the row leaves it open.
        until: last day on the list, or "".
        complete: complete octaves only.
    """

    keep: Keep
    names: KeyNames = "usual"
    until: str = ""
    complete: bool = False


@dataclass
class Gathering:
    """Collects entries; rows that keep the same exercise are put together.

    Attributes:
        player: the player.
    """

    player: Player
    entries: dict[str, KeptExercise] = field(default_factory=dict)
    dressings: dict[Dressing, int] = field(default_factory=dict)
    unfit: list[tuple[str, str]] = field(default_factory=list)

    def add(self, row: Wanted) -> tuple[str, ...]:
        """Spell a row out.

        Returns:
            The names of its exercises, without those that do not fit (they are noted in ``unfit``).

        Raises:
            DoesNotFitError: nothing of the row fits, with the reason.
        """
        names: list[str] = []
        reasons: list[tuple[str, str]] = []
        for single in expand.singles_for(row.keep.request, self.player):
            try:
                bare, measured, tonics = self._written(single, row)
            except DoesNotFitError as error:
                reasons.append((canonical(single), str(error)))
                continue
            name = canonical(bare)
            self._put(name, bare, measured, tonics, row)
            names.append(name)
        if not names:
            raise DoesNotFitError(reasons[-1][1])
        self.unfit += reasons
        return tuple(dict.fromkeys(names))

    def _written(self, single: Request, row: Wanted) -> tuple[Request, DurationEstimate, tuple[str, ...]]:
        """The exercise under the usual name of its written key, its measures, and the names it is read under."""
        if isinstance(single.form, Routine):
            return single, estimate(single, row.keep.dressing, self.player), ()
        form = first_form(single.form)
        tonic = written_tonic(single, form, self.player.instrument)
        open_names = row.keep.request.key_set is not None and row.keep.request.names == "usual"
        spelled = _names_read(tonic, form, row.names) if open_names else (tonic,)
        written = replace(single, keys=(spelled[0],), concert=False)
        measured, written = self._measured(written, row)
        usual = _usual(tonic, form)
        return replace(written, keys=(usual,)), measured, tuple(one.name for one in spelled)

    def _measured(self, written: Request, row: Wanted) -> tuple[DurationEstimate, Request]:
        if row.complete:
            try:
                return estimate(written, row.keep.dressing, self.player, exact=True), written
            except DoesNotFitError:
                written = replace(written, span=shared_catalogue().spans.find("one octave"))
        return estimate(written, row.keep.dressing, self.player), written

    def _put(
        self, name: str, bare: Request, measured: DurationEstimate, tonics: tuple[str, ...], row: Wanted
    ) -> None:
        dressing = row.keep.dressing
        until = row.until
        heavy = measured.heavy if dressing.heavy is None else dressing.heavy
        known = self.entries.get(name)
        minutes = dressing.minutes or measured.minutes
        if known is not None:
            worn = tuple(self.dressings)[known.dressing]
            dressing = worn if worn == dressing else merged(worn, dressing)
            tonics = tuple(dict.fromkeys((*known.tonics.split(), *tonics)))
            until = max(known.until, until) if known.until and until else ""
            minutes, heavy = max(minutes, known.minutes), heavy or known.heavy
        number = self.dressings.setdefault(dressing, len(self.dressings))
        key, place = _places(bare)
        self.entries[name] = KeptExercise(name, minutes, key, place, number, heavy, until, " ".join(tonics))


def _names_read(tonic: NoteName, form: Form, names: KeyNames) -> tuple[NoteName, ...]:
    if names == "alternate":
        return both_names(tonic.pitch_class, form.signature)
    return (usual_name(tonic.pitch_class, form.signature, names),)


def _usual(tonic: NoteName, form: Form) -> NoteName:
    return usual_name(tonic.pitch_class, form.signature)


def _places(bare: Request) -> tuple[int | None, int]:
    """Place on the circle of fifths, and the place among exercises that have waited equally long.

    The places of each kind of exercise run through the keys, shifted from kind to kind, so that a new list is met
    in mixed kinds and mixed keys rather than one kind at a time. They depend on the exercise alone.
    """
    if isinstance(bare.form, Routine):
        return None, bare.form.catalogue % _CLASSES
    form, figure = first_form(bare.form), bare.figure or shared_catalogue().straight
    dozens = form.catalogue // _CLASSES
    shift = form.catalogue + _DOZEN_STEP * dozens + _FIGURE_STEP * figure.catalogue - _FIRST
    key = circle_place(bare.keys[0], form.signature)
    return key, (shift + 5 * key) % _CLASSES
