"""The log as text for other programs: CSV, and JSON Lines (one JSON object a line).

Both hold every entry in the order of their moments, each with its uid, moment, data and seal as they are in the log; a
void names the very entry that it takes back by uid and seal. A last line tells how many entries there are, the sum of
their seals, and which logs they come from, so that a file that was cut off, or in which something was changed, is
noticed. Files of earlier programs, without seals and last line, are read too. In CSV, whatever a spreadsheet would take
for a formula has an apostrophe before it.
"""

import csv
import datetime as dt
import difflib
import io
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum

from generator.errors import clipped, shown
from generator.files.text import guarded_cell, unguarded_cell
from generator.practice_log.entry import EMPTY_SUM, FIELDS, Entry, Kind, summed

SEAL = "seal"
COLUMNS = (*FIELDS, SEAL)
REQUIRED = ("uid", "kind", "day", "recorded_at")
NUMBERS = ("minutes", "rating", "tempo", "goal")
END = "end"
_LONGEST_NAME = 100
_SEPARATORS = ",;\t"


class Format(StrEnum):
    """How the entries are written."""

    CSV = "csv"
    JSON_LINES = "jsonl"


@dataclass(frozen=True, slots=True)
class End:
    """The last line.

    Attributes:
        entries: how many there are.
        total: the sum of their seals.
        logs: the names of the logs they come from.
        player: whose they are, or "".
    """

    entries: int
    total: str
    logs: tuple[str, ...]
    player: str = ""

    @classmethod
    def of(cls, entries: Sequence[Entry], logs: Iterable[str], player: str) -> "End":
        """The last line after some entries."""
        return cls(len(entries), summed(EMPTY_SUM, (one.seal for one in entries)), tuple(logs), player)


Line = tuple[int, Entry | End | str]


def as_csv(entries: Sequence[Entry], logs: Iterable[str] = (), player: str = "") -> str:
    """Entries as CSV with a heading line; what is not there is an empty cell."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)  # its line ends, \r\n, make it quote either of the two inside a cell
    writer.writerow(COLUMNS)
    for entry in entries:
        writer.writerow([_cell(value) for value in (*asdict(entry).values(), entry.seal)])
    end = End.of(entries, logs, player)
    last = {"uid": " ".join(end.logs), "kind": END, "item": player, "minutes": end.entries, SEAL: end.total}
    writer.writerow([_cell(last.get(name)) for name in COLUMNS])
    return text.getvalue()


def _cell(value: object) -> object:
    return "" if value is None else guarded_cell(value) if isinstance(value, str) else value


def as_json_lines(entries: Sequence[Entry], logs: Iterable[str] = (), player: str = "") -> str:
    """Entries as JSON, one a line; what is not there is left out."""
    end = End.of(entries, logs, player)
    last = {"kind": END, "entries": end.entries, SEAL: end.total, "logs": list(end.logs), "player": player}
    return "".join(json.dumps(one, ensure_ascii=False) + "\n" for one in (*map(_plain, entries), last))


def _plain(entry: Entry) -> dict[str, str | int]:
    known = {name: value for name, value in asdict(entry).items() if value is not None}
    return {**known, "day": entry.day.isoformat(), SEAL: entry.seal}


def read_csv(text: str) -> Iterator[Line]:
    """Line number and entry, or line number and what is wrong, of each row."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), strict=True)
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


def _separator(text: str) -> str:
    """What stands between the cells: a spreadsheet may have saved with semicolons or tabs."""
    first = text.partition("\n")[0]
    return max(_SEPARATORS, key=first.count)


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


def _from_cells(heading: list[str], cells: list[str]) -> Entry | End | str:
    if len(cells) != len(heading):
        return f"{len(cells)} cells where the heading has {len(heading)}"
    values: dict[str, object] = {
        name: unguarded_cell(cell) for name, cell in zip(heading, cells, strict=True) if cell
    }
    if values.get("kind") == END:
        count, logs = str(values.get("minutes", "")), str(values.get("uid", "")).split()
        return _end(
            int(count) if _is_number(count) else count, values.get(SEAL), logs, values.get("item", "")
        )
    for name in NUMBERS:
        cell = values.get(name)
        if isinstance(cell, str):
            if not _is_number(cell):
                return f'{name} is "{clipped(cell)}"; a whole number is needed'
            values[name] = int(cell)
    return _from_values(values)


def _is_number(cell: str) -> bool:
    return cell.isascii() and cell.isdigit() and len(cell) < 10


def _end(entries: object, total: object, logs: object, player: object) -> End | str:
    named = isinstance(logs, list) and all(
        isinstance(one, str) and 0 < len(one) <= _LONGEST_NAME for one in logs
    )
    if named and type(entries) is int and isinstance(total, str) and isinstance(player, str):
        return End(entries, total, tuple(logs), player[:_LONGEST_NAME])  # type: ignore[arg-type]
    return "the last line, which tells how many entries there are, is damaged"


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
        if values.get("kind") == END:
            yield (
                number,
                _end(values.get("entries"), values.get(SEAL), values.get("logs"), values.get("player", "")),
            )
        else:
            yield number, _from_values({name: value for name, value in values.items() if value is not None})


def _from_values(values: Mapping[str, object]) -> Entry | str:
    """An entry from its values; what is wrong with the types, names, kind, date or seal otherwise."""
    wrong = next(_wrong_types(values), None)
    if wrong is not None:
        return wrong
    date = _date(str(values["day"]))
    if date is None:
        return f'day is "{clipped(str(values["day"]))}"; a date of the calendar such as 2027-03-05 is needed'
    held = {name: value for name, value in values.items() if name != SEAL}
    entry = Entry(**{**held, "kind": Kind(str(values["kind"])), "day": date})  # type: ignore[arg-type]
    if values.get(SEAL) not in (None, entry.seal):
        return "this is not what was saved: something in the line was changed, or its seal was"
    return entry


def _wrong_types(values: Mapping[str, object]) -> Iterator[str]:
    for name, value in values.items():
        if name not in COLUMNS:
            yield _unknown(name)
            return
        wanted = int if name in NUMBERS else str
        if type(value) is not wanted:
            yield f"{name} is {shown(value)}; {'a whole number' if wanted is int else 'a text'} is needed"
    missing = [name for name in REQUIRED if name not in values]
    if missing:
        yield f"{', '.join(missing)} is missing"
        return
    kind = str(values["kind"])
    if kind not in list(Kind):
        near = difflib.get_close_matches(kind[:_LONGEST_NAME], list(Kind), 1)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        yield f'"{clipped(kind)}" is no kind of entry; the kinds are {", ".join(Kind)}{hint}'


def _date(text: str) -> dt.date | None:
    """A date written year-month-day in full, or None."""
    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        return None
    return date if date.isoformat() == text else None
