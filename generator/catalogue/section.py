"""A section: who sits where. Read from section.toml, from a roster (CSV), or from a line of instrument names.

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
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from generator.catalogue.names import fold, nearest
from generator.catalogue.percussion import UNPITCHED
from generator.catalogue.tables import LEVELS, Table
from generator.errors import BadFileError, GeneratorError, OutputError, RequestError, UnknownNameError
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument
from generator.theory.pitch import Pitch

MOST_CHAIRS, MOST_COPIES = 300, 99
OWN_RANGE = "own range"
_FIELDS = ("name", "instrument", "level", "low", "high", "copies", "player")
_HEAD = ("title", "note", "chair")
_CSV_NAMES = {
    "name": "name", "player": "name", "student": "name", "instrument": "instrument", "level": "level", "part": "chair",
    "chair": "chair",
}
_TABLE_LINE = re.compile(r"\s*\[\[\s*[\"']?chair[\"']?\s*\]\]")
_FIELD_LINE = re.compile(r"\s*[\"']?([\w-]+)[\"']?\s*[=.]")


@dataclass(frozen=True, slots=True)
class Chair:
    """One chair.

    Attributes:
        name: what it is called: "2nd Clarinet".
        who: instrument, level and written compass.
        copies: how many printed copies it needs.
        person: who sits there, or "".
    """

    name: str
    who: Player
    copies: int = 1
    person: str = ""

    @property
    def unpitched(self) -> bool:
        """Whether it reads rhythm alone."""
        return self.who.instrument.wind == UNPITCHED


@dataclass(frozen=True, slots=True)
class Section:
    """Chairs in score order.

    Attributes:
        title: name of the band, class or section; "" for none.
        chairs: from the top of the score.
        note: a line for everyone.
    """

    title: str
    chairs: tuple[Chair, ...]
    note: str = ""


def in_score_order(chairs: Sequence[Chair]) -> tuple[Chair, ...]:
    """Chairs as in a score; those of one instrument stay in their own order."""
    return tuple(sorted(chairs, key=lambda c: c.who.instrument.order))


def at_levels(section: Section, levels: Sequence[str]) -> Section:
    """The same chairs once at each level, for pages of one difficulty each.

    Args:
        section: any section.
        levels: level names.

    Raises:
        RequestError: no such level.
    """
    names = [_level(level) for level in levels]
    chairs = [
        replace(chair, who=Player(chair.who.instrument, name, chair.who.instrument.level(name)))
        for chair in section.chairs
        for name in names
    ]
    return replace(section, chairs=tuple(chairs))


def from_names(text: str, level: str, instruments: Table[Instrument]) -> Section:
    """A section from ``flute, alto saxophone, 2 clarinet, tuba``.

    Args:
        text: instrument names with commas; a number before a name asks for so many copies.
        level: level of all.
        instruments: pitched and unpitched.

    Raises:
        RequestError: an unknown name or level, or no name at all; all mistakes, one a line.
    """
    name = _level(level)
    chairs: list[Chair] = []
    faults: list[str] = []
    for word in (w.strip() for w in text.split(",")):
        match = re.fullmatch(r"(?:(\d{1,2})\s*x?\s+)?(.+)", word)
        if match is None:
            continue
        try:
            found = instruments.find(match[2])
        except UnknownNameError as error:
            faults.append(str(error))
            continue
        chairs.append(Chair(_called(found), Player(found, name, found.level(name)), max(1, int(match[1] or 1))))
    if faults:
        raise RequestError("\n".join(faults))
    if not chairs:
        raise RequestError("--instruments names none; write some with commas, like flute, alto saxophone, tuba")
    return Section("", in_score_order(chairs))


def read_section(path: Path, instruments: Table[Instrument]) -> Section:
    """Read a section file.

    Raises:
        BadFileError: every mistake, one a line, with line number, field, reason and nearest name.
        OutputError: the file cannot be read.
    """
    text = _text(path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadFileError(f"{path.name}: {_plain_toml(str(error))}") from None
    reader = _Reader(path.name, instruments, _line_numbers(text))
    section = reader.section(data)
    if reader.faults:
        raise BadFileError("\n".join(fault for _, fault in sorted(reader.faults)))
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
    for line, row in rows:
        cells = {column: row[place].strip() for place, column in columns.items() if place < len(row)}
        raw: dict[str, Any] = {"instrument": cells.get("instrument", ""), "level": cells.get("level") or level}
        if cells.get("chair"):
            raw["name"] = cells["chair"]
        if cells.get("name"):
            raw["player"] = cells["name"]
        chair = reader.chair(raw, lambda _field, line=line: line)
        if chair is not None:
            chairs.append(chair)
    if not rows:
        reader.fault(1, "it names no player")
    if reader.faults:
        raise BadFileError("\n".join(fault for _, fault in sorted(reader.faults)))
    return Section("", in_score_order(chairs))


class _Reader:
    """Collects chairs and mistakes."""

    def __init__(self, file: str, instruments: Table[Instrument], lines: Mapping[tuple[int, str], int]) -> None:
        self.file = file
        self.instruments = instruments
        self.lines = lines
        self.faults: list[tuple[int, str]] = []

    def fault(self, line: int, text: str) -> None:
        self.faults.append((line, f"{self.file}, line {line}: {text}"))

    def section(self, data: Mapping[str, Any]) -> Section:
        for field in sorted(set(data) - set(_HEAD)):
            self.fault(self._line(-1, field), f"unknown field {field!r}{_near(field, _HEAD)}")
        rows = data.get("chair", [])
        if not isinstance(rows, list) or not rows:
            self.fault(self._line(-1, "chair"), "it has no [[chair]]; write one for each part")
            rows = []
        if len(rows) > MOST_CHAIRS:
            self.fault(1, f"it has {len(rows)} chairs; at most {MOST_CHAIRS} are possible")
            rows = []
        chairs = [self.chair(raw, lambda field, n=n: self._line(n, field)) for n, raw in enumerate(rows)]
        return Section(
            self._word(data, "title", lambda field: self._line(-1, field)),
            in_score_order([c for c in chairs if c is not None]),
            self._word(data, "note", lambda field: self._line(-1, field)),
        )

    def chair(self, raw: object, line: "LineOf") -> Chair | None:
        """One chair, or None with its mistakes noted."""
        before = len(self.faults)
        if not isinstance(raw, Mapping):
            self.fault(line(""), "a chair is a table of fields, under [[chair]]")
            return None
        for field in sorted(set(raw) - set(_FIELDS)):
            self.fault(line(field), f"unknown field {field!r}{_near(field, _FIELDS)}")
        instrument = self._instrument(raw, line)
        who = self._who(raw, instrument, line) if instrument else None
        name, person = self._word(raw, "name", line), self._word(raw, "player", line)
        copies = raw.get("copies", 1)
        if not isinstance(copies, int) or isinstance(copies, bool) or not 1 <= copies <= MOST_COPIES:
            self.fault(line("copies"), f"copies: {copies!r} is no number from 1 to {MOST_COPIES}")
        if len(self.faults) > before or who is None or instrument is None:
            return None
        return Chair(name or _called(instrument), who, copies, person)

    def _instrument(self, raw: Mapping[str, Any], line: "LineOf") -> Instrument | None:
        name = raw.get("instrument")
        if not isinstance(name, str) or not name.strip():
            self.fault(line("instrument"), "instrument: a chair needs one, like instrument = \"alto saxophone\"")
            return None
        try:
            return self.instruments.find(name)
        except UnknownNameError as error:
            self.fault(line("instrument"), f"instrument: {error}")
            return None

    def _who(self, raw: Mapping[str, Any], instrument: Instrument, line: "LineOf") -> Player | None:
        level = self._level(raw, line)
        usual = instrument.level(level)
        low = self._pitch(raw, "low", line) or usual.low
        high = self._pitch(raw, "high", line) or usual.high
        if "low" not in raw and "high" not in raw:
            return Player(instrument, level, usual)
        widest = instrument.level("extended")
        if low.height > high.height:
            field = "high" if "high" in raw else "low"
            self.fault(line(field), f"{field}: the lowest note {low.words} lies above the highest {high.words}")
            return None
        for field, note, far in (("low", low, widest.low.height - 12 > low.height),
                                 ("high", high, high.height > widest.high.height + 12)):
            if far:
                self.fault(
                    line(field),
                    f"{field}: {note.words} lies more than an octave beyond the {instrument.name} ({widest.words})",
                )
        return Player(instrument, OWN_RANGE, Compass(low, high, "the player's own"))

    def _level(self, raw: Mapping[str, Any], line: "LineOf") -> str:
        try:
            return _level(raw.get("level", "standard"))
        except RequestError as error:
            self.fault(line("level"), f"level: {error}")
            return "standard"

    def _pitch(self, raw: Mapping[str, Any], field: str, line: "LineOf") -> Pitch | None:
        if field not in raw:
            return None
        try:
            return Pitch.parse(str(raw[field]))
        except GeneratorError as error:
            self.fault(line(field), f"{field}: {error}")
            return None

    def _word(self, raw: Mapping[str, Any], field: str, line: "LineOf") -> str:
        word = raw.get(field, "")
        if not isinstance(word, str):
            self.fault(line(field), f"{field}: {word!r} is no text; put it in quotes")
            return ""
        return " ".join(word.split())

    def _line(self, chair: int, field: str) -> int:
        return self.lines.get((chair, field)) or self.lines.get((chair, "")) or 1
