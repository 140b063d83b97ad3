"""A sheet as the log keeps it, so that it can be printed again as it was and its numbers can be ticked off.

Sheet codes have four letters or digits: two for the day, two for the sheet. So a code leads to its day without a search
through the log, and a mistyped one is hardly ever a sheet.
"""

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from types import GenericAlias
from typing import TypeVar, get_type_hints

from generator.errors import RequestError, shown
from generator.practice_log import Entry, Kind, PracticeLog
from generator.practice_log.facts import PRINTED
from generator.publish.codes import LETTERS, letters_of
from generator.rotation import Topic

_CYCLE = len(LETTERS) ** 2  # days after which the first two letters come again
_CYCLES_KEPT = 5
CIRCUMSTANCE = "circumstance"
"""Topic of the sentences that say what is different about a day."""
AHEAD = "ahead"
"""Mood of a sheet that was printed before its day."""
_LARGEST = 10**9  # a number beyond it is none of ours
_Record = TypeVar("_Record", "SheetRow", "SheetRecord")


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One exercise of a sheet.

    Attributes:
        item: what the log calls it.
        phrase: the request as printed, dressing and tempi included.
        floor: to be played first when time is short.
        minutes: its time.
        reason: why it is there.
        rest_after: seconds of rest after it.
        aim: the tempo of the day, where its row begins; a play is judged by it and not by a goal still far off.
        goal: goal tempo.
        text: the player's own music it was made of, or "".
    """

    item: str
    phrase: str
    floor: bool
    minutes: int
    reason: str
    rest_after: int
    aim: int | None
    goal: int | None
    text: str = field(default="", repr=False)


_ROW_FIELDS = tuple(SheetRow.__dataclass_fields__)
_LEFT_OUT = {"text": ""}  # what stands for a field that is not written where it says nothing


@dataclass(frozen=True, slots=True)
class SheetRecord:
    """One sheet.

    Attributes:
        code: as printed.
        instrument: for which.
        day: for which day.
        number: 1, or 2 for a second sheet the same day; 0 for a page of one's own choice.
        mark: what it was chosen from; another mark makes another sheet.
        level: level name, or "own range".
        low: lowest written note.
        high: highest written note.
        minutes: of the sheet, rest included.
        rest: minutes of rest among them.
        promise: practice days within which everything comes round; 0 where this sheet promises nothing.
        rows: in playing order.
        notes: sentences for the player, each after its topic.
        rule: version of the rule that chose.
        usual: minutes of a usual day, which the promise counts.
        thread: what runs through the sheet, like "key of the day: F major", or "".
        given_to: name of the dated list that has the sheet to itself, or "".
        mood: what was different about the day, see `circumstances.Mood`, or `AHEAD`; "" for nothing.
    """

    code: str
    instrument: str
    day: dt.date
    number: int
    mark: str
    level: str
    low: str
    high: str
    minutes: int
    rest: int
    promise: int
    rows: tuple[SheetRow, ...]
    notes: tuple[tuple[str, str], ...]
    rule: int
    usual: int = 0
    thread: str = ""
    given_to: str = ""
    mood: str = ""

    @property
    def on_page(self) -> tuple[str, ...]:
        """The sentences that belong on the page: about a required list and its date, and what is different today."""
        return tuple(text for topic, text in self.notes if topic in (Topic.DATED_LIST, CIRCUMSTANCE))

    def entry(self, recorded_at: str) -> Entry:
        """The sheet as an entry of the log; the same sheet is the same entry."""
        data = asdict(self)
        del data["code"], data["day"], data["instrument"]
        for row in data["rows"]:
            if not row["text"]:
                del row["text"]
        return Entry(
            f"sheet {self.instrument} {self.day} {self.number} {self.code}",
            Kind.SHEET,
            self.day,
            recorded_at,
            data=json.dumps(data, ensure_ascii=False, separators=(",", ":")),
            instrument=self.instrument,
            sheet=self.code,
        )

    @classmethod
    def of(cls, entry: Entry) -> "SheetRecord":
        """The sheet of an entry; fields that a newer program added are passed over.

        Raises:
            RequestError: the entry was made by something else.
        """
        try:
            data = json.loads(entry.data or "")
            data = {name: data[name] for name in cls.__dataclass_fields__ if name in data}
            data["rows"] = tuple(
                _typed(SheetRow(**{name: row.get(name, _LEFT_OUT.get(name)) for name in _ROW_FIELDS}))
                for row in data["rows"]
            )
            if not data["rows"]:
                raise ValueError("it has no rows")
            data["notes"] = tuple((str(topic), str(text)) for topic, text in data["notes"])
            return _typed(
                cls(code=entry.sheet or "", day=entry.day, instrument=entry.instrument or "", **data)
            )
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise RequestError(f"the sheet of {entry.day} in the log cannot be read: {error}") from None


def _typed(record: _Record) -> _Record:
    """The record, if its plain fields are what they should be: a log may come from anywhere.

    Raises:
        TypeError: one is not.
    """
    for name, kind in get_type_hints(type(record)).items():
        value = getattr(record, name)
        wrong = not isinstance(kind, GenericAlias) and not isinstance(value, kind)
        if wrong or (isinstance(value, int) and abs(value) > _LARGEST):
            raise TypeError(f"its {name} is {shown(value)}")
    return record


def check_sheet(entry: Entry) -> None:
    """Nothing, if an entry can be read again, should it be a sheet.

    Raises:
        RequestError: it is one and cannot.
    """
    if entry.kind is Kind.SHEET:
        SheetRecord.of(entry)


def day_letters(day: dt.date) -> str:
    """The first two letters of every code of a day."""
    first, second = divmod(day.toordinal() % _CYCLE, len(LETTERS))
    return LETTERS[first] + LETTERS[second]


def code_for(day: dt.date, parts: Sequence[object], taken: Sequence[str] = ()) -> str:
    """A code for a sheet of a day: the same for the same content, another one than those taken."""
    for salt in range(_CYCLE):
        code = day_letters(day) + letters_of(2, (*parts, salt))
        if code not in taken:
            return code
    raise RequestError(f"there is no code left for another sheet on {day}")


def sheets_of(log: PracticeLog, day: dt.date, instrument: str | None) -> list[SheetRecord]:
    """The day's own sheets of one day that can be read, in the order of saving."""
    found = _read_all(log.entries(since=day, until=day, kinds=(Kind.SHEET,), instrument=instrument))
    return [one for one in found if isinstance(one, SheetRecord) and one.number]


