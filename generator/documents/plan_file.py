"""plan.toml: who plays, how long a day, and what is kept alive. Reading and checking.

    player = "Ada Quill"
    instrument = "alto saxophone"
    minutes = 20
    [[keep]]
    phrase = "all keys, harmonic minor in thirds"
    goal = 84
    articulations = "board articulations"
    [[list]]
    name = "florida-middle-school"
    date = 2027-02-06

Every mistake of a file is told at once, each with its line.
"""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from generator.catalogue.players import level_named
from generator.catalogue.tables import Catalogue
from generator.documents.marked_file import HEAD, MarkedFile, Place
from generator.documents.plan import DEFAULT_MINUTES, KEY_NAMES, ListRow, Plan
from generator.documents.plan_row import Keep, keep_of, names_in
from generator.errors import RequestError, clipped, shown
from generator.pages.paper import PAPERS, PRINT_SIZES
from generator.pages.sheet import SHOWS
from generator.phrase.read import FASTEST, SLOWEST, parse
from generator.theory.pitch import Pitch

MOST_MINUTES, MOST_DAYS = 600, 9999
HEAD_FIELDS = (
    "player", "instrument", "level", "low", "high", "minutes", "share", "longest_wait", "names", "together",
    "paper", "print", "show", "syllables", "keep", "list",
)  # fmt: skip
KEEP_FIELDS = ("phrase", "every", "start", "goal", "articulations", "rhythms", "minutes", "heavy")
_SHARE = re.compile(r"[0-9 ./]{1,12}")
LIST_FIELDS = ("name", "called", "date")


def read_plan(path: Path, catalogue: Catalogue, *, rows: bool = True) -> tuple[Plan, MarkedFile]:
    """Read a plan.

    Args:
        path: the file.
        catalogue: the names.
        rows: read the [[keep]] rows; without them only the head and the names of the lists are read.

    Returns:
        The plan without its bad rows, and the file with the mistakes found so far; whoever checks more of it
        adds to them, and `MarkedFile.refuse` tells them all.

    Raises:
        BadFileError: it is not UTF-8 or not TOML.
        OutputError: it cannot be read.
    """
    file = MarkedFile.read(path)
    return _Reader(file, catalogue).plan(rows=rows), file


