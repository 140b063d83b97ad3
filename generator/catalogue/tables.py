"""Reads shared/*.toml into records. A bad file is refused with every bad row named.

Each file's header says what its fields mean; unknown fields are mistakes.
"""

import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Any, Generic, Protocol, TypeVar

from generator.catalogue.names import fold, nearest
from generator.errors import BadFileError, GeneratorError, OutputError, UnknownNameError
from generator.exercise.articulation import Articulation, parse_strokes
from generator.exercise.figure import Figure
from generator.exercise.instrument import Compass, Instrument
from generator.exercise.rhythm import Rhythm, parse_cell
from generator.exercise.span import Span
from generator.theory.duration import Metre
from generator.theory.form import Form
from generator.theory.interval import UNISON, Interval
from generator.theory.pitch import NoteName, Pitch

LEVELS = {"first notes": "first_notes", "standard": "standard", "extended": "extended"}
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
    """

    instruments: Table[Instrument]
    forms: Table[Form]
    figures: Table[Figure]
    spans: Table[Span]
    rhythms: Table[Rhythm]
    articulations: Table[Articulation]


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
    for figure in figures.rows:
        if fold(figure.rhythm) not in rhythms.index:
            raise BadFileError(f"figures.toml: {figure.name!r} names the unknown rhythm {figure.rhythm!r}")
    return Catalogue(
        Table("instrument", tuple(by_order)),
        _table(folder, "form", _form),
        figures,
        _table(folder, "span", _span),
        rhythms,
        _table(folder, "articulation", _articulation),
    )


def _table(folder: Path, kind: str, read: Callable[[_Checked], T]) -> Table[T]:
    path = folder / f"{kind}s.toml"
    try:
        data = tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None
    rows: list[T] = []
    faults: list[str] = []
    seen: dict[tuple[str, ...], str] = {}
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
        spelling=row.get("spelling", "strict"),
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
    row.only("cells", "down", "kind", "step", "peak", "close", "interval", "rhythm", "heading")
    return Figure(
        **_common(row),
        cells=_cells(row["cells"]),
        down_cells=_cells(row.get("down", ())),
        kind=row.get("kind", "moving"),
        step=int(row.get("step", 1)),
        peak=bool(row.get("peak", False)),
        close=tuple(int(w) for w in row.get("close", "0").split()),
        interval=bool(row.get("interval", False)),
        rhythm=row.get("rhythm", "sixteenths"),
        heading=row.get("heading", "in {figure}"),
    )


def _span(row: _Checked) -> Span:
    row.only("interval")
    interval = Interval.parse(row["interval"]) if "interval" in row else None
    return Span(row["name"], interval, tuple(row.get("aliases", ())))


def _rhythm(row: _Checked) -> Rhythm:
    row.only("metre", "cell", "beams", "feel")
    return Rhythm(
        **_common(row),
        metre=Metre.parse(row["metre"]),
        cell=parse_cell(row["cell"]),
        beams=tuple(Fraction(b) for b in row.get("beams", "").split()),
        feel=row.get("feel", ""),
    )


def _articulation(row: _Checked) -> Articulation:
    row.only(
        "cell",
        "lead",
        "whole",
        "beat",
        "repeats",
        "syllables",
        "swell",
        "group",
        "shifts",
        "rhythm",
        "usual",
        "winds",
    )
    return Articulation(
        **_common(row),
        cell=parse_strokes(row["cell"]),
        lead=parse_strokes(row.get("lead", "")),
        whole=bool(row.get("whole", False)),
        by_beat=bool(row.get("beat", False)),
        repeats=int(row.get("repeats", 1)),
        syllables=tuple(row.get("syllables", "").split()),
        swell=tuple(row.get("swell", "").split()),
        group=int(row.get("group", 0)),
        shifts=bool(row.get("shifts", False)),
        rhythm=row.get("rhythm", ""),
        usual=bool(row.get("usual", False)),
        winds=tuple(row.get("winds", ())),
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
        wind=row["wind"],
        order=int(row["order"]),
        sounds=Interval.parse(row["sounds"]),
        clefs=tuple(row["clefs"]),
        ottava=bool(row.get("ottava", False)),
        levels=levels,
        aliases=tuple(row.get("aliases", ())),
        note=row.get("note", ""),
    )
