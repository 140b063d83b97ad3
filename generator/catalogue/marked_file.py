"""A TOML file that a person wrote, with the line of each field, so that every mistake can be named by its line."""

import re
import tomllib
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

from generator.catalogue.names import nearest
from generator.errors import BadFileError, OutputError

_TABLE_LINE = re.compile(r"""\s*\[\[\s*["']?([\w-]+)["']?\s*\]\]""")
_FIELD_LINE = re.compile(r"""\s*["']?([\w-]+)["']?\s*[=.]""")
_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)")
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
            BadFileError: it is not UTF-8 or not TOML; names the line.
            OutputError: it cannot be read.
        """
        try:
            raw = path.read_bytes()
        except OSError as error:
            raise OutputError(f"cannot read {path}: {error.strerror}") from None
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = raw.count(b"\n", 0, error.start) + 1
            raise BadFileError(
                f"{path.name}, line {line}: a character is not UTF-8; save the file as UTF-8"
            ) from None
        try:
            return cls(path, text, tomllib.loads(text))
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            raise BadFileError(_not_toml(path.name, text, str(error))) from None

    def tables(self, name: str) -> list[tuple[Place, Mapping[str, Any]]]:
        """The tables of one name that are tables at all, with their places."""
        rows = self.data.get(name, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.fault(HEAD, name, f"{name} is written as tables, each under [[{name}]]")
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
            if field not in allowed:
                self.fault(place, field, f"unknown field {field!r}; {near(field, allowed)}")

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
            raise BadFileError("\n".join(dict.fromkeys(self.faults)))


def near(word: str, names: Iterable[str]) -> str:
    """The nearest name, or all of them where none is near."""
    allowed = list(names)
    found = nearest(word, allowed, most=1) if word.strip(" .,-_") else ()
    return f"nearest: {found[0]}" if found else f"there is {', '.join(allowed)}"


def _not_toml(name: str, text: str, reason: str) -> str:
    """The parser's words with the line in front; a broken end is the last line."""
    match = _AT_LINE.search(reason)
    line = int(match[1]) if match else max(1, len(text.splitlines()))
    words = _AT_LINE.sub("", reason).removesuffix(" (at end of document)")
    return f"{name}, line {line}: this is no TOML: {words[:1].lower()}{words[1:]}"


def _line_numbers(text: str) -> dict[tuple[str, int, str], int]:
    found: dict[tuple[str, int, str], int] = {}
    counts: dict[str, int] = {}
    place = HEAD
    for number, line in enumerate(text.splitlines(), 1):
        if match := _TABLE_LINE.match(line):
            place = (match[1], counts.get(match[1], -1) + 1)
            counts[match[1]] = place[1]
            found[*place, ""] = number
            found.setdefault((*HEAD, match[1]), number)
        elif match := _FIELD_LINE.match(line):
            found.setdefault((*place, match[1]), number)
    return found
