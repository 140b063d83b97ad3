"""Noting what a whole studio played, from a table.

A row that cannot be read is told with its number and stops no other: what is right is noted, and whoever mends the rest
may give the whole table again, for what is noted already is not noted twice. All rows of one sheet and day are one
entry each at the most, the later row counting where two speak of the same exercise.
"""

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from generator.documents.played_table import PlayedRow
from generator.documents.studio import Pupil, Studio
from generator.errors import OutputError, RequestError, shown
from generator.files.home import Home
from generator.practice.log_care import daily_care
from generator.practice.played import Noted, Said, note_played, shared_out, take_back
from generator.practice.said_cells import (
    as_code,
    day_said,
    exercises_said,
    felt_said,
    number_said,
    same_code,
)
from generator.practice.sheet_record import AHEAD, SheetRecord, sheet_called, sheets_of
from generator.practice.studio import log_path, sheet_of
from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation.words import count, long_day

SLOWEST, FASTEST, MOST_MINUTES = 20, 400, 600
FAR = dt.timedelta(days=60)
"""How far a sheet is played from its day at the most; beyond that somebody mistyped a year or a month."""
TABLE = "table"
"""Name of the field in an entry's data that says which table it came from."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that was not noted: its number, whose it is as far as that is known, and why."""

    line: int
    who: str
    reason: str

    @property
    def words(self) -> str:
        """In one line."""
        who = f" ({self.who})" if self.who else ""
        return f"row {self.line}{who}: {self.reason}"


@dataclass(frozen=True, slots=True)
class PupilNoted:
    """What was noted of one pupil.

    Attributes:
        label: who.
        days: on which the noted exercises were played.
        new: exercises noted for the first time on their day.
        changed: noted before and now differently.
        same: noted so already.
        reached: phrases that are at their goal.
        told: about the log.
    """

    label: str
    days: int = 0
    new: int = 0
    changed: int = 0
    same: int = 0
    reached: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TableNoted:
    """What a table brought.

    Attributes:
        pupils: each with what was noted.
        bad: rows that were not.
        blank: how many rows say that nothing was played.
    """

    pupils: tuple[PupilNoted, ...]
    bad: tuple[BadRow, ...]
    blank: int


@dataclass
class _Deed:
    """What a table says of one sheet on one day."""

    sheet: SheetRecord
    day: dt.date
    said: dict[int, Said] = field(default_factory=dict)

    def add(self, said: Mapping[int, Said]) -> None:
        """Take a row in; what it says counts, and where it says nothing what an earlier row says."""
        for number, new in said.items():
            old = self.said.get(number, Said())
            self.said[number] = Said(
                felt=new.felt or old.felt,
                tempo=new.tempo or old.tempo,
                minutes=new.minutes or old.minutes,
                planned=new.planned or old.planned,
            )


def note_table(
    root: Home, studio: Studio, rows: Sequence[PlayedRow], today: dt.date, recorded_at: str, name: str
) -> TableNoted:
    """Note a table.

    Args:
        root: the home of the studio.
        studio: the pupils.
        rows: of the table.
        today: by the clock.
        recorded_at: the moment, as `utc_text` writes it.
        name: of the table, kept in each entry.

    """
    bad: list[BadRow] = []
    by_folder: dict[str, list[PlayedRow]] = {}
    told = [row for row in rows if not row.blank]
    for row in told:
        try:
            by_folder.setdefault(_pupil(root, studio, row, today).folder, []).append(row)
        except RequestError as error:
            bad.append(BadRow(row.line, row.pupil, str(error)))
    pupils: list[PupilNoted] = []
    for pupil in studio.pupils:
        some = by_folder.get(pupil.folder, [])
        try:
            pupils += [_note_pupil(root, pupil, some, today, recorded_at, name, bad)] if some else []
        except OutputError as error:  # one damaged log keeps nobody else's from being noted
            bad += [BadRow(row.line, pupil.label, str(error)) for row in some]
    return TableNoted(tuple(pupils), tuple(sorted(bad, key=lambda one: one.line)), len(rows) - len(told))


def _pupil(root: Home, studio: Studio, row: PlayedRow, today: dt.date) -> Pupil:
    if row.pupil:
        return studio.find(row.pupil)
    code = as_code(row.sheet)
    if code is None:
        raise RequestError("it names no pupil")
    return sheet_of(root, studio, code, today + FAR)[0]


def _note_pupil(
    root: Home,
    pupil: Pupil,
    rows: Iterable[PlayedRow],
    today: dt.date,
    recorded_at: str,
    name: str,
    bad: list[BadRow],
) -> PupilNoted:
    path = log_path(root, pupil)
    if not path.exists():
        bad += [BadRow(row.line, pupil.label, "no sheet has been printed for this pupil yet") for row in rows]
        return PupilNoted(pupil.label)
    deeds: dict[tuple[str, dt.date], _Deed] = {}
    with PracticeLog.open(path) as log:
        for row in rows:
            try:
                sheet = _sheet(log, row, today)
                day = _day(row, sheet, today)
                said = _said(row, sheet)
            except RequestError as error:
                bad.append(BadRow(row.line, pupil.label, str(error)))
                continue
            deeds.setdefault((sheet.code, day), _Deed(sheet, day)).add(said)
        about = {TABLE: f"{name} {recorded_at}"}
        done = [note_played(log, one.sheet, one.said, one.day, recorded_at, about) for one in deeds.values()]
        told = daily_care(log, today) if done else []
    return _summed(pupil.label, done, len({one.day for one in deeds.values()}), told)


