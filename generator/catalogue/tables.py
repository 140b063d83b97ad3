"""Reads shared/*.toml into records. A bad file is refused with every bad row named.

Each file's header says what its fields mean; unknown fields are mistakes.
"""

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar, get_args

from generator.catalogue.names import fold, nearest
from generator.errors import BadFileError, GeneratorError, OutputError, UnknownNameError
from generator.exercise.articulation import Articulation, parse_strokes
from generator.exercise.clef import MIDDLE
from generator.exercise.figure import Figure
from generator.exercise.instrument import Compass, Instrument
from generator.exercise.partials import Routine, Tube
from generator.exercise.rhythm import Rhythm, parse_cell
from generator.exercise.span import Span
from generator.theory.duration import Metre
from generator.theory.form import Form, Spelling
from generator.theory.interval import UNISON, Interval
from generator.theory.pitch import NoteName, Pitch

LEVELS = {"first notes": "first_notes", "standard": "standard", "extended": "extended"}
_WINDS = ("flute", "reed", "brass", "string", "plucked", "mallet", "voice")
_KINDS = ("moving", "pedal", "outward")
Row = Mapping[str, Any]


class Named(Protocol):
    """Anything with a name and aliases."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def aliases(self) -> tuple[str, ...]: ...  # noqa: D102


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
            raise UnknownNameError(f"unknown {self.kind} {name!r}; {hint}", nearest=near)
        return row

    def names(self) -> tuple[str, ...]:
        """Names in catalogue order."""
        return tuple(row.name for row in self.rows)


@dataclass(frozen=True, slots=True)
class NameSet:
    """A row of shared/sets.toml.

    Attributes:
        name: the set.
        kind: rhythm, articulation or form.
        members: names of that kind, in order.
        moves: for forms, the interval from the named tonic to each member's own.
    """

    name: str
    kind: str
    members: tuple[str, ...]
    moves: tuple[Interval, ...] = ()
    aliases: tuple[str, ...] = ()


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
    """

    instruments: Table[Instrument]
    forms: Table[Form]
    figures: Table[Figure]
    spans: Table[Span]
    rhythms: Table[Rhythm]
    articulations: Table[Articulation]
    sets: Table[NameSet]
    routines: Table[Routine]
    tubes: Mapping[str, Tube]

    def form_of(self, name: str) -> Form:
        """The form of a name, or the first form of a set of forms.

        Raises:
            UnknownNameError: no such form.
        """
        found = self.sets.index.get(fold(name))
        return self.forms.find(found.members[0] if found else name)


class _Checked(dict[str, Any]):
    """A raw row that can tell which fields were never read."""

    def __init__(self, raw: Row) -> None:
        super().__init__(raw)
        if not isinstance(raw.get("name"), str) or not raw["name"].strip():
            raise BadFileError("a row needs a name")
        if not all(isinstance(a, str) for a in raw.get("aliases", [])):
            raise BadFileError("aliases are a list of words")

    def only(self, *fields: str) -> None:
        """Refuse fields that mean nothing here."""
        extra = sorted(set(self) - {"name", "aliases", "number", "source", *fields})
        if extra:
            near = nearest(extra[0], fields)
            raise BadFileError(f"unknown field {extra[0]!r}" + (f"; nearest: {near[0]}" if near else ""))

    def among(self, field: str, allowed: Iterable[str], default: Any = "") -> Any:  # noqa: ANN401
        """A field that is one of a few words, or a list of such words."""
        value = self.get(field, default)
        wrong = [w for w in (value if isinstance(value, list) else [value]) if w not in (*allowed, default)]
        if wrong:
            raise BadFileError(f"{field} is {', '.join(allowed)}, not {wrong[0]!r}")
        return value


