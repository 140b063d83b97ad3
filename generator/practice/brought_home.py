"""What a sheet in one file brings home: a line of capitals, digits, points and spaces, typed, copied or scanned.

    QH9Q 20270307 1.3.84 2.4 5.2.60 +MMR

Code and day of the sheet, then for each exercise its number, how it felt from 1 lost to 4 secure and, if there was one,
the tempo; at last three letters made of all that stands before, so that a slip of the finger is not noted. The same
line twice, or a later line of the same sheet that holds more, notes what is new and nothing else.
"""

import datetime as dt
import re
from dataclasses import dataclass

from generator.errors import RequestError, shown
from generator.practice.played import Noted, Said, note_played
from generator.practice.sheet_record import SheetRecord
from generator.practice.taps import TAP, tap_of
from generator.practice_log import Entry, Kind, PracticeLog
from generator.publish.codes import LETTERS

LONGEST = 2000
"""Characters: those of a hundred exercises."""
_LINE = re.compile(r"([A-Z0-9]{4}) (\d{8})((?: \d{1,3}\.[1-4](?:\.\d{1,3})?)+) \+([A-Z0-9]{3})", re.ASCII)
_FACTOR, _PRIME = 37, 32749  # the greatest prime that three letters of 32 hold
_FROM = "from "
_SLOWEST, _FASTEST = 20, 400


@dataclass(frozen=True, slots=True)
class BroughtHome:
    """What such a line says.

    Attributes:
        code: of the sheet.
        day: of the sheet.
        said: how it went, by number.
    """

    code: str
    day: dt.date
    said: dict[int, Said]


def read_home(text: str) -> BroughtHome:
    """Read a line; case and white space do not matter.

    Args:
        text: as typed, copied or scanned.

    Raises:
        RequestError: it is none, or not all of it is as it was written.
    """
    line = " ".join(text[: LONGEST + 1].upper().split())
    match = _LINE.fullmatch(line)
    if match is None or len(text) > LONGEST:
        raise RequestError(
            f"{shown(line, 40)} is no line of a sheet's file; it reads like QH9Q 20270307 1.3.84 2.4 +"
            f"{checked('QH9Q 20270307 1.3.84 2.4')}"
        )
    told, _, check = line.rpartition(" +")
    if check != checked(told):
        raise RequestError(
            "a sign of the line is wrong or missing, for its last letters do not fit; type it again"
        )
    try:
        day = dt.datetime.strptime(match[2], "%Y%m%d").date()  # noqa: DTZ007  # a date has no zone
    except ValueError:
        raise RequestError(f"{match[2]} in the line is no day of the calendar") from None
    said: dict[int, Said] = {}
    for word in match[3].split():
        number, felt, *tempo = map(int, word.split("."))
        if tempo and not _SLOWEST <= tempo[0] <= _FASTEST:
            raise RequestError(f"{tempo[0]} in the line is no tempo from {_SLOWEST} to {_FASTEST}")
        said[number] = Said(felt, tempo[0] if tempo else None)
    return BroughtHome(match[1], day, said)


def checked(line: str) -> str:
    """The three letters that stand at the end of a line.

    Any one sign that is another, and any two neighbours that change places, make other letters.

    >>> checked("QH9Q 20270307 1.3.84 2.4") == checked("QH9Q 20270307 1.3.48 2.4")
    False
    """
    total = 7
    for sign in line:
        total = (total * _FACTOR + ord(sign)) % _PRIME
    return "".join(LETTERS[total // part % 32] for part in (1024, 32, 1))


def note_home(log: PracticeLog, sheet: SheetRecord, home: BroughtHome, recorded_at: str) -> Noted:
    """Note what a line says and no line said before, as one action.

    Args:
        log: the log.
        sheet: the sheet with its code.
        home: what it says.
        recorded_at: the moment, as `utc_text` writes it.

    Returns:
        What became of it; what was brought home before counts as the same.

    Raises:
        RequestError: the sheet has no such number.
        OutputError: the log cannot be written.
    """
    wrong = [number for number in home.said if not 1 <= number <= len(sheet.rows)]
    if wrong:
        raise RequestError(f"sheet {sheet.code} has the numbers 1 to {len(sheet.rows)}, not {wrong[0]}")
    before = {
        _name(int(entry.uid.split(" ")[2]), Said(entry.rating, entry.tempo))
        for entry in log.entries(since=home.day, until=home.day, kinds=(Kind.PLAY,), taken_back=True)
        if entry.sheet == sheet.code and _came_home(entry)
    }
    new = {number: said for number, said in home.said.items() if _name(number, said) not in before}
    old = tuple(sorted(number for number in home.said if number not in new))
    noted = note_played(log, sheet, new, home.day, recorded_at, {TAP: f"{_FROM}{home.code}"})
    return Noted(noted.new, noted.changed, tuple(sorted((*noted.same, *old))), noted.reached, noted.at_goal)


def _came_home(entry: Entry) -> bool:
    return (tap_of(entry) or "").startswith(_FROM) and entry.uid.startswith("play ")


def _name(number: int, said: Said) -> str:
    return f"{number} {said.felt} {said.tempo}"