def _summed(label: str, done: Sequence[Noted], days: int, told: Sequence[str]) -> PupilNoted:
    return PupilNoted(
        label,
        days=days,
        new=sum(len(one.new) for one in done),
        changed=sum(len(one.changed) for one in done),
        same=sum(len(one.same) for one in done),
        reached=tuple(dict.fromkeys(phrase for one in done for phrase in one.reached)),
        told=tuple(told),
    )


def _sheet(log: PracticeLog, row: PlayedRow, today: dt.date) -> SheetRecord:
    """The sheet of a row: by its code, or else by its day."""
    latest = today + FAR
    if row.sheet:
        code = as_code(row.sheet)
        found = sheet_called(log, code, latest) if code else None
        found = found or next((one for one in _recent(log, today) if same_code(row.sheet, one.code)), None)
        if found is None:
            raise RequestError(
                f"there is no sheet {shown(row.sheet)} of this pupil; it stands at the foot of the page"
            )
        return found
    if not row.day:
        raise RequestError(
            "it names no sheet; write the code that stands at the foot of the page, or the day"
        )
    day = day_said(row.day, today)
    sheets = sheets_of(log, day, None)
    own = [one for one in sheets if one.mood != AHEAD] or sheets
    if not own:
        raise RequestError(f"there is no sheet of {long_day(day)} for this pupil")
    return own[-1]


def _recent(log: PracticeLog, today: dt.date) -> Iterable[SheetRecord]:
    for days in range(FAR.days, -FAR.days - 1, -1):
        yield from sheets_of(log, today + dt.timedelta(days=days), None)


def _day(row: PlayedRow, sheet: SheetRecord, today: dt.date) -> dt.date:
    day = day_said(row.day, sheet.day)
    ahead = (day - today).days
    if ahead > 1:
        raise RequestError(f"{long_day(day)} is {count(ahead, 'day')} ahead of this computer's clock")
    if abs(day - sheet.day) > FAR:
        raise RequestError(
            f"{long_day(day)} is far from the day of the sheet, {long_day(sheet.day)}; is the year right?"
        )
    return day


def _said(row: PlayedRow, sheet: SheetRecord) -> dict[int, Said]:
    """What a row says of each exercise."""
    if not row.exercises:
        raise RequestError("it does not say which exercises; write all, or numbers like 1 2 5")
    numbers, whole = exercises_said(row.exercises, sheet)
    all_alike = Said(felt_said(row.felt), number_said(row.tempo, "tempo", SLOWEST, FASTEST))
    minutes = number_said(row.minutes, "minutes", 1, MOST_MINUTES)
    parts = shared_out(minutes, numbers, sheet) if minutes else {}
    return {
        number: replace(
            all_alike,
            minutes=parts.get(number) or None,
            planned=sheet.rows[number - 1].minutes if whole and not minutes else None,
        )
        for number in numbers
    }


def take_table_back(root: Home, studio: Studio, today: dt.date, recorded_at: str) -> dict[str, int]:
    """Take back what the last table noted, of everyone; what it had replaced counts again.

    A pupil for whom something was noted otherwise since is left as it is.

    Args:
        root: the home of the studio.
        studio: the pupils.
        today: by the clock.
        recorded_at: the moment.

    Returns:
        How many exercises were taken back, by pupil.

    Raises:
        RequestError: no table has been noted.
        OutputError: a log cannot be read or written.
    """
    logs = {one.label: log_path(root, one) for one in studio.pupils}
    last: dict[str, tuple[str, str]] = {}
    for label, path in logs.items():
        if path.exists():
            with PracticeLog.open(path) as log:
                entry = log.last(kind=Kind.PLAY, own=True)
            if entry and (table := _table_of(entry)):
                last[label] = (entry.recorded_at, table)
    if not last:
        raise RequestError(
            "there is no table to take back; one pupil's last action is taken back with --pupil"
        )
    _, latest = max(last.values())
    found: dict[str, int] = {}
    for label in (label for label, (_, table) in last.items() if table == latest):
        with PracticeLog.open(logs[label]) as log:
            while (entry := log.last(kind=Kind.PLAY, own=True)) and _table_of(entry) == latest:
                undone = take_back(log, entry, today, recorded_at)
                found[label] = found.get(label, 0) + len(undone.numbers)
    return found


def _table_of(entry: Entry) -> str:
    """The table an entry came from, or ""."""
    if not entry.data or TABLE not in entry.data:
        return ""
    try:
        data = json.loads(entry.data)
    except ValueError:
        return ""
    return str(data.get(TABLE, "")) if isinstance(data, dict) else ""
