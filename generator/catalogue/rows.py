"""One row of a data file as a record: what its fields mean, and what is refused.

The header of each file in shared/ says the same for people. Unknown fields are mistakes.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, get_args

from generator.catalogue.names import nearest
from generator.errors import BadFileError
from generator.exercise.articulation import SEVERAL, STICKS, Articulation, Rudiment, parse_strokes
from generator.exercise.caution import WHENS, Caution
from generator.exercise.figure import Figure, is_octave
from generator.exercise.instrument import UNPITCHED
from generator.exercise.request import RowSet
from generator.exercise.rhythm import PartBeat, Rhythm, parse_cell
from generator.exercise.routine import Routine
from generator.exercise.span import Span
from generator.theory.duration import Metre
from generator.theory.form import Form, Spelling
from generator.theory.interval import UNISON, Interval
from generator.theory.pitch import NoteName, Pitch

LEVELS = {"first notes": "first_notes", "standard": "standard", "extended": "extended"}
Row = Mapping[str, Any]
_KINDS = ("moving", "pedal", "outward", "held", "blocks", "chords")
WINDS = ("flute", "reed", "brass", "string", "plucked", "mallet", "harp", "voice", "keyboard")
_READERS = (*WINDS, UNPITCHED, SEVERAL)


@dataclass(frozen=True, slots=True)
class KeyList:
    """A row of shared/key_lists.toml.

    Attributes:
        name: what it is called.
        keys: in order.
        concert: they are concert keys, whoever reads them.
        source: where the list comes from.
    """

    name: str
    keys: tuple[NoteName, ...]
    concert: bool
    source: str
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Known:
    """Finds the rows that a row names, among those read before it."""

    rhythm: Callable[[str], Rhythm]
    span: Callable[[str], Span]
    form: Callable[[str], Form]
    articulation: Callable[[str], Articulation] = Articulation


class CheckedRow(dict[str, Any]):
    """A raw row that can tell which fields were never read."""

    def __init__(self, raw: Row) -> None:
        super().__init__(raw)
        if not isinstance(raw.get("name"), str) or not raw["name"].strip():
            raise BadFileError("a row needs a name")
        if not all(isinstance(a, str) for a in raw.get("aliases", [])):
            raise BadFileError("aliases are a list of words")

    def only(self, *fields: str) -> None:
        """Refuse fields that mean nothing here."""
        extra = sorted(set(self) - {"name", "aliases", "number", "source", "listed", *fields})
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


def _common(row: CheckedRow) -> dict[str, Any]:
    return {
        "name": row["name"],
        "aliases": tuple(row.get("aliases", ())),
        "catalogue": int(row["number"]),
        "listed": str(row.get("listed", "")),
    }


def _intervals(text: str) -> tuple[Interval, ...]:
    return tuple(Interval.parse(word) for word in text.split())


def form_row(row: CheckedRow) -> Form:
    """A form."""
    row.only(
        "up",
        "down",
        "signature",
        "spelling",
        "rows",
        "distinct",
        "chord",
        "root",
        "resolves",
        "reads",
        "home",
        "said",
        "heading",
        "symbols",
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
        reads=row.get("reads"),
        home=Interval.parse(row["home"]) if "home" in row else UNISON,
        said=row.get("said", ""),
        distinct=int(row.get("distinct", 12)),
        heading=row.get("heading", "{key} {form}"),
        symbols=tuple(row.get("symbols", ())),
    )


def _cells(lines: Iterable[str]) -> tuple[tuple[int | str, ...], ...]:
    return tuple(tuple(w if is_octave(w) else int(w) for w in line.split()) for line in lines)


def figure_row(row: CheckedRow, known: Known) -> Figure:
    """A figure."""
    row.only(
        "cells",
        "down",
        "kind",
        "step",
        "peak",
        "close",
        "drone",
        "interval",
        "rhythm",
        "articulation",
        "span",
        "form",
        "heading",
        "said",
        "chord",
        "apart",
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
        apart=int(row.get("apart", 0)),
        chord=bool(row.get("chord", False)),
        rhythm=known.rhythm(row.get("rhythm", "sixteenths")),
        articulation=known.articulation(row["articulation"]) if "articulation" in row else None,
        span=known.span(row["span"]) if "span" in row else None,
        form=known.form(row.get("form", "major")),
        heading=row.get("heading", "in {figure}"),
        said=row.get("said", " in {figure}"),
    )


def span_row(row: CheckedRow) -> Span:
    """A span."""
    row.only("interval", "named")
    interval = Interval.parse(row["interval"]) if "interval" in row else None
    return Span(row["name"], interval, tuple(row.get("aliases", ())), named=bool(row.get("named", False)))


def part_beats(rows: Iterable[Row]) -> tuple[PartBeat, ...]:
    """How beats are shared by fewer notes.

    Raises:
        BadFileError: the notes of a row do not fill its beat.
    """
    found: list[PartBeat] = []
    for raw in rows:
        row = PartBeat(
            Fraction(str(raw["length"])),
            int(raw["notes"]),
            parse_cell(str(raw["cell"])),
            int(raw.get("of", 0)),
        )
        if extra := sorted(set(raw) - {"length", "notes", "cell", "of"}):
            raise BadFileError(f"a beat of {row.length}: unknown field {extra[0]!r}")
        if len(row.cell) != row.notes or sum((s.value.length for s in row.cell), Fraction(0)) != row.length:
            raise BadFileError(f"{row.notes} notes do not share a beat of {row.length} as {raw['cell']!r}")
        found.append(row)
    return tuple(found)


def rhythm_row(row: CheckedRow, shares: tuple[PartBeat, ...] = ()) -> Rhythm:
    """A rhythm.

    Args:
        row: as written.
        shares: how beats are shared by fewer notes.
    """
    row.only("metre", "cell", "beams", "feel", "then", "equal")
    return Rhythm(
        **_common(row),
        metre=Metre.parse(row["metre"]),
        cell=parse_cell(row["cell"]),
        beams=tuple(Fraction(b) for b in row.get("beams", "").split()),
        feel=row.get("feel", ""),
        then=tuple(Metre.parse(m) for m in row.get("then", ())),
        equal=row.get("equal", ""),
        part_beats=shares,
    )


def articulation_row(row: CheckedRow, known: Known) -> Articulation:
    """An articulation."""
    row.only(
        "cell",
        "lead",
        "whole",
        "beat",
        "repeats",
        "bar",
        "syllables",
        "runs",
        "strokes",
        "swell",
        "each",
        "marks",
        "group",
        "shifts",
        "rhythm",
        "winds",
        "said",
        "drum",
    )
    said: dict[str, str] = row.get("said", {})
    if wrong := sorted(set(said) - set(_READERS)):
        raise BadFileError(f"said is for {', '.join(_READERS)}, not {wrong[0]!r}")
    names = dict.fromkeys((*row.get("aliases", ()), *filter(None, said.values())))
    return Articulation(
        **_common(row) | {"aliases": tuple(names)},
        said=tuple(said.items()),
        drum=_rudiment(row["drum"]) if "drum" in row else None,
        cell=parse_strokes(row["cell"]),
        lead=parse_strokes(row.get("lead", "")),
        whole=bool(row.get("whole", False)),
        by_beat=row.get("beat", ""),
        bar=bool(row.get("bar", False)),
        each=tuple(row.get("each", "").split()),
        close=tuple(row.get("marks", ())),
        repeats=int(row.get("repeats", 1)),
        syllables=tuple(row.get("syllables", "").split()),
        runs=bool(row.get("runs", False)),
        ways=tuple(row.get("strokes", "").split()),
        swell=tuple(row.get("swell", "").split()),
        group=int(row.get("group", 0)),
        shifts=bool(row.get("shifts", False)),
        rhythm=known.rhythm(row["rhythm"]) if "rhythm" in row else None,
        winds=tuple(row.among("winds", (*WINDS, UNPITCHED), ())),
    )


def _rudiment(data: Row) -> Rudiment:
    """What a drum plays in place of slurs."""
    if wrong := sorted(set(data) - {"said", "cell", "lead", "hands", "beat"}):
        raise BadFileError(f"drum has no field {wrong[0]!r}")
    hands = tuple(data.get("hands", "").split())
    if wrong := sorted(set(hands) - STICKS):
        raise BadFileError(f"the hands of a drum are R and L, not {wrong[0]!r}")
    return Rudiment(
        data["said"],
        parse_strokes(data.get("cell", ".")),
        parse_strokes(data.get("lead", "")),
        hands,
        data.get("beat", ""),
    )


def set_row(row: CheckedRow, known: Known) -> RowSet[Any]:
    """A set of rows of one kind."""
    row.only("kind", "members")
    find = {"rhythm": known.rhythm, "articulation": known.articulation, "form": known.form}.get(row["kind"])
    if find is None:
        raise BadFileError(f"kind is rhythm, articulation or form, not {row['kind']!r}")
    names: list[str] = []
    moves: list[Interval] = []
    for text in row["members"]:
        name, _, last = text.rpartition(" ")
        moved = row["kind"] == "form" and last[-1:].isdigit()
        names.append(name if moved else text)
        moves.append(Interval.parse(last) if moved else UNISON)
    return RowSet(row["name"], tuple(map(find, names)), tuple(moves), tuple(row.get("aliases", ())))


def routine_row(row: CheckedRow, known: Known, sounding: Mapping[str, Mapping[str, Pitch]]) -> Routine:
    """A pattern over the partials, or moves on the mouthpiece; with sounding pitches by routine and instrument."""
    row.only("winds", "families", "pattern", "narrower", "rhythm", "moves", "how")
    if ("pattern" in row) == ("moves" in row):
        raise BadFileError("a routine has either a pattern or moves")
    return Routine(
        **_common(row),
        pattern=tuple(int(p) for p in row.get("pattern", "").split()),
        narrower=tuple(tuple(int(p) for p in line.split()) for line in row.get("narrower", ())),
        moves=tuple(_intervals(group) for group in row.get("moves", ())),
        how=row.get("how", ""),
        sounding=tuple(sounding.get(row["name"], {}).items()),
        rhythm=known.rhythm(row["rhythm"]),
        winds=tuple(row.among("winds", WINDS, ())),
        families=tuple(row.get("families", ())),
    )


def key_list_row(row: CheckedRow) -> KeyList:
    """A list of keys by name."""
    row.only("keys", "concert")
    return KeyList(
        name=row["name"],
        keys=tuple(NoteName.parse(word) for word in row["keys"].split()),
        concert=bool(row["concert"]),
        source=row["source"],
        aliases=tuple(row.get("aliases", ())),
    )


def caution_row(row: CheckedRow) -> Caution:
    """A caution."""
    row.only("when", "winds", "instruments", "work", "advice", "stop")
    return Caution(
        name=row["name"],
        when=row.among("when", WHENS, None) or row["when"],
        work=row["work"],
        advice=row["advice"],
        winds=tuple(row.among("winds", (*WINDS, UNPITCHED), ())),
        instruments=tuple(row.get("instruments", ())),
        stop=row.get("stop", ""),
    )
