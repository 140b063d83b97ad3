"""The log as a file for other programs: CSV, and JSON Lines (one JSON object a line).

Both hold every entry in the order of saving, each with its uid, moment and data as they are in the log, and
name a taken-back entry by its uid. Read into an empty log they give the same log; read into any log they add
what is missing. Text is UTF-8. Nothing is imported from a file with a single bad row.
"""

import csv
import datetime as dt
import difflib
import io
import json
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict
from enum import StrEnum
from pathlib import Path

from generator.errors import BadFileError, OutputError, RequestError, clipped, shown
from generator.files.resources import why
from generator.practice_log.entry import Entry, Kind
from generator.practice_log.log import PracticeLog, Saved

COLUMNS = tuple(Entry.__dataclass_fields__)
REQUIRED = ("uid", "kind", "day", "recorded_at")
NUMBERS = ("minutes", "rating", "tempo", "goal")
MOST_SHOWN = 20
MOST_READ = 500  # mistakes, after which nothing more is read
_LONGEST_NAME = 100


class Format(StrEnum):
    """How the entries are written."""

    CSV = "csv"
    JSON_LINES = "jsonl"


Line = tuple[int, Entry | str]


def export_log(log: PracticeLog, path: Path, form: Format) -> int:
    """Write every entry to a new file.

    Returns:
        How many entries were written.

    Raises:
        OutputError: the file is there already or cannot be written.
    """
    entries = log.as_saved()
    text = as_csv(entries) if form is Format.CSV else as_json_lines(entries)
    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            try:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                path.unlink(missing_ok=True)  # half a log would pass for a whole one
                raise
    except FileExistsError as error:
        raise OutputError(f'"{path}" is there already; give another name.') from error
    except OSError as error:
        raise OutputError(f'"{path}" could not be written: {why(error)}.') from error
    return len(entries)


def import_log(
    log: PracticeLog, path: Path, form: Format, check: Callable[[Entry], None] = lambda _entry: None
) -> Saved:
    """Add the entries of a file that the log does not have yet.

    Args:
        log: to add to.
        path: of the file.
        form: how it is written.
        check: raises a RequestError for an entry that nobody could make use of.

    Raises:
        BadFileError: naming file, line and reason of each bad row; nothing was imported.
        OutputError: the file cannot be read.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise OutputError(f'"{path}" could not be read: {why(error)}.') from error
    except UnicodeDecodeError as error:
        raise BadFileError(f"{path}: the file is not UTF-8 text") from error
    good: list[tuple[int, Entry]] = []
    bad: list[tuple[int, str]] = []
    for number, one in read_csv(text) if form is Format.CSV else read_json_lines(text):
        if isinstance(one, Entry):
            try:
                check(one)
                good.append((number, one))
            except RequestError as error:
                bad.append((number, str(error)))
        else:
            bad.append((number, one))
        if len(bad) > MOST_READ:
            break
    if not bad:
        saved = log.try_append([entry for _, entry in good], same_only=True)
        bad = [(good[place][0], reason) for place, reason in saved.problems]
        if not bad:
            return saved
    raise BadFileError(_told(path, bad))


def _told(path: Path, bad: list[tuple[int, str]]) -> str:
    lines = [f"{path}, line {number}: {reason}" for number, reason in bad[:MOST_SHOWN]]
    least = "at least " if len(bad) > MOST_READ else ""
    more = [f"{path}: {least}{len(bad) - MOST_SHOWN} more mistakes"] if len(bad) > MOST_SHOWN else []
    return "\n".join([*lines, *more])


def as_csv(entries: Iterable[Entry]) -> str:
    """Entries as CSV with a heading line; what is not there is an empty cell."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)  # its line ends, \r\n, make it quote either of the two inside a cell
    writer.writerow(COLUMNS)
    for entry in entries:
        writer.writerow(["" if value is None else value for value in asdict(entry).values()])
    return text.getvalue()