def load(folder: Path) -> Catalogue:
    """Read every table of a folder.

    Args:
        folder: holds instruments.toml, forms.toml, figures.toml, spans.toml, rhythms.toml, articulations.toml.

    Raises:
        BadFileError: rows with mistakes, all of them, one a line.
        OutputError: a file is missing or cannot be read.
    """
    instruments = _table(folder, "instrument", _instrument)
    by_order = sorted(instruments.rows, key=lambda i: i.order)
    figures = _table(folder, "figure", _figure)
    rhythms = _table(folder, "rhythm", _rhythm)
    articulations = _table(folder, "articulation", _articulation)
    forms = _table(folder, "form", _form)
    sets = _table(folder, "set", _set)
    routines, tubes = _partials(folder, instruments)
    kinds = {"rhythm": rhythms, "articulation": articulations, "form": forms}
    named = [("figures", f.name, "rhythm", f.rhythm) for f in figures.rows]
    named += [("figures", f.name, "articulation", f.articulation) for f in figures.rows if f.articulation]
    named += [("articulations", a.name, "rhythm", a.rhythm) for a in articulations.rows if a.rhythm]
    named += [("partials", r.name, "rhythm", r.rhythm) for r in routines.rows]
    named += [("sets", s.name, s.kind, member) for s in sets.rows for member in s.members]
    faults = [
        f"{file}.toml: {owner!r} names the unknown {kind} {name!r}"
        for file, owner, kind, name in named
        if fold(name) not in kinds[kind].index  # type: ignore[attr-defined]
    ]
    if faults:
        raise BadFileError("\n".join(faults))
    return Catalogue(
        Table("instrument", tuple(by_order)),
        forms,
        figures,
        _table(folder, "span", _span),
        rhythms,
        articulations,
        sets,
        routines,
        tubes,
    )


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None


def _table(folder: Path, kind: str, read: Callable[[_Checked], T], file: str = "") -> Table[T]:
    path = folder / f"{file or kind}s.toml"
    data = _read(path)
    rows: list[T] = []
    faults: list[str] = []
    seen: dict[tuple[str, ...], str] = {}
    taken: dict[int, str] = {}
    for number, raw in enumerate(data.get(kind, []), 1):
        try:
            row = read(_Checked(raw))
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


def _common(row: _Checked) -> dict[str, Any]:
    return {"name": row["name"], "aliases": tuple(row.get("aliases", ())), "catalogue": int(row["number"])}


def _intervals(text: str) -> tuple[Interval, ...]:
    return tuple(Interval.parse(word) for word in text.split())


def _form(row: _Checked) -> Form:
    row.only(
        "up", "down", "signature", "spelling", "rows", "distinct", "chord", "root", "resolves", "heading"
    )
    up = _intervals(row["up"])
    down = _intervals(row["down"]) if "down" in row else up
    if len(up) != len(down):
        raise BadFileError("up and down need the same number of notes")
    return Form(
        **_common(row),
        up=up,
        down=down,
        signature=row.get("signature"),
        spelling=row.among("spelling", get_args(Spelling), "strict"),
        rows=tuple(tuple(NoteName.parse(n) for n in line.split()) for line in row.get("rows", ())),
        chord=bool(row.get("chord", False)),
        root=Interval.parse(row["root"]) if "root" in row else UNISON,
        resolves=Interval.parse(row["resolves"]) if "resolves" in row else UNISON,
        distinct=int(row.get("distinct", 12)),
        heading=row.get("heading", "{key} {form}"),
    )


def _cells(lines: Iterable[str]) -> tuple[tuple[int | str, ...], ...]:
    return tuple(tuple(w if w.endswith("8ve") else int(w) for w in line.split()) for line in lines)


def _figure(row: _Checked) -> Figure:
    row.only(
        "cells", "down", "kind", "step", "peak", "close", "drone", "interval", "rhythm", "articulation", "span", "form", "heading"
    )
    return Figure(
        **_common(row),
        cells=_cells(row["cells"]),
        down_cells=_cells(row.get("down", ())),
        kind=row.among("kind", _KINDS, "moving"),
        step=int(row.get("step", 1)),
        peak=bool(row.get("peak", False)),
        close=tuple(int(w) for w in row.get("close", "0").split()),
        interval=bool(row.get("interval", False)),
        drone=bool(row.get("drone", False)),
        rhythm=row.get("rhythm", "sixteenths"),
        articulation=row.get("articulation", ""),
        span=row.get("span", ""),
        form=row.get("form", "major"),
        heading=row.get("heading", "in {figure}"),
    )


def _span(row: _Checked) -> Span:
    row.only("interval")
    interval = Interval.parse(row["interval"]) if "interval" in row else None
    return Span(row["name"], interval, tuple(row.get("aliases", ())))


