"""What has been covered, as plain data for a page."""

from typing import Any

from generator.api.desk import Desk
from generator.engraving.render import signs
from generator.progress.overview import Progress, read_progress, week_sentences
from generator.progress.report import Cell, Report, TableRow
from generator.progress.text import nothing_noted, report_lines

FELT = ("lost", "shaky", "steady", "secure")
MOST_DUE = 8


def progress_view(desk: Desk) -> dict[str, Any]:
    """The map of keys and forms, what is due, and the last days; the log is only read.

    Args:
        desk: the desk.

    Raises:
        RequestError: the plan has mistakes.
        OutputError: plan or log cannot be read.
    """
    found = read_progress(desk.session(), desk.today)
    figures = found.report(None, None)
    felt = _felt(found)
    noted = bool(found.history.plays)
    rows = [
        {
            "form": signs(row.kind),
            "cells": [_cell(cell, felt, figures, row, n) for n, cell in enumerate(row.cells)],
        }
        for row in figures.rows
    ]
    return {
        "columns": [" ".join(signs(name.words) for name in names) for names in figures.columns],
        "rows": rows,
        "map": [cell for row in rows for cell in row["cells"] if cell],
        "keyless": [_cell(cell, felt, figures) for cell in figures.keyless],
        "due": [_cell(cell, felt, figures) for cell in figures.due[:MOST_DUE]],
        "coming": [_cell(cell, felt, figures) for cell in figures.coming[:MOST_DUE]],
        "never": len(figures.never),
        "kept": len(figures.kept),
        "days": [
            {"day": day.day.isoformat(), "plays": day.plays, "minutes": day.minutes} for day in figures.days
        ],
        "practised": figures.practised,
        "of": len(figures.days),
        "week": [signs(line) for line in week_sentences(found, figures)] if noted else [],
        "aims": [
            {
                "line": signs(f"{one.goal} {one.state}"),
                "phrase": one.aim.phrase,
                "tempo": one.aim.tempo,
                "by": one.aim.by.isoformat(),
                "due": one.due.isoformat(),
                "carried": one.carried,
                "reached": one.reached.isoformat() if one.reached else None,
                "last": one.tempo,
            }
            for one in found.aims
        ],
        "text": list(report_lines(found, figures)) if noted else [nothing_noted(found)],
    }


def _cell(
    cell: Cell | None, felt: dict[str, int], figures: Report, row: TableRow | None = None, place: int = 0
) -> dict[str, Any] | None:
    if cell is None:
        return None
    names = figures.columns[place] if row else ()
    rating = felt.get(cell.item_id)
    return {
        "key": " ".join(signs(name.words) for name in names),
        "form": signs(row.kind) if row else "",
        "line": cell.name,
        "heading": signs(cell.name),
        "last": cell.days,
        "waited": cell.waited,
        "gap": cell.gap,
        "due": cell.due,
        "step": cell.step,
        "felt": FELT[rating - 1] if rating else None,
        "tempo": cell.tempo,
        "goal": cell.goal,
    }


def _felt(found: Progress) -> dict[str, int]:
    """How each exercise felt the last time it was played."""
    return {play.item_id: play.rating for play in found.history.plays if play.rating is not None}
