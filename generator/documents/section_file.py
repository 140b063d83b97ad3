"""Reads a section from section.toml or from a roster.

    title = "Harbour Street Community Band"
    [[chair]]
    name = "2nd Clarinet"
    instrument = "clarinet"
    level = "standard"          # or low = "E3", high = "Bb4": below the break
    copies = 2
    player = "Ada Quill"

A file with mistakes is refused with all of them, each with its line.
"""

import csv
import io
import re
from collections.abc import Callable, Collection, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from generator.catalogue.names import nearest
from generator.catalogue.players import level_named
from generator.catalogue.tables import Table
from generator.documents.marked_file import MOST_TOLD, told
from generator.documents.own_file import read_own
from generator.documents.own_toml import toml_fields
from generator.documents.section import MOST_CHAIRS, Chair, Section, called, in_score_order
from generator.errors import BadFileError, GeneratorError, RequestError, UnknownNameError, clipped, shown
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument
from generator.theory.pitch import Pitch

LineOf = Callable[[str], int]
MOST_COPIES = 99
OWN_RANGE = "own range"
_FIELDS = ("name", "instrument", "level", "low", "high", "copies", "player")
_HEAD = ("title", "note", "chair")
# What the columns of a roster may be called.
_COLUMNS = {
    "name": "name",
    "player": "name",
    "student": "name",
    "instrument": "instrument",
    "level": "level",
    "chair": "chair",
    "part": "chair",
}
_CHAIR_LINE = re.compile(r"""\s*\[\[\s*["']?chair["']?\s*\]\]""")
_FIELD_LINE = re.compile(r"""\s*["']?([\w-]+)["']?\s*[=.]""")


def read_section(path: Path, instruments: Table[Instrument]) -> Section:
    """Read a section file.

    Raises:
        BadFileError: every mistake, one a line, with line number, field, reason and nearest name.
        OutputError: the file cannot be read.
    """
    text = _text(path)
    data = toml_fields(path.name, text)
    reader = _Reader(path.name, instruments, _line_numbers(text))
    section = reader.section(data)
    if reader.faults:
        raise BadFileError(told(path.name, (fault for _, fault in sorted(reader.faults))))
    return section


def read_roster(path: Path, instruments: Table[Instrument], level: str = "standard") -> Section:
    """Read a roster: one player a line, columns name, instrument and, if wanted, level and part, with a heading line.

    Args:
        path: the file; commas, semicolons or tabs.
        instruments: pitched and unpitched.
        level: for lines that name none.

    Raises:
        BadFileError: every mistake, one a line.
        OutputError: the file cannot be read.
    """
    rows, columns = _rows(path)
    reader = _Reader(path.name, instruments, {})
    chairs: list[Chair] = []
    if len(rows) > MOST_CHAIRS:
        reader.fault(1, f"it has {len(rows)} players; at most {MOST_CHAIRS} are possible")
        rows = rows[:1]
    for line, row in rows:
        if reader.full:
            break
        cells = {column: row[place].strip() for place, column in columns.items() if place < len(row)}
        raw: dict[str, Any] = {
            "instrument": cells.get("instrument", ""),
            "level": cells.get("level") or level,
        }
        if cells.get("chair"):
            raw["name"] = cells["chair"]
        if cells.get("name"):
            raw["player"] = cells["name"]
        chair = reader.chair(raw, partial(_same, line))
        if chair is not None:
            chairs.append(chair)
    if not rows:
        reader.fault(1, "it names no player")
    if reader.faults:
        raise BadFileError(told(path.name, (fault for _, fault in sorted(reader.faults))))
    return Section("", in_score_order(chairs))