def unread_sheets(log: PracticeLog, day: dt.date, instrument: str | None) -> list[str]:
    """Why sheets of a day cannot be read: something else than this program made them."""
    found = _read_all(log.entries(since=day, until=day, kinds=(Kind.SHEET,), instrument=instrument))
    return [one for one in found if isinstance(one, str)]


def _read_all(entries: Sequence[Entry]) -> Iterator[SheetRecord | str]:
    for entry in entries:
        try:
            yield SheetRecord.of(entry)
        except RequestError as error:
            yield str(error)


def sheet_called(log: PracticeLog, code: str, until: dt.date) -> SheetRecord | None:
    """The newest sheet with a code, whose first letters say on which days to look.

    Args:
        log: the log.
        code: as printed; case does not matter.
        until: the latest day a sheet can have.
    """
    wanted = code.strip().upper()
    if len(wanted) != 4 or any(letter not in LETTERS for letter in wanted):
        return None
    place = LETTERS.index(wanted[0]) * len(LETTERS) + LETTERS.index(wanted[1])
    latest = until.toordinal() - (until.toordinal() - place) % _CYCLE
    for ordinal in range(latest, max(0, latest - _CYCLES_KEPT * _CYCLE), -_CYCLE):
        found = [one for one in sheets_of(log, dt.date.fromordinal(ordinal), None) if one.code == wanted]
        if found:
            return found[-1]
    pages = [one for one in _read_all(log.sheets_called(wanted)) if isinstance(one, SheetRecord)]
    return pages[-1] if pages else None


def note_printed(log: PracticeLog, sheet: SheetRecord) -> None:
    """Note which sheet was printed last on this computer, new or once more."""
    value = f"{sheet.code} {sheet.day} {sheet.instrument}"
    if log.facts.get(PRINTED) != value:
        log.note_fact(PRINTED, value)


def last_printed(log: PracticeLog) -> SheetRecord | None:
    """The sheet printed last on this computer."""
    code, _, rest = (log.facts.get(PRINTED) or "").partition(" ")
    day, _, instrument = rest.partition(" ")
    if not code:
        return None
    found = [one for one in sheets_of(log, dt.date.fromisoformat(day), instrument) if one.code == code]
    return found[-1] if found else None


def latest_sheet(log: PracticeLog, instrument: str | None) -> SheetRecord | None:
    """The day's own sheet that was made for the latest day."""
    found = _read_all(log.entries(kinds=(Kind.SHEET,), instrument=instrument)[::-1])
    return next((one for one in found if isinstance(one, SheetRecord) and one.number), None)
