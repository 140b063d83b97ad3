"""A plan that was spelled out once is remembered, because spelling out a large one takes longer than a sheet may.

What is remembered can be made again at any time, so whatever is wrong with the file counts as nothing remembered: a
damaged one by its digest, any other by the types and numbers it gives, which are looked at before they are used.
"""

import datetime as dt
import json
from dataclasses import asdict
from hashlib import sha256
from itertools import chain
from pathlib import Path
from typing import Any, get_args

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import MOST_DAYS, MOST_MINUTES
from generator.documents.plan_row import Dressing
from generator.errors import GeneratorError, OutputError
from generator.exercise.figure import Direction
from generator.exercise.request import EVERY
from generator.exercise.span import REGISTERS
from generator.files.atomic import place as put
from generator.files.version import VERSION
from generator.phrase.read import FASTEST, SLOWEST
from generator.phrase.vocabulary import UNIT_NAMES
from generator.practice.asking import Asking
from generator.practice.repertoire import AimNames, Columns, DatedNames, Repertoire, Shared
from generator.rotation.records import number_problem
from generator.theory.duration import Metre
from generator.theory.pitch import NoteName

_FORM = 10
"""Raised when entries or the way they are made change."""
_MOST = 64 << 20  # bytes; fifty thousand exercises take about five million
_DIGEST = 64  # signs of the digest, which come first
_TYPES: dict[str, set[type]] = {
    "names": {str},
    "minutes": {int},
    "keys": {int, type(None)},
    "catalogues": {int},
    "asked": {list},
    "shifts": {list},
    "heavy": {bool},
    "tonics": {str},
    "warm": {bool},
    "ranks": {int},
}
_RANGES = {
    "start": range(SLOWEST, FASTEST + 1),
    "goal": range(SLOWEST, FASTEST + 1),
    "step": range(1, FASTEST + 1),
    "every": range(1, MOST_DAYS + 1),
    "minutes": range(1, MOST_MINUTES + 1),
}


def recall(path: Path, key: str) -> Repertoire | None:
    """What was remembered from the same plan, lists, player and names, or None."""
    try:
        if not path.is_file() or path.stat().st_size > _MOST:
            return None
        whole = memoryview(path.read_bytes())
        if sha256(whole[_DIGEST:]).hexdigest().encode() != whole[:_DIGEST]:
            return None
        data = json.loads(str(whole[_DIGEST:], "utf-8"))
        if data["key"] != key or data["form"] != _FORM or data["version"] != VERSION:
            return None
        askings = tuple(_asking(row) for row in _typed(data["askings"], {dict}))
        return Repertoire(
            instrument=_text(data["instrument"]),
            columns=_columns(data["columns"], len(askings)),
            askings=askings,
            dated=tuple(
                DatedNames(_text(name), dt.date.fromisoformat(day), tuple(_typed(names, {str})))
                for name, day, names in _typed(data["dated"], {list})
            ),
            aims=tuple(_aim(row, len(askings)) for row in _typed(data["aims"], {list})),
            unfit=tuple((_text(phrase), _text(reason)) for phrase, reason in _typed(data["unfit"], {list})),
            shared=tuple(_shared(*row) for row in _typed(data["shared"], {list})),
            mark=_text(data["mark"]),
            stages=tuple(_typed(data["stages"], {int})),
        )
    except (OSError, ValueError, KeyError, TypeError, RecursionError, GeneratorError):
        return None