class _Reader:
    """Reads fields and notes mistakes; a bad field counts as left out."""

    def __init__(self, file: MarkedFile, catalogue: Catalogue) -> None:
        self.file = file
        self.catalogue = catalogue

    def plan(self, *, rows: bool) -> Plan:
        head = self.file.data
        self.file.only(HEAD, head, HEAD_FIELDS)
        keeps = self._keeps() if rows else []
        lists = [self._list(place, row) for place, row in self.file.tables("list") if not self.file.full]
        if "keep" not in head and "list" not in head:
            self.file.fault_at(
                1, "it keeps nothing alive; write a [[keep]] with a phrase, like all keys, major"
            )
        return Plan(
            player=self._text(HEAD, head, "player"),
            instrument=self._instrument(head),
            level=self._level(head),
            low=self._pitch(head, "low"),
            high=self._pitch(head, "high"),
            minutes=self._number(HEAD, head, "minutes", 1, MOST_MINUTES) or DEFAULT_MINUTES,
            share=self._share(head),
            longest_wait=self._number(HEAD, head, "longest_wait", 1, MOST_DAYS),
            names=self._among(head, "names", KEY_NAMES) or "usual",  # type: ignore[arg-type]
            together=bool(self._flag(HEAD, head, "together")),
            paper=self._among(head, "paper", PAPERS),
            print=self._among(head, "print", PRINT_SIZES),
            show=self._among(head, "show", SHOWS),
            syllables=tuple(self._text(HEAD, head, "syllables").split()),
            keeps=tuple(keep for keep in keeps if keep),
            lists=tuple(row for row in lists if row),
        )

    def _keeps(self) -> list[Keep | None]:
        keeps = []
        seen: dict[object, int] = {}
        for place, row in self.file.tables("keep"):
            if self.file.full:
                break
            keep = self._keep(place, row)
            keeps.append(keep)
            if keep is None:
                continue
            first = seen.setdefault((keep.request, keep.dressing), keep.line)
            if first != keep.line:
                self.file.fault_at(keep.line, f"says the same as line {first}; one of the two can go")
        return keeps

    def _keep(self, place: Place, row: Mapping[str, Any]) -> Keep | None:
        self.file.only(place, row, KEEP_FIELDS)
        said = {
            "every": self._number(place, row, "every", 1, MOST_DAYS),
            "start": self._number(place, row, "start", SLOWEST, FASTEST),
            "goal": self._number(place, row, "goal", SLOWEST, FASTEST),
            "articulations": tuple((name, "") for name in self._names(place, row, "articulation")),
            "rhythms": self._names(place, row, "rhythm"),
            "minutes": self._number(place, row, "minutes", 1, MOST_MINUTES),
            "heavy": self._flag(place, row, "heavy"),
        }
        if said["start"] and said["goal"] and said["start"] > said["goal"]:  # type: ignore[operator]
            self.file.fault(place, "goal", f"goal: {said['goal']} is slower than the start {said['start']}")
        phrase = row.get("phrase")
        if not isinstance(phrase, str) or not phrase.strip():
            self.file.fault(place, "phrase", 'phrase: a [[keep]] needs one, like phrase = "all keys, major"')
            return None
        try:
            request = parse(phrase, self.catalogue)
        except RequestError as error:
            self.file.fault(place, "phrase", f"phrase: {error}")
            return None
        return keep_of(request, phrase, self.file.line(place, "phrase"), **said)

    def _list(self, place: Place, row: Mapping[str, Any]) -> ListRow | None:
        self.file.only(place, row, LIST_FIELDS)
        name = self._text(place, row, "name")
        if not name:
            self.file.fault(
                place, "name", "name: a [[list]] needs the name of a required list, or of a file with one"
            )
        day = row.get("date")
        if isinstance(day, str):
            try:
                day = dt.date.fromisoformat(day)
            except ValueError:
                day = ""
        if day is not None and (not isinstance(day, dt.date) or isinstance(day, dt.datetime)):
            self.file.fault(
                place,
                "date",
                f"date: {_plain(row['date'])} is no day of the calendar; write one like 2027-02-06",
            )
            return None
        called = self._text(place, row, "called")
        return ListRow(name, called, day, self.file.line(place, "name")) if name else None

    def _instrument(self, head: Mapping[str, Any]) -> str:
        name = self._text(HEAD, head, "instrument")
        if not name:
            return ""
        try:
            return self.catalogue.instruments.find(name).name
        except RequestError as error:
            self.file.fault(HEAD, "instrument", f"instrument: {error}")
            return ""

    def _level(self, head: Mapping[str, Any]) -> str:
        level = self._text(HEAD, head, "level")
        try:
            return level_named(level) if level else ""
        except RequestError as error:
            self.file.fault(HEAD, "level", f"level: {error}")
            return ""

    def _pitch(self, head: Mapping[str, Any], field: str) -> str:
        note = self._text(HEAD, head, field)
        if not note:
            return ""
        try:
            return Pitch.parse(note).name
        except RequestError as error:
            self.file.fault(HEAD, field, f"{field}: {error}")
            return ""

    def _share(self, head: Mapping[str, Any]) -> Fraction:
        """1/2 as text, or a number such as 0.5."""
        raw = head.get("share", "1/2")
        # Not 1e9, which as a fraction of whole numbers has a thousand million digits.
        said = raw if isinstance(raw, str) and _SHARE.fullmatch(raw) else "0"
        try:
            share = Fraction(said if isinstance(raw, str | bool) else raw)
        except (TypeError, ValueError, OverflowError, ZeroDivisionError):
            share = Fraction(0)
        if not 0 < share <= 1:
            self.file.fault(
                HEAD, "share", f'share: {shown(raw)} is no share; write one like "1/2", over 0 and at most 1'
            )
            return Fraction(1, 2)
        return max(share.limit_denominator(100), Fraction(1, 100))

    def _names(self, place: Place, row: Mapping[str, Any], kind: str) -> tuple[str, ...]:
        field = f"{kind}s"
        raw = row.get(field, [])
        words = [raw] if isinstance(raw, str) else raw
        if not isinstance(words, list) or not all(isinstance(word, str) and word.strip() for word in words):
            self.file.fault(
                place, field, f'{field}: names in quotes are needed, like ["first name", "second name"]'
            )
            return ()
        found: list[str] = []
        for word in words:
            if self.file.full:
                break
            try:
                found += names_in([word], kind, self.catalogue)
            except RequestError as error:
                self.file.fault(place, field, f"{field}: {error}")
        return tuple(dict.fromkeys(found))

    def _number(self, place: Place, row: Mapping[str, Any], field: str, least: int, most: int) -> int | None:
        number = row.get(field)
        if number is None:
            return None
        if not isinstance(number, int) or isinstance(number, bool) or not least <= number <= most:
            said = f'"{clipped(number)}" in quotes' if isinstance(number, str) else shown(number)
            self.file.fault(place, field, f"{field}: {said} is no whole number from {least} to {most}")
            return None
        return number

    def _flag(self, place: Place, row: Mapping[str, Any], field: str) -> bool | None:
        flag = row.get(field)
        if flag is not None and not isinstance(flag, bool):
            self.file.fault(place, field, f"{field}: {shown(flag)} is neither true nor false")
            return None
        return flag

    def _text(self, place: Place, row: Mapping[str, Any], field: str) -> str:
        text = row.get(field, "")
        if not isinstance(text, str):
            self.file.fault(place, field, f"{field}: {shown(text)} is no text; put it in quotes")
            return ""
        return " ".join(text.split())

    def _among(self, head: Mapping[str, Any], field: str, allowed: Sequence[str]) -> str:
        word = self._text(HEAD, head, field).casefold()
        if word and word not in allowed:
            self.file.fault(HEAD, field, f"{field}: unknown {shown(word)}; it can be {', '.join(allowed)}")
            return ""
        return word


def _plain(value: object) -> str:
    """A value as a message quotes it, a text without its quotes."""
    return clipped(value) if isinstance(value, str) else shown(value)
