"""A file that a person wrote, with the line of each field, so that every mistake can be named by its line."""

import re
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from generator.catalogue.names import nearest_or_all
from generator.documents.own_file import own_text
from generator.documents.own_toml import toml_fields
from generator.errors import BadFileError, shown

_TABLE_LINE = re.compile(r"""\s*\[\[\s*["']?([\w-]+)["']?\s*\]\]""")
_ONE_TABLE_LINE = re.compile(r"""\s*\[\s*["']?([\w-]+)["']?\s*\]""")
_FIELD_LINE = re.compile(r"""\s*["']?([\w-]+)["']?\s*[=.]""")
MOST_TOLD, MOST_ROWS = 40, 5000
HEAD = ("", 0)

Place = tuple[str, int]
"""A table: its name and its number, from 0; `HEAD` is what stands before the first one."""
Lines = Mapping[tuple[str, int, str], int]
"""The line of a field: name and number of its table, and its own name; "" for the table itself."""


class MarkedFile:
    """The fields of a file, and the mistakes found in it so far.

    Attributes:
        path: the file.
        name: file name, for messages.
        data: its fields.
    """

    def __init__(self, path: Path, data: Mapping[str, Any], lines: Lines) -> None:
        self.path = path
        self.name = path.name
        self.data = data
        self._lines = lines
        self._faults: set[tuple[int, str]] = set()

    @classmethod
    def read(cls, path: Path) -> "MarkedFile":
        """Read a TOML file.

        Raises:
            BadFileError: it is too large, not UTF-8 or not TOML; names the line.
            OutputError: it cannot be read.
        """
        text = own_text(path)
        return cls(path, toml_fields(path.name, text), _line_numbers(text))

    def tables(
        self, name: str, *, most: int = MOST_ROWS, needed: str = ""
    ) -> list[tuple[Place, Mapping[str, Any]]]:
        """The tables of one name that are tables at all, with their places.

        Args:
            name: of the tables.
            most: more of them are a mistake.
            needed: what is told where there is none; "" if there may be none.
        """
        rows = self.data.get(name, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.fault(HEAD, name, f"{name} is written as tables, each under [[{name}]]")
        elif len(rows) > most:
            self.fault(HEAD, name, f"it has {len(rows)} times [[{name}]]; at most {most} are possible")
        elif needed and not rows:
            self.fault(HEAD, name, needed)
        else:
            return [((name, number), row) for number, row in enumerate(rows)]
        return []

    def line(self, place: Place, field: str = "") -> int:
        """The line of a field, or of its table, or 1."""
        return self._lines.get((*place, field)) or self._lines.get((*place, "")) or 1

    def fault(self, place: Place, field: str, reason: str) -> None:
        """Note a mistake at a field."""
        self.fault_at(self.line(place, field), reason)

    def fault_at(self, line: int, reason: str) -> None:
        """Note a mistake at a line."""
        self._faults.add((line, f"{self.name}, line {line}: {reason}"))

    def apart(self) -> "MarkedFile":
        """The same file without a mistake so far: for a table that is refused alone, and not the file with it."""
        return MarkedFile(self.path, self.data, self._lines)

    def faults_of(self, other: "MarkedFile") -> None:
        """Take over the mistakes that were found when the same file was read before."""
        self._faults |= other._faults

    def only(self, place: Place, row: Mapping[str, Any], allowed: Collection[str]) -> None:
        """Note every field that is not allowed, with the nearest that is."""
        for field in row:
            if self.full:
                return
            if field not in allowed:
                self.fault(place, field, f"unknown field {shown(field)}; {nearest_or_all(field, allowed)}")

    @property
    def full(self) -> bool:
        """Whether more mistakes were found than will be told; looking for others is not worth the time."""
        return len(self._faults) > MOST_TOLD

    def refuse(self) -> None:
        """Raise what was found.

        Raises:
            BadFileError: the mistakes in the order of the lines, one a line; a last line stands for those that
                are too many to read.
        """
        told = [text for _, text in sorted(self._faults)]
        if told[MOST_TOLD:]:
            more = f"{self.name}: there are more mistakes; the others are told once these are right"
            told[MOST_TOLD:] = [more]
        if told:
            raise BadFileError("\n".join(told))


def _line_numbers(text: str) -> Lines:
    found: dict[tuple[str, int, str], int] = {}
    counts: dict[str, int] = {}
    place = HEAD
    for number, line in enumerate(text.split("\n"), 1):
        if match := _TABLE_LINE.match(line):
            place = (match[1], counts.get(match[1], -1) + 1)
            counts[match[1]] = place[1]
            found[*place, ""] = number
            found.setdefault((*HEAD, match[1]), number)
        elif match := _ONE_TABLE_LINE.match(line):
            place = (match[1], 0)
            found.setdefault((*HEAD, match[1]), number)
        elif match := _FIELD_LINE.match(line):
            found.setdefault((*place, match[1]), number)
    return found
