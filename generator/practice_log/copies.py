"""Copies of the log that are kept beside it, made by SQLite's own backup."""

import contextlib
import datetime as dt
import re
from pathlib import Path

from generator.files.drafts import clear_forsaken
from generator.practice_log.log import PracticeLog

FOLDER = "copies"
DAILY, WEEKLY = 3, 4
BEFORE_IMPORTS = 3


def folder_of(log: Path) -> Path:
    """Where the copies of a log are."""
    return log.parent / FOLDER


def _daily(log: Path) -> re.Pattern[str]:
    return re.compile(rf"{re.escape(log.stem)}-(\d{{4}}-\d\d-\d\d)\.sqlite", re.ASCII)


def _before(log: Path) -> re.Pattern[str]:
    return re.compile(rf"{re.escape(log.stem)}-before-import-(\d+)\.sqlite", re.ASCII)


def copies_of(log: Path) -> list[Path]:
    """All copies of a log, the newest first."""
    ours = (_daily(log), _before(log))
    with contextlib.suppress(OSError):
        found = [one for one in folder_of(log).iterdir() if any(name.fullmatch(one.name) for name in ours)]
        return sorted(found, key=lambda one: (one.stat().st_mtime_ns, one.name), reverse=True)
    return []


def keep_daily_copy(log: PracticeLog, day: dt.date) -> Path | None:
    """Lay a copy for a day, unless there is one; and let go of those that are too many.

    Those of the three latest days stay, and of the older ones the latest of each of four weeks.

    Args:
        log: a sound log.
        day: today.

    Returns:
        The new copy, if one was made.

    Raises:
        OutputError: it cannot be made.
    """
    copy = folder_of(log.path) / f"{log.path.stem}-{day}.sqlite"
    if copy.exists():  # the run that laid it may have been cut short before it had cleared up
        clear_forsaken(copy.parent)
        _let_go(log.path)
        return None
    log.copy_to(copy)
    _let_go(log.path)
    return copy


def copy_before_import(log: PracticeLog) -> Path:
    """Lay a copy of a log as it is before an import; the latest three of them stay.

    Raises:
        OutputError: it cannot be made.
    """
    folder = folder_of(log.path)
    name = _before(log.path)
    known = sorted(int(match[1]) for one in copies_of(log.path) if (match := name.fullmatch(one.name)))
    number = known[-1] + 1 if known else 1
    copy = folder / f"{log.path.stem}-before-import-{number}.sqlite"
    log.copy_to(copy)
    for one in [*known, number][:-BEFORE_IMPORTS]:
        with contextlib.suppress(OSError):
            (folder / f"{log.path.stem}-before-import-{one}.sqlite").unlink()
    return copy


def _let_go(log: Path) -> None:
    dated: dict[dt.date, Path] = {}
    for one in copies_of(log):
        match = _daily(log).fullmatch(one.name)
        with contextlib.suppress(ValueError):
            if match:
                dated[dt.date.fromisoformat(match[1])] = one
    for day in set(dated) - days_kept(dated):
        with contextlib.suppress(OSError):
            dated[day].unlink()


def days_kept(days: set[dt.date] | dict[dt.date, Path]) -> set[dt.date]:
    """Which of the days with a copy keep it."""
    latest = sorted(days, reverse=True)
    kept = set(latest[:DAILY])
    weeks: dict[tuple[int, int], dt.date] = {}
    for day in latest[DAILY:]:
        year, week, _ = day.isocalendar()
        weeks.setdefault((year, week), day)
    return kept | set(list(weeks.values())[:WEEKLY])
