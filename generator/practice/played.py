"""Noting what was played, in one action that can be taken back as one.

What is noted about a number of a sheet on a day is kept once. Saying the same again changes nothing, so a command run
twice does no harm; saying more or something else takes the earlier entry back and puts the new one in its place, with
what was said before where nothing new is said. Entries are never erased.

The uid of a play is made of sheet code, number, day and how often that was noted before, and all entries of one action
carry its name, which is the uid of its first. So two programs that save the same thing at once save it once.
"""

import datetime as dt
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from generator.errors import RequestError, shown
from generator.practice.former_names import former, renamed
from generator.practice.sheet_record import (
    SheetRecord,
    SheetRow,
    last_printed,
    latest_sheet,
    sheet_called,
    sheets_of,
)
from generator.practice_log import Entry, Kind, PracticeLog
from generator.practice_log.imports import Import

FINE = 3
DAYS_AT_GOAL = 3
"""Once may be luck: a tempo is one's own when it has been there on three days. (Common practice, no source.)"""
_NUMBERS = re.compile(r"(\d{1,3})(?:-(\d{1,3}))?", re.ASCII)
_ACTION = "action"


@dataclass(frozen=True, slots=True)
class Said:
    """What the player says of one number; None says nothing.

    Attributes:
        felt: 1 lost, 2 shaky, 3 steady, 4 secure.
        tempo: beats per minute reached.
        minutes: minutes it took.
        planned: minutes that count where none were ever said: those of the sheet, if all of it was played.
    """

    felt: int | None = None
    tempo: int | None = None
    minutes: int | None = None
    planned: int | None = None


@dataclass(frozen=True, slots=True)
class Noted:
    """What an action did.

    Attributes:
        new: numbers noted for the first time that day.
        changed: numbers noted before and now differently.
        same: numbers that were noted so already.
        reached: phrases that were at their goal tempo on as many days as it takes to call it reached.
        at_goal: phrases that were at it today and on fewer days so far, and on how many.
    """

    new: tuple[int, ...] = ()
    changed: tuple[int, ...] = ()
    same: tuple[int, ...] = ()
    reached: tuple[str, ...] = ()
    at_goal: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Undone:
    """What was taken back: sheet code, day and numbers."""

    sheet: str
    day: dt.date
    numbers: tuple[int, ...]


def find_sheet(
    log: PracticeLog, code: str | None, day: dt.date, today: dt.date, instrument: str | None
) -> SheetRecord:
    """The sheet with a code; without one that of the day, else the one printed last on this computer.

    Args:
        log: the log.
        code: as printed, or None.
        day: when it was played.
        today: the latest day a sheet with that code can have.
        instrument: only its sheets; None for any.

    Raises:
        RequestError: there is none.
    """
    if code is None:
        printed = last_printed(log)
        of_day = sheets_of(log, day, instrument)
        fitting = [one for one in of_day if printed is not None and one.code == printed.code] or of_day
        if fitting:
            return fitting[-1]
        if printed is not None and instrument in (None, printed.instrument):
            return printed
        sheet = latest_sheet(log, instrument)
        if sheet is None:
            raise RequestError("no sheet has been printed yet; print one with: scalewright today")
        return sheet
    sheet = sheet_called(log, code, today)
    if sheet is None:
        raise RequestError(
            f"there is no sheet {shown(code.upper())}; the code stands at the foot of the page, after the word Sheet"
        )
    return sheet


def numbers_of(words: Sequence[str], sheet: SheetRecord) -> tuple[int, ...]:
    """The numbers that ``all`` or ``1 2 5-7`` mean, each once, in order.

    Raises:
        RequestError: a word is neither, or the sheet has no such number.
    """
    count = len(sheet.rows)
    found: set[int] = set()
    for word in (w for text in words for w in text.replace(",", " ").split()):
        if word.casefold() == "all":
            found.update(range(1, count + 1))
            continue
        match = _NUMBERS.fullmatch(word)
        if match is None:
            raise RequestError(
                f"{shown(word)} is no number of an exercise; write all, or numbers like 1 2 5-7"
            )
        first, last = int(match[1]), int(match[2] or match[1])
        if not 1 <= first <= last <= count:
            raise RequestError(f"{shown(word)} is not on sheet {sheet.code}; it has the numbers 1 to {count}")
        found.update(range(first, last + 1))
    return tuple(sorted(found))