def as_json_lines(entries: Iterable[Entry]) -> str:
    """Entries as JSON, one a line; what is not there is left out."""
    return "".join(json.dumps(_plain(entry), ensure_ascii=False) + "\n" for entry in entries)


def _plain(entry: Entry) -> dict[str, str | int]:
    known = {name: value for name, value in asdict(entry).items() if value is not None}
    return {**known, "day": entry.day.isoformat()}


def read_csv(text: str) -> Iterator[Line]:
    """Line number and entry, or line number and what is wrong, of each row."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    start = 1
    heading: list[str] | None = None
    try:
        for cells in reader:
            if heading is None:
                heading = cells
                wrong = _wrong_heading(heading)
                if wrong:
                    yield start, wrong
                    return
            elif cells:
                yield start, _from_cells(heading, cells)
            start = reader.line_num + 1
    except csv.Error as error:
        yield start, f"this is not CSV: {error}"
    if heading is None:
        yield 1, "the file is empty; a heading line is needed"


def _wrong_heading(heading: list[str]) -> str | None:
    twice = sorted(name for name, count in Counter(heading).items() if count > 1)
    if twice:
        return f"the heading has {clipped(', '.join(twice))} twice"
    unknown = [name for name in heading if name not in COLUMNS]
    if unknown:
        return _unknown(unknown[0])
    missing = [name for name in REQUIRED if name not in heading]
    return f"the heading lacks {', '.join(missing)}" if missing else None


def _unknown(name: str) -> str:
    near = difflib.get_close_matches(name[:_LONGEST_NAME], COLUMNS, 1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    return f'"{clipped(name)}" is no column of a log; the columns are {", ".join(COLUMNS)}{hint}'


def _from_cells(heading: list[str], cells: list[str]) -> Entry | str:
    if len(cells) != len(heading):
        return f"{len(cells)} cells where the heading has {len(heading)}"
    values: dict[str, object] = {name: cell for name, cell in zip(heading, cells, strict=True) if cell}
    for name in NUMBERS:
        cell = values.get(name)
        if isinstance(cell, str):
            if not (cell.isascii() and cell.isdigit() and len(cell) < 10):
                return f'{name} is "{clipped(cell)}"; a whole number is needed'
            values[name] = int(cell)
    return _from_values(values)


def read_json_lines(text: str) -> Iterator[Line]:
    """Line number and entry, or line number and what is wrong, of each line that is not blank."""
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            values = json.loads(line)
        except (ValueError, RecursionError):
            yield number, "this is not a line of JSON"
            continue
        if not isinstance(values, dict):
            yield number, "a JSON object is needed"
            continue
        yield number, _from_values({name: value for name, value in values.items() if value is not None})


def _from_values(values: Mapping[str, object]) -> Entry | str:
    """An entry from its values; what is wrong with the types, names, kind or date otherwise."""
    for name, value in values.items():
        if name not in COLUMNS:
            return _unknown(name)
        wanted = int if name in NUMBERS else str
        if type(value) is not wanted:
            return f"{name} is {shown(value)}; {'a whole number' if wanted is int else 'a text'} is needed"
    missing = [name for name in REQUIRED if name not in values]
    if missing:
        return f"{', '.join(missing)} is missing"
    kind, day = str(values["kind"]), str(values["day"])
    if kind not in list(Kind):
        near = difflib.get_close_matches(kind[:_LONGEST_NAME], list(Kind), 1)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        return f'"{clipped(kind)}" is no kind of entry; the kinds are {", ".join(Kind)}{hint}'
    date = _date(day)
    if date is None:
        return f'day is "{clipped(day)}"; a date of the calendar such as 2027-03-05 is needed'
    return Entry(**{**values, "kind": Kind(kind), "day": date})  # type: ignore[arg-type]


def _date(text: str) -> dt.date | None:
    """A date written year-month-day in full, or None."""
    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        return None
    return date if date.isoformat() == text else None