def _rhythm(row: _Checked) -> Rhythm:
    row.only("metre", "cell", "beams", "feel", "then", "equal")
    return Rhythm(
        **_common(row),
        metre=Metre.parse(row["metre"]),
        cell=parse_cell(row["cell"]),
        beams=tuple(Fraction(b) for b in row.get("beams", "").split()),
        feel=row.get("feel", ""),
        then=tuple(Metre.parse(m) for m in row.get("then", ())),
        equal=row.get("equal", ""),
    )


def _articulation(row: _Checked) -> Articulation:
    row.only(
        "cell",
        "lead",
        "whole",
        "beat",
        "repeats",
        "bar",
        "syllables",
        "swell",
        "each",
        "marks",
        "group",
        "shifts",
        "rhythm",
        "winds",
    )
    return Articulation(
        **_common(row),
        cell=parse_strokes(row["cell"]),
        lead=parse_strokes(row.get("lead", "")),
        whole=bool(row.get("whole", False)),
        by_beat=row.get("beat", ""),
        bar=bool(row.get("bar", False)),
        each=tuple(row.get("each", "").split()),
        close=tuple(row.get("marks", ())),
        repeats=int(row.get("repeats", 1)),
        syllables=tuple(row.get("syllables", "").split()),
        swell=tuple(row.get("swell", "").split()),
        group=int(row.get("group", 0)),
        shifts=bool(row.get("shifts", False)),
        rhythm=row.get("rhythm", ""),
        winds=tuple(row.among("winds", _WINDS, ())),
    )


def _instrument(row: _Checked) -> Instrument:
    row.only("label", "short", "family", "wind", "order", "sounds", "clefs", "ottava", "note", "levels")
    levels = tuple(
        (name, Compass(Pitch.parse(data["low"]), Pitch.parse(data["high"]), data["source"]))
        for name, key in LEVELS.items()
        for data in [row["levels"][key]]
    )
    return Instrument(
        name=row["name"],
        label=row["label"],
        short=row["short"],
        family=row["family"],
        wind=row.among("wind", _WINDS),
        order=int(row["order"]),
        sounds=Interval.parse(row["sounds"]),
        clefs=tuple(row.among("clefs", MIDDLE)),
        ottava=bool(row.get("ottava", False)),
        levels=levels,
        aliases=tuple(row.get("aliases", ())),
        note=row.get("note", ""),
    )


def _set(row: _Checked) -> NameSet:
    row.only("kind", "members")
    if row["kind"] not in ("rhythm", "articulation", "form"):
        raise BadFileError(f"kind is rhythm, articulation or form, not {row['kind']!r}")
    members: list[str] = []
    moves: list[Interval] = []
    for text in row["members"]:
        name, _, last = text.rpartition(" ")
        moved = row["kind"] == "form" and last[-1:].isdigit()
        members.append(name if moved else text)
        moves.append(Interval.parse(last) if moved else UNISON)
    return NameSet(row["name"], row["kind"], tuple(members), tuple(moves), tuple(row.get("aliases", ())))


def _partials(folder: Path, instruments: Table[Instrument]) -> tuple[Table[Routine], dict[str, Tube]]:
    routines = _table(folder, "routine", _routine, "partial")
    data = _read(folder / "partials.toml")
    lowerings = {row["name"]: tuple((label, int(n)) for label, n in row["steps"]) for row in data["lowering"]}
    tubes: dict[str, Tube] = {}
    for row in data["series"]:
        for name in row["instruments"]:
            if fold(name) not in instruments.index or row["lowering"] not in lowerings:
                raise BadFileError(f"partials.toml: unknown instrument or lowering: {name!r}, {row['lowering']!r}")
            tubes[name] = Tube(Pitch.parse(row["fundamental"]), lowerings[row["lowering"]])
    return routines, tubes


def _routine(row: _Checked) -> Routine:
    row.only("winds", "families", "pattern", "rhythm")
    return Routine(
        **_common(row),
        pattern=tuple(int(p) for p in row["pattern"].split()),
        rhythm=row["rhythm"],
        winds=tuple(row.among("winds", _WINDS, ())),
        families=tuple(row.get("families", ())),
    )
