"""Notes that come from a screen: each has a name the screen gave it, and however often it comes it is noted once.

A screen sends a tap until it hears that it was noted; so it may come twice, or after it was taken back. The name is
kept in the data of the entry, and a tap whose name the log knows, standing or taken back, does nothing.
"""

import datetime as dt
import json
from dataclasses import dataclass

from generator.errors import RequestError, shown
from generator.practice.played import Noted, Said, note_played, take_back
from generator.practice.sheet_record import SheetRecord
from generator.practice_log import Entry, Kind, PracticeLog

TAP = "tap"
"""Name of the field in an entry's data."""
_BACK = dt.timedelta(days=500)
"""How far back a tap is looked for: longer than any page keeps one that was not delivered."""


@dataclass(frozen=True, slots=True)
class Tap:
    """A note from a screen.

    Attributes:
        uid: its name.
        number: of the exercise on the sheet.
        said: how it went.
        day: the player's own date of it.
    """

    uid: str
    number: int
    said: Said
    day: dt.date


def note_tap(log: PracticeLog, sheet: SheetRecord, tap: Tap, recorded_at: str) -> bool:
    """Note a tap once.

    Args:
        log: the log.
        sheet: the sheet.
        tap: what was tapped.
        recorded_at: the moment, as `utc_text` writes it.

    Returns:
        Whether it is new; False if it was noted before.

    Raises:
        RequestError: the sheet has no such number, or it says what cannot be.
        OutputError: the log cannot be written.
    """
    if tapped(log, tap.uid, tap.day):
        return False
    if not 1 <= tap.number <= len(sheet.rows):
        raise RequestError(f"sheet {sheet.code} has the numbers 1 to {len(sheet.rows)}, not {tap.number}")
    noted: Noted = note_played(log, sheet, {tap.number: tap.said}, tap.day, recorded_at, {TAP: tap.uid})
    return bool(noted.new or noted.changed or noted.same)


def undo_tap(log: PracticeLog, uid: str, day: dt.date, recorded_at: str) -> bool:
    """Take back what a tap noted; what it had replaced counts again.

    Args:
        log: the log.
        uid: of the tap, or of the very entry.
        day: today.
        recorded_at: the moment.

    Returns:
        Whether anything was taken back; False if that was done before.

    Raises:
        RequestError: nothing of that name was noted.
        OutputError: the log cannot be written.
    """
    found = tapped(log, uid, day)
    if not found:
        raise RequestError(f"nothing was noted under {shown(uid)}, so there is nothing to take back")
    last = found[-1]
    standing = {entry.seal for entry in log.entries(since=last.day, until=last.day, kinds=(Kind.PLAY,))}
    if last.seal not in standing:
        return False
    take_back(log, last, day, recorded_at)
    return True


def tapped(log: PracticeLog, uid: str, day: dt.date) -> list[Entry]:
    """The plays a name stands for, also those taken back, in the order of saving."""
    since = day - _BACK if day - dt.date.min > _BACK else dt.date.min
    plays = log.entries(since=since, kinds=(Kind.PLAY,), taken_back=True)
    return [entry for entry in plays if uid in (entry.uid, tap_of(entry))]


def tap_of(entry: Entry) -> str | None:
    """The name that a screen gave an entry, or None."""
    if not entry.data or TAP not in entry.data:
        return None
    try:
        data = json.loads(entry.data)
    except (ValueError, RecursionError):
        return None
    found = data.get(TAP) if isinstance(data, dict) else None
    return found if isinstance(found, str) else None