def shared_out(minutes: int, numbers: Sequence[int], sheet: SheetRecord) -> dict[int, int]:
    """Minutes for several exercises together, shared out as the sheet plans them; whole minutes, the sum kept."""
    planned = [sheet.rows[number - 1].minutes for number in numbers]
    total, before, given = sum(planned), 0, {}
    for number, part in zip(numbers, planned, strict=True):
        given[number] = minutes * (before + part) // total - minutes * before // total
        before += part
    return given


def note_played(
    log: PracticeLog,
    sheet: SheetRecord,
    said: Mapping[int, Said],
    day: dt.date,
    recorded_at: str,
    about: Mapping[str, str] | None = None,
) -> Noted:
    """Note what was played.

    Args:
        log: the log.
        sheet: the sheet.
        said: by number.
        day: the day it was played.
        recorded_at: the moment, as `utc_text` writes it.
        about: what else the action is to remember of itself.

    Raises:
        RequestError: a rating, tempo or number of minutes that cannot be.
        OutputError: the log cannot be written.
    """
    known = _known(log, sheet, day)
    entries: list[Entry] = []
    new: list[int] = []
    changed: list[int] = []
    same: list[int] = []
    for number, one in sorted(said.items()):
        tried = known.get(number, [])
        standing = next((entry for entry, gone in reversed(tried) if not gone), None)
        entry = _entry(sheet, number, one, standing, day, recorded_at, len({entry.uid for entry, _ in tried}))
        if standing is None:
            new.append(number)
        elif _values(standing) == _values(entry):
            same.append(number)
            continue
        else:
            changed.append(number)
            entries.append(
                Entry(f"void {standing.uid}", Kind.VOID, day, recorded_at, takes_back=standing.uid)
            )
        entries.append(entry)
    _append_action(log, entries, about or {})
    at_goal = [
        (row.phrase, _days_at_goal(log, row, sheet.instrument))
        for number, one in sorted(said.items())
        if number not in same
        and one.tempo
        and (row := sheet.rows[number - 1]).goal
        and one.tempo >= (row.goal or 0)
    ]
    return Noted(
        tuple(new),
        tuple(changed),
        tuple(same),
        tuple(phrase for phrase, days in at_goal if days >= DAYS_AT_GOAL),
        tuple((phrase, days) for phrase, days in at_goal if days < DAYS_AT_GOAL),
    )


def _days_at_goal(log: PracticeLog, row: SheetRow, instrument: str) -> int:
    """On how many days an exercise was played at its goal tempo."""
    own = f"{instrument}: "
    names = {row.item, own + renamed(row.item.removeprefix(own)), own + former(row.item.removeprefix(own))}
    plays = log.events_of(sorted(names), instrument=instrument)
    return len({e.day for e in plays if e.kind == "play" and e.tempo and row.goal and e.tempo >= row.goal})


def _known(log: PracticeLog, sheet: SheetRecord, day: dt.date) -> dict[int, list[tuple[Entry, bool]]]:
    """Every play of a sheet noted for a day, by number, and whether it was taken back."""
    whole = log.entries(since=day, until=day, kinds=(Kind.PLAY,), taken_back=True)
    standing = {entry.seal for entry in log.entries(since=day, until=day, kinds=(Kind.PLAY,))}
    found: dict[int, list[tuple[Entry, bool]]] = {}
    for entry in whole:
        if entry.sheet == sheet.code and entry.instrument == sheet.instrument:
            found.setdefault(_number(entry), []).append((entry, entry.seal not in standing))
    return found


