"""A plan that was spelled out once is remembered, because spelling out a large one takes longer than a sheet may.

What is remembered can be made again at any time, so whatever is wrong with the file counts as nothing remembered.
"""

import datetime as dt
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from generator.documents.plan_row import Dressing
from generator.errors import OutputError
from generator.files.atomic import place as put
from generator.files.version import VERSION
from generator.practice.repertoire import Columns, DatedNames, Repertoire

_FORM = 5
"""Raised when entries or the way they are made change."""


def recall(path: Path, key: str) -> Repertoire | None:
    """What was remembered from the same plan, lists, player and names, or None."""
    try:
        data = json.loads(path.read_bytes())
        if data["key"] != key or data["form"] != _FORM or data["version"] != VERSION:
            return None
        return Repertoire(
            data["instrument"],
            _columns(data["columns"]),
            tuple(_dressing(row) for row in data["dressings"]),
            tuple(DatedNames(n, dt.date.fromisoformat(day), tuple(names)) for n, day, names in data["dated"]),
            tuple((phrase, reason) for phrase, reason in data["unfit"]),
            data["mark"],
        )
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def remember(path: Path, key: str, repertoire: Repertoire) -> None:
    """Keep a list for next time; where that is impossible it is spelled out again."""
    data = {
        "key": key,
        "mark": repertoire.mark,
        "form": _FORM,
        "version": VERSION,
        "instrument": repertoire.instrument,
        "columns": repertoire.columns._asdict(),
        "dressings": [asdict(one) for one in repertoire.dressings],
        "dated": [(one.name, one.day.isoformat(), one.names) for one in repertoire.dated],
        "unfit": repertoire.unfit,
    }
    try:
        put(json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode(), path)
    except OutputError:
        return


def _columns(data: dict[str, list[Any]]) -> Columns:
    columns = Columns._make(tuple(data[name]) for name in Columns._fields)
    if len(set(map(len, columns))) > 1:
        raise ValueError(data.keys())
    return columns


def _dressing(row: dict[str, Any]) -> Dressing:
    articulations = tuple((up, down) for up, down in row["articulations"])
    return Dressing(**{**row, "articulations": articulations, "rhythms": tuple(row["rhythms"])})
