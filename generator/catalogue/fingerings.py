"""Reads shared/fingerings.toml: the charts behind the help for the hand. Only where it is asked for."""

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from generator.catalogue.tables import Catalogue, read_table
from generator.errors import BadFileError, GeneratorError
from generator.exercise.finger_charts import (
    Bore,
    BrassChart,
    ClarinetChart,
    FingerChart,
    PianoChart,
    ScaleHand,
    StringChart,
)
from generator.exercise.instrument import Instrument
from generator.exercise.partials import PARTIALS
from generator.theory.interval import Interval
from generator.theory.pitch import Pitch

COVERS = (
    "brass, violin, viola, cello and guitars in first position, straight scales of the piano, and "
    "little fingers of clarinets"
)
_SEVENTH = 34  # half steps above the fundamental, to the note it is taken for
_LEFT_HANDS = frozenset({"piano left hand"})
_BASS_CLEF = {"bass clarinet in bass clef": 12}
_Rows = Mapping[str, Any]


def chart_for(instrument: Instrument, catalogue: Catalogue, *, left: bool = False) -> FingerChart | None:
    """The chart of an instrument, or None where there is none.

    Args:
        instrument: whose.
        catalogue: the names.
        left: the left hand, where both play.

    Raises:
        BadFileError: the file of the charts is broken.
    """
    try:
        rows = _rows(catalogue.folder)
        if instrument.wind == "keyboard":
            return _piano(rows, right=not left and instrument.name not in _LEFT_HANDS)
        if instrument.family == "clarinets":
            return _clarinet(rows, _BASS_CLEF.get(instrument.name, 0))
        for row in rows["strings"]:
            if instrument.name in row["instruments"]:
                return _strings(row)
        bores = tuple(_bores(rows, instrument.name, catalogue))
        return BrassChart(bores) if bores else None
    except (KeyError, TypeError, ValueError, AttributeError, GeneratorError) as error:
        raise BadFileError(f"fingerings.toml: {error}") from None


@lru_cache(maxsize=1)
def _rows(folder: Path) -> _Rows:
    return read_table(folder / "fingerings.toml")


def _bores(rows: _Rows, name: str, catalogue: Catalogue) -> Iterable[Bore]:
    lowerings = {
        row["name"]: tuple((label, int(down)) for label, down in row["steps"]) for row in rows["lowering"]
    }
    for row in rows["tube"]:
        if name not in row["instruments"]:
            continue
        root = Pitch.parse(row["fundamental"]) if "fundamental" in row else catalogue.tubes[name].fundamental
        yield Bore(
            partials=tuple((number, root.height + _above(number)) for number in row["partials"]),
            steps=lowerings[row["lowering"]],
            prefix=row.get("prefix", ""),
            slide="slide" in row["lowering"],
            **_limits(row),
        )


def _limits(row: _Rows) -> dict[str, int]:
    names: dict[str, str] = {"low": "from", "high": "to"}
    return {name: Pitch.parse(row[field]).height for name, field in names.items() if field in row}


def _above(number: int) -> int:
    return _SEVENTH if number == 7 else Interval.parse(PARTIALS[number]).semitones


def _strings(row: _Rows) -> StringChart:
    return StringChart(
        open=tuple(map(Pitch.parse, row["open"])),
        steps=tuple(row.get("fingers", ())),
        high=Pitch.parse(row["to"]).height,
    )


def _piano(rows: _Rows, *, right: bool) -> PianoChart:
    hand: Callable[[_Rows], ScaleHand] = _right if right else _left
    scales = {
        (form, key): hand(row)
        for row in rows["piano"]
        for form in row["forms"]
        for key in row["keys"].split()
    }
    return PianoChart(right, scales, rows["chromatic"][0]["right" if right else "left"])


def _right(row: _Rows) -> ScaleHand:
    return ScaleHand(row["right"], row.get("top", ""), row.get("start", ""))


def _left(row: _Rows) -> ScaleHand:
    return ScaleHand(row["left"], row.get("bottom", ""))


def _clarinet(rows: _Rows, down: int) -> ClarinetChart:
    sides = {Pitch.parse(note).height: row["side"] for row in rows["clarinet"] for note in row["notes"]}
    fixed = {Pitch.parse(note).height for row in rows["clarinet"] if row.get("only") for note in row["notes"]}
    return ClarinetChart(sides, frozenset(fixed), down)