def _number(entry: Entry) -> int:
    """The number on the sheet, which stands in the uid: "play 7KQ2 3 2027-02-06 0"."""
    part = entry.uid.split(" ")[2:3]
    return int(part[0]) if part and part[0].isdigit() else 0


def _entry(
    sheet: SheetRecord,
    number: int,
    said: Said,
    before: Entry | None,
    day: dt.date,
    recorded_at: str,
    turn: int,
) -> Entry:
    """One play; where nothing is said, what was said before counts, else a steady play."""
    row: SheetRow = sheet.rows[number - 1]
    return Entry(
        f"play {sheet.code} {number} {day} {turn}",
        Kind.PLAY,
        day,
        recorded_at,
        item=row.item,
        minutes=said.minutes or (before.minutes if before else None) or said.planned,
        rating=said.felt or (before.rating if before else None) or FINE,
        tempo=said.tempo or (before.tempo if before else None),
        goal=row.aim,
        instrument=sheet.instrument,
        sheet=sheet.code,
        phrase=row.phrase,
    )


def _values(entry: Entry) -> tuple[object, ...]:
    return entry.rating, entry.tempo, entry.minutes


def _append_action(log: PracticeLog, entries: Sequence[Entry], about: Mapping[str, str]) -> None:
    """Save entries as one action."""
    if not entries:
        return
    name = json.dumps({_ACTION: next(e.uid for e in entries if e.kind is Kind.PLAY), **about})
    log.append(replace(entry, data=name) for entry in entries)


def take_back_last(
    log: PracticeLog, day: dt.date, recorded_at: str, instrument: str | None
) -> Undone | Import:
    """Take the last action of this computer back, whole: what was noted last, or what was imported since.

    What notes had replaced counts again. What came from another computer stays as it is unless it came last.

    Args:
        log: the log.
        day: today; sheets of earlier days are not altered.
        recorded_at: the moment.
        instrument: only what belongs to it; None for any.

    Raises:
        RequestError: there is nothing to take back, or the import cannot be undone any more.
    """
    brought = log.imports.last() if instrument is None else None
    last = log.last(kind=Kind.PLAY, instrument=instrument, since=brought.latest if brought else 0, own=True)
    if last is None and brought:
        log.imports.undo(brought)
        return brought
    if last is None:
        raise RequestError("there is nothing to take back: no play was noted on this computer")
    return take_back(log, last, day, recorded_at)


def take_back(log: PracticeLog, last: Entry, day: dt.date, recorded_at: str) -> Undone:
    """Take an action back, whole; what it had replaced counts again.

    Args:
        log: the log.
        last: any play of the action that still stands.
        day: today; sheets of earlier days are not altered.
        recorded_at: the moment.
    """
    whole = log.entries(since=last.day, until=last.day, taken_back=True)
    standing = log.entries(since=last.day, until=last.day, kinds=(Kind.PLAY,), own=True)
    of_action = [entry for entry in standing if last.data and entry.data == last.data] or [last]
    replaced = {e.version for e in whole if e.kind is Kind.VOID and last.data and e.data == last.data}
    entries = [
        Entry(
            f"void {entry.uid}",
            Kind.VOID,
            max(day, last.day),
            recorded_at,
            takes_back=entry.uid,
            version=entry.seal,
        )
        for entry in of_action
    ]
    uids: dict[str, set[str]] = {}
    for entry in whole:
        if entry.kind is Kind.PLAY:
            uids.setdefault(entry.uid.rsplit(" ", 1)[0], set()).add(entry.uid)
    for entry in whole:
        if entry.seal in replaced:
            start = entry.uid.rsplit(" ", 1)[0]
            entries.append(replace(entry, uid=f"{start} {len(uids[start])}", recorded_at=recorded_at))
    log.append(entries)
    return Undone(last.sheet or "", last.day, tuple(sorted(_number(entry) for entry in of_action)))