class _Reader:
    """Collects chairs and mistakes."""

    def __init__(
        self, file: str, instruments: Table[Instrument], lines: Mapping[tuple[int, str], int]
    ) -> None:
        self.file = file
        self.instruments = instruments
        self.lines = lines
        self.faults: list[tuple[int, str]] = []

    def fault(self, line: int, text: str) -> None:
        self.faults.append((line, f"{self.file}, line {line}: {text}"))

    @property
    def full(self) -> bool:
        """Whether more mistakes were found than will be told."""
        return len(self.faults) > MOST_TOLD

    def section(self, data: Mapping[str, Any]) -> Section:
        for field in sorted(set(data) - set(_HEAD))[: MOST_TOLD + 1]:
            self.fault(self._line(-1, field), f"unknown field {shown(field)}{_near(field, _HEAD)}")
        rows = data.get("chair", [])
        if not isinstance(rows, list) or not rows:
            self.fault(self._line(-1, "chair"), "it has no [[chair]]; write one for each part")
            rows = []
        if len(rows) > MOST_CHAIRS:
            self.fault(1, f"it has {len(rows)} chairs; at most {MOST_CHAIRS} are possible")
            rows = []
        chairs = [self.chair(raw, partial(self._line, n)) for n, raw in enumerate(rows) if not self.full]
        head = partial(self._line, -1)
        return Section(
            self._word(data, "title", head),
            in_score_order([c for c in chairs if c is not None]),
            self._word(data, "note", head),
        )

    def chair(self, raw: object, line: LineOf) -> Chair | None:
        """One chair, or None with its mistakes noted."""
        before = len(self.faults)
        if not isinstance(raw, Mapping):
            self.fault(line(""), "a chair is a table of fields, under [[chair]]")
            return None
        for field in sorted(set(raw) - set(_FIELDS))[: MOST_TOLD + 1]:
            self.fault(line(field), f"unknown field {shown(field)}{_near(field, _FIELDS)}")
        instrument = self._instrument(raw, line)
        player = self._who(raw, instrument, line)
        name, person = self._word(raw, "name", line), self._word(raw, "player", line)
        copies = raw.get("copies", 1)
        if not isinstance(copies, int) or isinstance(copies, bool) or not 1 <= copies <= MOST_COPIES:
            self.fault(line("copies"), f"copies: {shown(copies)} is no number from 1 to {MOST_COPIES}")
        if len(self.faults) > before or player is None or instrument is None:
            return None
        return Chair(name or called(instrument), player, copies, person)

    def _instrument(self, raw: Mapping[str, Any], line: LineOf) -> Instrument | None:
        name = raw.get("instrument")
        if not isinstance(name, str) or not name.strip():
            self.fault(
                line("instrument"), 'instrument: a chair needs one, like instrument = "alto saxophone"'
            )
            return None
        try:
            return self.instruments.find(name)
        except UnknownNameError as error:
            self.fault(line("instrument"), f"instrument: {error}")
            return None

    def _who(self, raw: Mapping[str, Any], instrument: Instrument | None, line: LineOf) -> Player | None:
        level = self._level(raw, line)
        own_low, own_high = self._pitch(raw, "low", line), self._pitch(raw, "high", line)
        if instrument is None:
            return None
        usual = instrument.level(level)
        if "low" not in raw and "high" not in raw:
            return Player(instrument, level, usual)
        low, high = own_low or usual.low, own_high or usual.high
        widest = instrument.level("extended")
        if low.height > high.height:
            field = "high" if "high" in raw else "low"
            self.fault(
                line(field), f"{field}: the lowest note {low.words} lies above the highest {high.words}"
            )
            return None
        for field, note, far in (
            ("low", low, widest.low.height - 12 > low.height),
            ("high", high, high.height > widest.high.height + 12),
        ):
            if far:
                self.fault(
                    line(field),
                    f"{field}: {note.words} lies more than an octave beyond the {instrument.name} ({widest.words})",
                )
        return Player(instrument, OWN_RANGE, Compass(low, high, "the player's own"))

    def _level(self, raw: Mapping[str, Any], line: LineOf) -> str:
        try:
            return level_named(raw.get("level", "standard"))
        except RequestError as error:
            self.fault(line("level"), f"level: {error}")
            return "standard"

    def _pitch(self, raw: Mapping[str, Any], field: str, line: LineOf) -> Pitch | None:
        if field not in raw:
            return None
        try:
            note = raw[field]
            return Pitch.parse(note if isinstance(note, str) else shown(note))
        except GeneratorError as error:
            self.fault(line(field), f"{field}: {error}")
            return None

    def _word(self, raw: Mapping[str, Any], field: str, line: LineOf) -> str:
        word = raw.get(field, "")
        if not isinstance(word, str):
            self.fault(line(field), f"{field}: {shown(word)} is no text; put it in quotes")
            return ""
        return " ".join(word.split())

    def _line(self, chair: int, field: str) -> int:
        return self.lines.get((chair, field)) or self.lines.get((chair, "")) or 1


def _same(line: int, _field: str) -> int:
    return line


def _line_numbers(text: str) -> dict[tuple[int, str], int]:
    """The line of each field of each chair; chair -1 is what stands before the first one."""
    found: dict[tuple[int, str], int] = {}
    chair = -1
    for number, line in enumerate(text.split("\n"), 1):
        if _CHAIR_LINE.match(line):
            chair += 1
            found[chair, ""] = number
            found.setdefault((-1, "chair"), number)
        elif match := _FIELD_LINE.match(line):
            found.setdefault((chair, match[1]), number)
    return found


def _rows(path: Path) -> tuple[list[tuple[int, list[str]]], dict[int, str]]:
    """The lines of a roster with their numbers, and what each column holds."""
    text = _text(path)
    heading = text.split("\n", 1)[0]
    separator = max(",;\t", key=heading.count)
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise BadFileError(f"{path.name}: it is no table: {clipped(str(error))}") from None
    titles = [cell.strip().casefold() for cell in rows[0][1]] if rows else []
    unknown = [title for title in titles if title and title not in _COLUMNS]
    faults = [
        f"{path.name}, line 1: unknown column {shown(title)}{_near(title, _COLUMNS)}"
        for title in unknown[:MOST_TOLD]
    ]
    columns = {place: _COLUMNS[title] for place, title in enumerate(titles) if title in _COLUMNS}
    if "instrument" not in columns.values() or faults:
        need = f"{path.name}, line 1: it names the columns: name, instrument and, if wanted, level and chair"
        raise BadFileError(told(path.name, [*faults[: MOST_TOLD - 1], need]))
    return rows[1:], columns


def _text(path: Path) -> str:
    data = read_own(path)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise BadFileError(f"{path.name}, line {line}: not UTF-8; save the file as UTF-8") from None


def _near(word: str, names: Collection[str]) -> str:
    near = nearest(word, list(names), most=1)
    return f"; nearest: {near[0]}" if near else f"; there is {', '.join(names)}"
