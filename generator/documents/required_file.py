"""Reads a required list: what a board, district or teacher asks for, as data.

One TOML file a list, in shared/lists or anywhere. At the top:

    title        what it is
    source       where the requirements were read
    year         of the source, such as 2015 or "2014-15"
    instruments  whom it is for; left out = every instrument
    order        "as listed" where the order is part of the requirement, else "any" (usual)
    note         one line for the player

Then one [[item]] for each requirement; all but the phrase may stand at the top as well, for every item:

    phrase       any request, in written keys or with "concert"
    octaves      a span;  complete = true: complete octaves only, fewer where the instrument has no more
    rhythm       a rhythm
    up, down     articulation of the rising and of the falling half; up alone counts for both
    articulations  each of these is asked for, one at a time
    tempo        beats a minute, at the least; by instrument: { others = 100, trombone = 72 }
    unit         note value that the tempo counts (usual: quarter)
    memory       true: from memory
    instruments  whom this item is for
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from generator.catalogue.names import fold
from generator.catalogue.tables import Catalogue
from generator.documents.marked_file import HEAD, MarkedFile, Place, near
from generator.documents.plan_row import names_in
from generator.documents.required_list import OTHERS, RequiredItem, RequiredList
from generator.errors import RequestError, shown
from generator.exercise.articulation import Articulation
from generator.exercise.request import EVERY, Request
from generator.exercise.routine import Routine
from generator.exercise.span import Span
from generator.phrase.read import FASTEST, SLOWEST, parse
from generator.phrase.vocabulary import UNIT_NAMES

ITEM_FIELDS = (
    "phrase", "octaves", "complete", "rhythm", "up", "down", "articulations", "tempo", "unit", "memory", "instruments",
)  # fmt: skip
HEAD_FIELDS = ("title", "source", "year", "order", "note", "item", *ITEM_FIELDS[1:])
ORDERS = ("any", "as listed")


def read_list(path: Path, catalogue: Catalogue) -> RequiredList:
    """Read a list.

    Raises:
        BadFileError: every mistake, one a line, with line number, reason and nearest name.
        OutputError: the file cannot be read.
    """
    file = MarkedFile.read(path)
    found = _Reader(file, catalogue).read()
    file.refuse()
    return found


class _Reader:
    def __init__(self, file: MarkedFile, catalogue: Catalogue) -> None:
        self.file = file
        self.catalogue = catalogue

    def read(self) -> RequiredList:
        head = self.file.data
        self.file.only(HEAD, head, HEAD_FIELDS)
        rows = self.file.tables("item")
        if not rows and "item" not in head:
            self.file.fault_at(1, "it asks for nothing; write an [[item]] with a phrase")
        items = []
        for place, row in rows:
            if self.file.full:
                break
            items.append(self._item(place, {**self._shared(head), **row}))
            self.file.only(place, row, ITEM_FIELDS)
        order = head.get("order", ORDERS[0])
        if order not in ORDERS:
            self.file.fault(HEAD, "order", f"order: unknown {shown(order)}; it can be {' or '.join(ORDERS)}")
        return RequiredList(
            self.file.path.stem,
            self._text(HEAD, head, "title", needed=True) or self.file.path.stem,
            self._text(HEAD, head, "source", needed=True),
            self._year(head),
            self._instruments(HEAD, head),
            order == ORDERS[1],
            self._text(HEAD, head, "note"),
            tuple(item for item in items if item),
        )

    @staticmethod
    def _shared(head: Mapping[str, Any]) -> dict[str, Any]:
        return {field: head[field] for field in ITEM_FIELDS[1:-1] if field in head}

    def _item(self, place: Place, row: Mapping[str, Any]) -> RequiredItem | None:
        phrase = self._text(place, row, "phrase", needed=True)
        if not phrase:
            return None
        try:
            request = parse(phrase, self.catalogue)
        except RequestError as error:
            self.file.fault(place, "phrase", f"phrase: {error}")
            return None
        tempos, unit = self._tempos(place, row), self._unit(place, row)
        if request.tempo:
            tempos = ((OTHERS, request.tempo.bpm),)
            unit = next(name for name, value in UNIT_NAMES.items() if value == request.tempo.unit)
        return RequiredItem(
            self._dressed(replace(request, tempo=None, goal=None, step=None), place, row),
            tempos,
            unit,
            self._flag(place, row, "memory"),
            self._flag(place, row, "complete"),
            self._each(place, row),
            self._instruments(place, row),
            phrase,
            self.file.line(place, "phrase"),
        )

    def _dressed(self, request: Request, place: Place, row: Mapping[str, Any]) -> Request:
        """With the span, rhythm and articulations that stand beside the phrase."""
        up, down = (self._name(place, row, field, "articulation") for field in ("up", "down"))
        span, rhythm = self._span(place, row), self._name(place, row, "rhythm", "rhythm")
        if isinstance(request.form, Routine):
            return request  # it has none of these; what stands at the top of the file is for the other items
        return self._plainly(
            replace(
                request,
                span=span or request.span,
                rhythm=rhythm or request.rhythm,
                articulation=up or request.articulation,
                articulation_down=(down if down != up else None) or request.articulation_down,
            )
        )

    def _plainly(self, request: Request) -> Request:
        """Without the rhythm, where it is the one that comes unasked, so that headings stay short."""
        figure = request.figure or self.catalogue.straight
        worn = (request.articulation, request.articulation_down)
        own = any(isinstance(row, Articulation) and row.rhythm for row in worn)
        return replace(request, rhythm=None) if request.rhythm == figure.rhythm and not own else request

    def _span(self, place: Place, row: Mapping[str, Any]) -> Span | None:
        name = self._text(place, row, "octaves")
        if not name:
            return None
        try:
            return self.catalogue.spans.find(name)
        except RequestError as error:
            self._fault(place, "octaves", str(error))
            return None

    def _name(self, place: Place, row: Mapping[str, Any], field: str, kind: str) -> Any:  # noqa: ANN401
        """A rhythm or articulation, a set of them, or "every" one; None where there is none."""
        name = self._text(place, row, field)
        if not name:
            return None
        try:
            found = names_in([name], kind, self.catalogue)
        except RequestError as error:
            self._fault(place, field, str(error))
            return None
        if field == "down" and (len(found) > 1 or found[0] == EVERY):
            self._fault(place, field, f"{shown(name)} stands for several; that half takes one articulation")
            return None
        if len(found) > 1:
            return self.catalogue.sets.find(name)
        table = self.catalogue.rhythms if kind == "rhythm" else self.catalogue.articulations
        return EVERY if found[0] == EVERY else table.find(found[0])

    def _each(self, place: Place, row: Mapping[str, Any]) -> tuple[str, ...]:
        raw = row.get("articulations", [])
        words = [raw] if isinstance(raw, str) else raw
        if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
            self._fault(
                place, "articulations", 'names in quotes are needed, like ["all tongued", "all slurred"]'
            )
            return ()
        try:
            return names_in(words, "articulation", self.catalogue)
        except RequestError as error:
            self._fault(place, "articulations", str(error))
            return ()

    def _tempos(self, place: Place, row: Mapping[str, Any]) -> tuple[tuple[str, int], ...]:
        raw = row.get("tempo")
        if raw is None:
            return ()
        table = raw if isinstance(raw, dict) else {OTHERS: raw}
        tempos: list[tuple[str, int]] = []
        for name, bpm in table.items():
            if self.file.full:
                break
            if not isinstance(bpm, int) or isinstance(bpm, bool) or not SLOWEST <= bpm <= FASTEST:
                self._fault(place, "tempo", f"{shown(bpm)} is no whole number from {SLOWEST} to {FASTEST}")
                continue
            found = (name,) if name == OTHERS else self._found_instruments(place, "tempo", [name])
            tempos += [(one, bpm) for one in found]
        return tuple(tempos)

    def _unit(self, place: Place, row: Mapping[str, Any]) -> str:
        unit = self._text(place, row, "unit") or "quarter"
        if unit not in UNIT_NAMES:
            self._fault(place, "unit", f"unknown {shown(unit)}; {near(unit, UNIT_NAMES)}")
            return "quarter"
        return unit

    def _instruments(self, place: Place, row: Mapping[str, Any]) -> tuple[str, ...]:
        raw = row.get("instruments", [])
        names = [raw] if isinstance(raw, str) else raw
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            self._fault(place, "instruments", 'names in quotes are needed, like ["flute", "oboe"]')
            return ()
        return self._found_instruments(place, "instruments", names)

    def _found_instruments(self, place: Place, field: str, names: list[str]) -> tuple[str, ...]:
        """Instruments by name; the name of a family, like saxophones, stands for all of it."""
        found: list[str] = []
        for name in names:
            if self.file.full:
                break
            family = [i.name for i in self.catalogue.instruments.rows if fold(i.family) == fold(name)]
            try:
                found += family or [self.catalogue.instruments.find(name).name]
            except RequestError as error:
                self._fault(place, field, str(error))
        return tuple(dict.fromkeys(found))

    def _year(self, head: Mapping[str, Any]) -> str:
        year = head.get("year", "")
        known = 0 < year <= dt.MAXYEAR if isinstance(year, int) else isinstance(year, str) and year.strip()
        if not known or isinstance(year, bool):
            self.file.fault(
                HEAD, "year", 'year: a required list needs the year of its source, like 2015 or "2014-15"'
            )
            return ""
        return str(year)

    def _flag(self, place: Place, row: Mapping[str, Any], field: str) -> bool:
        flag = row.get(field, False)
        if not isinstance(flag, bool):
            self._fault(place, field, f"{shown(flag)} is neither true nor false")
        return flag is True

    def _text(self, place: Place, row: Mapping[str, Any], field: str, *, needed: bool = False) -> str:
        text = row.get(field, "")
        if not isinstance(text, str) or (needed and not text.strip()):
            self._fault(place, field, "a text in quotes is needed")
            return ""
        return " ".join(text.split())

    def _fault(self, place: Place, field: str, reason: str) -> None:
        """At the item's own field, or where it stands for every item."""
        own = isinstance(self.file.data.get("item"), list) and place != HEAD
        row = self.file.data["item"][place[1]] if own else {}
        at = HEAD if field in self.file.data and not (own and field in row) else place
        self.file.fault(at, field, f"{field}: {reason}")
