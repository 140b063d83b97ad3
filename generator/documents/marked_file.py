"""A TOML file that a person wrote, with the line of each field, so that every mistake can be named by its line."""

import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

from generator.catalogue.names import nearest
from generator.documents.own_file import read_own
from generator.documents.own_toml import toml_fields
from generator.errors import BadFileError, OutputError, shown
from generator.files.resources import is_there

_TABLE_LINE = re.compile(r"""\s*\[\[\s*["']?([\w-]+)["']?\s*\]\]""")
_FIELD_LINE = re.compile(r"""\s*["']?([\w-]+)["']?\s*[=.]""")
MOST_TOLD, MOST_ROWS = 40, 5000
HEAD = ("", 0)

Place = tuple[str, int]
"""A table: its name and its number, from 0; `HEAD` is what stands before the first one."""


class MarkedFile:
    """The fields of a file, and the mistakes found in it so far.

    Attributes:
        name: file name, for messages.
        path: the file.
        data: its fields.
    """

    def __init__(self, path: Path, text: str, data: Mapping[str, Any]) -> None:
        self.path = path
        self.name = path.name
        self.data = data
        self._lines = _line_numbers(text)
        self._faults: list[tuple[int, str]] = []

    @classmethod
    def read(cls, path: Path) -> "MarkedFile":
        """Read a file.

        Raises:
            BadFileError: it is too large, not UTF-8 or not TOML; names the line.
            OutputError: it cannot be read.
        """
        if is_there(path) and not path.is_file() and not path.is_dir():
            # It is read more than once, which a pipe does not allow.
            raise OutputError(f"cannot read {path}: it is no file; save it as one")
        raw = read_own(path)
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = raw.count(b"\n", 0, error.start) + 1
            raise BadFileError(
                f"{path.name}, line {line}: a character is not UTF-8; save the file as UTF-8"
            ) from None
        return cls(path, text, toml_fields(path.name, text))

    def tables(self, name: str) -> list[tuple[Place, Mapping[str, Any]]]:
        """The tables of one name that are tables at all, with their places."""
        rows = self.data.get(name, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.fault(HEAD, name, f"{name} is written as tables, each under [[{name}]]")
            return []
        if len(rows) > MOST_ROWS:
            self.fault(HEAD, name, f"it has {len(rows)} times [[{name}]]; at most {MOST_ROWS} are possible")
            return []
        return [((name, number), row) for number, row in enumerate(rows)]

    def line(self, place: Place, field: str = "") -> int:
        """The line of a field, or of its table, or 1."""
        return self._lines.get((*place, field)) or self._lines.get((*place, "")) or 1

    def fault(self, place: Place, field: str, reason: str) -> None:
        """Note a mistake at a field."""
        self.fault_at(self.line(place, field), reason)

    def fault_at(self, line: int, reason: str) -> None:
        """Note a mistake at a line."""
        self._faults.append((line, f"{self.name}, line {line}: {reason}"))

    def only(self, place: Place, row: Mapping[str, Any], allowed: Collection[str]) -> None:
        """Note every field that is not allowed, with the nearest that is."""
        for field in row:
            if self.full:
                return
            if field not in allowed:
                self.fault(place, field, f"unknown field {shown(field)}; {near(field, allowed)}")

    @property
    def full(self) -> bool:
        """Whether more mistakes were found than will be told; looking for others is not worth the time."""
        return len(self._faults) > MOST_TOLD

    @property
    def faults(self) -> tuple[str, ...]:
        """The mistakes so far, in the order of the lines."""
        return tuple(text for _, text in sorted(self._faults))

    def refuse(self) -> None:
        """Raise what was found.

        Raises:
            BadFileError: the mistakes, one a line.
        """
        if self._faults:
            raise BadFileError(told(self.name, dict.fromkeys(self.faults)))


def told(name: str, faults: Iterable[str]) -> str:
    """Mistakes as lines, and a last line in place of those that are too many to read."""
    lines = list(faults)
    more = (
        [f"{name}: there are more mistakes; the others are told once these are right"]
        if lines[MOST_TOLD:]
        else []
    )
    return "\n".join([*lines[:MOST_TOLD], *more])


def near(word: str, names: Iterable[str]) -> str:
    """The nearest name, or all of them where none is near."""
    allowed = list(names)
    found = nearest(word, allowed, most=1) if word.strip(" .,-_") else ()
    return f"nearest: {found[0]}" if found else f"there is {', '.join(allowed)}"


def _line_numbers(text: str) -> dict[tuple[str, int, str], int]:
    found: dict[tuple[str, int, str], int] = {}
    counts: dict[str, int] = {}
    place = HEAD
    for number, line in enumerate(text.split("\n"), 1):
        if match := _TABLE_LINE.match(line):
            place = (match[1], counts.get(match[1], -1) + 1)
            counts[match[1]] = place[1]
            found[*place, ""] = number
            found.setdefault((*HEAD, match[1]), number)
        elif match := _FIELD_LINE.match(line):
            found.setdefault((*place, match[1]), number)
    return found
