"""Reads shared/*.toml into tables of records. A bad file is refused with every bad row named."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from generator.catalogue.clauses import (
    Advice,
    Clause,
    SmallWords,
    advice_rows,
    clause_rows,
    small_words,
)
from generator.catalogue.instrument_rows import instrument_row, percussion_row
from generator.catalogue.names import fold, nearest
from generator.catalogue.rows import (
    LEVELS,
    CheckedRow,
    KeyList,
    Known,
    articulation_row,
    caution_row,
    figure_row,
    form_row,
    key_list_row,
    part_beats,
    rhythm_row,
    routine_row,
    set_row,
    span_row,
)
from generator.errors import BadFileError, GeneratorError, OutputError, UnknownNameError, shown
from generator.exercise.articulation import Articulation
from generator.exercise.caution import Caution
from generator.exercise.figure import Figure
from generator.exercise.instrument import Instrument
from generator.exercise.request import RowSet
from generator.exercise.rhythm import PartBeat, Rhythm
from generator.exercise.routine import Routine, Tube
from generator.exercise.span import Span
from generator.files.resources import data_folder
from generator.theory.form import Form
from generator.theory.pitch import NoteName, Pitch


class Named(Protocol):
    """Anything with a name and aliases."""

    @property
    def name(self) -> str: ...
    @property
    def aliases(self) -> tuple[str, ...]: ...


T = TypeVar("T", bound=Named)


@dataclass(frozen=True)
class Table(Generic[T]):
    """Rows of one kind, found by name or alias.

    Attributes:
        kind: what a row is called in messages.
        rows: in catalogue order.
    """

    kind: str
    rows: tuple[T, ...]

    @cached_property
    def index(self) -> dict[tuple[str, ...], T]:
        """Every folded name and alias."""
        return {fold(n): row for row in self.rows for n in (row.name, *row.aliases)}

    def find(self, name: str) -> T:
        """The row of a name.

        Raises:
            UnknownNameError: no such name; gives the nearest.
        """
        row = self.index.get(fold(name))
        if row is None:
            near = nearest(name, [n for r in self.rows for n in (r.name, *r.aliases)])
            hint = f"nearest: {', '.join(near)}" if near else f"see: scalewright list {self.kind}s"
            raise UnknownNameError(f"unknown {self.kind} {shown(name)}; {hint}", nearest=near)
        return row

    def names(self) -> tuple[str, ...]:
        """Names in catalogue order."""
        return tuple(row.name for row in self.rows)


@dataclass(frozen=True)
class Catalogue:
    """Everything that has a name.

    Attributes:
        instruments: in score order.
        forms: in catalogue order, as are the rest.
        figures: orders of degrees.
        spans: from wide to narrow.
        rhythms: cells of note values.
        articulations: cells of slurs and strokes.
        sets: names for several names at once.
        routines: patterns over the partials.
        tubes: harmonic series by instrument name.
        key_lists: keys in an order that has a name.
        tuning: concert notes by family of instruments.
        clauses: clauses that stand for no row.
        small: words in haste and words that say little.
        folder: where all of it was read.
        cautions: what a page says when it asks for work that can hurt.
        silent: what can be worked without a sound, by how the instrument is sounded.
    """

    instruments: Table[Instrument]
    forms: Table[Form]
    figures: Table[Figure]
    spans: Table[Span]
    rhythms: Table[Rhythm]
    articulations: Table[Articulation]
    sets: Table[RowSet[Any]]
    routines: Table[Routine]
    tubes: Mapping[str, Tube]
    key_lists: Table[KeyList]
    tuning: Mapping[str, tuple[NoteName, ...]]
    clauses: tuple[Clause, ...]
    small: SmallWords
    folder: Path
    cautions: Table[Caution]
    silent: Mapping[str, tuple[str, ...]]

    @property
    def pitched(self) -> tuple[Instrument, ...]:
        """The instruments with a definite pitch, in score order."""
        return tuple(row for row in self.instruments.rows if not row.unpitched)

    @cached_property
    def straight(self) -> Figure:
        """The figure of a line played as it is."""
        return self.figures.find("straight")

    @cached_property
    def advice(self) -> tuple[Advice, ...]:
        """What a phrase cannot say, and what may be said instead; read when something is refused."""
        return advice_rows(read_table(self.folder / "advice.toml"))

    @cached_property
    def sources(self) -> tuple[tuple[str, frozenset[str]], ...]:
        """Figures, sets, articulations and rhythms by name, each with the words of its source."""
        return tuple(
            (row["name"], frozenset(fold(str(row.get("source", "")))))
            for kind in ("figure", "set", "articulation", "rhythm")
            for row in read_table(self.folder / f"{kind}s.toml").get(kind, [])
        )


@lru_cache(maxsize=1)
def shared_catalogue() -> Catalogue:
    """Everything that has a name, read once."""
    return load(data_folder("shared"))


def load(folder: Path) -> Catalogue:
    """Read every table of a folder.

    Args:
        folder: holds instruments.toml, forms.toml, figures.toml, spans.toml, rhythms.toml, articulations.toml.

    Raises:
        BadFileError: rows with mistakes, all of them, one a line.
        OutputError: a file is missing or cannot be read.
    """
    instruments = _instruments(folder)
    rhythms = _table(folder, "rhythm", partial(rhythm_row, shares=_shares(folder)))
    spans = _table(folder, "span", span_row)
    forms = _table(folder, "form", form_row)
    # Rows hold the rows they name, so each kind is read after those it names.
    known = Known(rhythms.find, spans.find, forms.find)
    articulations = _table(folder, "articulation", partial(_with, articulation_row, known))
    known = replace(known, articulation=articulations.find)
    routines, tubes = _partials(folder, instruments, known)
    return Catalogue(
        instruments=instruments,
        forms=forms,
        figures=_table(folder, "figure", partial(_with, figure_row, known)),
        spans=spans,
        rhythms=rhythms,
        articulations=articulations,
        sets=_table(folder, "set", partial(_with, set_row, known)),
        routines=routines,
        tubes=tubes,
        key_lists=_table(folder, "list", key_list_row, "key_list"),
        tuning=_tuning(folder),
        clauses=clause_rows(read_table(folder / "clauses.toml")),
        small=small_words(read_table(folder / "words.toml")),
        folder=folder,
        cautions=_cautions(folder, instruments),
        silent=_silent(folder),
    )


def _shares(folder: Path) -> tuple[PartBeat, ...]:
    try:
        return part_beats(read_table(folder / "beats.toml").get("beat", []))
    except (KeyError, TypeError, ValueError, AttributeError, GeneratorError) as error:
        raise BadFileError(f"beats.toml: a beat needs length, notes and a cell ({error})") from None


def _with(read: Callable[[CheckedRow, Known], T], known: Known, row: CheckedRow) -> T:
    return read(row, known)


def _instruments(folder: Path) -> Table[Instrument]:
    """Pitched instruments and percussion together, from the top of a score."""
    pitched = _table(folder, "instrument", instrument_row)
    percussion = _table(folder, "percussion", percussion_row, "percussion", plural=False)
    table = Table("instrument", tuple(sorted((*pitched.rows, *percussion.rows), key=lambda i: i.order)))
    if len(table.index) < len(pitched.index) + len(percussion.index):
        twice = sorted(" ".join(name) for name in pitched.index.keys() & percussion.index.keys())
        raise BadFileError(f"percussion.toml: {twice[0]!r} is the name of another instrument")
    return table


def _cautions(folder: Path, instruments: Table[Instrument]) -> Table[Caution]:
    table = _table(folder, "caution", caution_row)
    for row in table.rows:
        for name in row.instruments:
            if fold(name) not in instruments.index:
                raise BadFileError(f"cautions.toml, {row.name}: unknown instrument {shown(name)}")
    return table


def _silent(folder: Path) -> dict[str, tuple[str, ...]]:
    path = folder / "silent.toml"
    found: dict[str, tuple[str, ...]] = {}
    try:
        for row in read_table(path).get("way", []):
            for wind in row["winds"]:
                found[wind] = (*found.get(wind, ()), str(row["words"]))
    except (KeyError, TypeError, AttributeError) as error:
        raise BadFileError(f"{path.name}: a way needs winds and words ({error})") from None
    return found


def _tuning(folder: Path) -> dict[str, tuple[NoteName, ...]]:
    path = folder / "tuning.toml"
    try:
        return {
            family: tuple(NoteName.parse(word) for word in row["notes"].split())
            for row in read_table(path).get("tuning", [])
            for family in row["families"]
        }
    except (KeyError, TypeError, AttributeError) as error:
        raise BadFileError(f"{path.name}: a row needs families and notes ({error})") from None


def read_table(path: Path) -> dict[str, Any]:
    """A file of the catalogue as it stands.

    Raises:
        BadFileError: it is no TOML.
        OutputError: it cannot be read.
    """
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None


def _table(
    folder: Path, kind: str, read: Callable[[CheckedRow], T], file: str = "", *, plural: bool = True
) -> Table[T]:
    path = folder / f"{file or kind}{'s' if plural else ''}.toml"
    data = read_table(path)
    rows: list[T] = []
    faults: list[str] = []
    seen: dict[tuple[str, ...], str] = {}
    taken: dict[int, str] = {}
    for number, raw in enumerate(data.get(kind, []), 1):
        try:
            row = read(CheckedRow(raw))
        except (GeneratorError, KeyError, ValueError, TypeError) as error:
            reason = f"needs the field {error}" if isinstance(error, KeyError) else error
            faults.append(f"{path.name}, row {number} ({raw.get('name', 'no name')}): {reason}")
            continue
        for name in (row.name, *row.aliases):
            other = seen.setdefault(fold(name), row.name)
            if other != row.name:
                faults.append(f"{path.name}: {name!r} names both {other!r} and {row.name!r}")
        other = taken.setdefault(raw.get("number", -number), row.name)
        if other != row.name:
            faults.append(f"{path.name}: number {raw['number']} belongs to both {other!r} and {row.name!r}")
        rows.append(row)
    if faults:
        raise BadFileError("\n".join(faults))
    return Table(kind, tuple(rows))


def _partials(
    folder: Path, instruments: Table[Instrument], known: Known
) -> tuple[Table[Routine], dict[str, Tube]]:
    data = read_table(folder / "partials.toml")
    sounding: dict[str, dict[str, Pitch]] = {}
    for row in data.get("pitch", []):
        if fold(row["instrument"]) not in instruments.index:
            raise BadFileError(f"partials.toml: unknown instrument: {row['instrument']!r}")
        sounding.setdefault(row["routine"], {})[row["instrument"]] = Pitch.parse(row["sounds"])
    routines = _table(folder, "routine", partial(routine_row, known=known, sounding=sounding), "partial")
    lowerings = {row["name"]: tuple((label, int(n)) for label, n in row["steps"]) for row in data["lowering"]}
    tubes: dict[str, Tube] = {}
    for row in data["series"]:
        for name in row["instruments"]:
            if fold(name) not in instruments.index or row["lowering"] not in lowerings:
                raise BadFileError(
                    f"partials.toml: unknown instrument or lowering: {name!r}, {row['lowering']!r}"
                )
            tubes[name] = Tube(Pitch.parse(row["fundamental"]), lowerings[row["lowering"]])
    return routines, tubes


__all__ = ["LEVELS", "Catalogue", "Table", "load"]