def remember(path: Path, key: str, repertoire: Repertoire) -> None:
    """Keep a list for next time; where that is impossible it is spelled out again."""
    data = {
        "key": key,
        "mark": repertoire.mark,
        "stages": repertoire.stages,
        "form": _FORM,
        "version": VERSION,
        "instrument": repertoire.instrument,
        "columns": repertoire.columns._asdict(),
        "askings": [asdict(one) for one in repertoire.askings],
        "dated": [(one.name, one.day.isoformat(), one.names) for one in repertoire.dated],
        "aims": [
            (one.phrase, one.tempo, one.by.isoformat(), one.names, one.askings) for one in repertoire.aims
        ],
        "unfit": repertoire.unfit,
        "shared": repertoire.shared,
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()
    try:
        put(sha256(text).hexdigest().encode() + text, path)
    except OutputError:
        return


def _aim(row: list[Any], askings: int) -> AimNames:
    phrase, tempo, by, names, asked = row
    if tempo is not None and (type(tempo) is not int or tempo not in _RANGES["goal"]):
        raise ValueError(tempo)
    if not set(_typed(asked, {int})) <= set(range(askings)):
        raise ValueError(asked)
    day = dt.date.fromisoformat(_text(by))
    return AimNames(_text(phrase), tempo, day, tuple(_typed(names, {str})), tuple(asked))


def _columns(data: dict[str, Any], askings: int) -> Columns:
    columns = Columns._make(_column(data[name], name) for name in Columns._fields)
    lengths = set(map(len, columns))
    asked = set(chain.from_iterable(set(columns.asked)))
    if len(lengths) > 1 or len(set(columns.names)) not in lengths or not asked <= set(range(askings)):
        raise ValueError(data.keys())
    if any(number_problem(min(columns.minutes), key, None) for key in set(columns.keys)):
        raise ValueError(columns.keys)
    numbers = list(map(len, columns.asked))
    if numbers != list(map(len, columns.shifts)) or not all(numbers):
        raise ValueError(columns.shifts)
    for tonics in set(columns.tonics) - {""}:
        if not [NoteName.parse(word) for word in tonics.split()]:
            raise ValueError(tonics)
    return columns


def _column(values: Any, name: str) -> tuple[Any, ...]:  # noqa: ANN401
    known = _typed(values, _TYPES[name])
    if _TYPES[name] != {list}:
        return tuple(known)
    _typed(list(chain.from_iterable(known)), {int})  # all at once, for a large list
    return tuple(map(tuple, known))


def _shared(line: int, earlier: int, name: str, number: int) -> Shared:
    _typed([line, earlier, number], {int})
    return Shared(line, earlier, _text(name), number)


def _asking(row: dict[str, Any]) -> Asking:
    asking = Asking(**{**row, "dressing": _dressing(row["dressing"])})
    shared_catalogue().spans.find(_text(asking.span))
    if asking.direction not in get_args(Direction) or asking.register not in REGISTERS:
        raise ValueError(asking.direction)
    _typed([asking.inside], {bool})
    if _text(asking.until):
        dt.date.fromisoformat(asking.until)
    _text(asking.listed)
    return asking


def _dressing(row: dict[str, Any]) -> Dressing:
    catalogue = shared_catalogue()
    articulations = tuple((_text(up), _text(down)) for up, down in _typed(row["articulations"], {list}))
    dressing = Dressing(
        **{**row, "articulations": articulations, "rhythms": tuple(_typed(row["rhythms"], {str}))}
    )
    for name in {name for pair in articulations for name in pair} - {"", EVERY}:
        catalogue.articulations.find(name)
    for name in set(dressing.rhythms) - {EVERY}:
        catalogue.rhythms.find(name)
    if _text(dressing.metre):
        Metre.parse(dressing.metre)
    if _text(dressing.unit) not in {"", *UNIT_NAMES}:
        raise ValueError(dressing.unit)
    for name, allowed in _RANGES.items():
        number = getattr(dressing, name)
        if number is not None and (type(number) is not int or number not in allowed):
            raise ValueError(number)
    _typed([dressing.heavy], {bool, type(None)})
    _typed([dressing.climb], {bool})
    return dressing


def _typed(values: Any, types: set[type]) -> list[Any]:  # noqa: ANN401  # whatever JSON can say
    """A list of such values; each type counts just as itself, so that True is no number."""
    if type(values) is not list or not types.issuperset(map(type, values)):
        raise TypeError(values)
    return values


def _text(value: Any) -> str:  # noqa: ANN401
    if type(value) is not str:
        raise TypeError(value)
    return value
