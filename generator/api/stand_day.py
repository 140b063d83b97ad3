"""A day's sheet on the page: seen without noting anything, begun, played, taken back."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.api.desk import Desk, StandSettings, moment_of, stamp
from generator.api.exercise_view import View, exercise_view
from generator.api.refusals import MovedError
from generator.engraving.render import signs
from generator.errors import RequestError, shown
from generator.files.version import VERSION
from generator.pages.screen import Screen
from generator.practice.log_care import daily_care
from generator.practice.looking import look_at_day
from generator.practice.played import Said
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import SheetRecord, SheetRow, sheet_called, sheets_of
from generator.practice.taps import Tap, note_tap, tap_of, tapped, undo_tap
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.words import promise_words, rest_words, sheet_order
from generator.practice_log import Entry, Kind, PracticeLog, utc_text
from generator.publish.sheet import SheetOrder
from generator.rotation.words import count, long_day, weekday

_SEEN = "today"
FELT = ("lost", "shaky", "steady", "secure")
"""How an exercise felt, from 1 to 4."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What became of a note.

    Attributes:
        again: it had been noted before.
        sheet: the sheet.
        number: the exercise on it.
        uid: of what counts now.
        waits: when the exercise comes round again.
    """

    again: bool
    sheet: str
    number: int
    uid: str
    waits: str


def start_view(desk: Desk) -> View:
    """Who plays what, for the head of the page.

    Raises:
        RequestError: the plan has mistakes.
        OutputError: plan or log cannot be read.
    """
    return player_view(desk.session(), desk.settings(), desk.today)


def player_view(session: PlayerSession, settings: StandSettings, today: dt.date) -> View:
    """Who plays what, as plain data."""
    instrument = session.player.instrument
    return {
        "player": session.plan.player,
        "instrument": instrument.name,
        "label": instrument.label,
        "level": session.player.level,
        "plan": str(session.path) if session.path else None,
        "guessed": session.guessed,
        "date": today.isoformat(),
        "version": VERSION,
        "reader": {"size": settings.size},
        "home": str(session.home.log.parent),
        "settings": settings.view,
    }


def seen_today(desk: Desk) -> tuple[PlayerSession, TodaysPage]:
    """Today's sheet, whether it was begun or not; nothing is noted.

    Raises:
        RequestError: the plan has mistakes, or there is nothing to play.
        OutputError: plan or log cannot be read.
    """
    with desk.lock:
        session = desk.session()
        key = _state(desk, session)
        seen: tuple[str, PlayerSession, TodaysPage] | None = desk.memory.get(_SEEN)
        if seen is None or seen[0] != key:
            page = look_at_day(session, _request(desk, desk.today))
            seen = desk.memory[_SEEN] = key, session, page
        return seen[1], seen[2]


def _state(desk: Desk, session: PlayerSession) -> str:
    """Changes when anything that a day's sheet comes from does."""
    log = session.home.log
    plan = session.path
    files = (log, log.with_name(f"{log.name}-wal"), session.home.passages, *([plan] if plan else []))
    return repr((desk.today, desk.options(), session.repertoire.mark, *map(stamp, files)))


def today_view(desk: Desk, screen: Screen | None) -> View:
    """Today's sheet with its pictures.

    Args:
        desk: the desk.
        screen: the room for music; without one there are no pictures.

    Raises:
        RequestError: as `seen_today`.
        MachineError: LilyPond failed.
    """
    session, page = seen_today(desk)
    done = done_on(desk, page.sheet, page.sheet.day)
    pictures = [desk.press.all_pictures(made, screen) for made in page.exercises] if screen else []
    return sheet_view(session, page, desk.settings().a4, done, pictures)


def sheet_view(
    session: PlayerSession,
    page: TodaysPage,
    a4: int,
    done: Mapping[int, View],
    pictures: Sequence[Sequence[Sequence[str]]] = (),
) -> View:
    """A day's sheet as plain data.

    Args:
        session: the player.
        page: the sheet.
        a4: the A above middle C, in Hz.
        done: what was noted of it, by number.
        pictures: of each exercise, or none.
    """
    sheet = page.sheet
    order = sheet_order(sheet, session.plan, SheetOrder())
    return {
        "sheet": sheet.code if page.again else None,
        "code": sheet.code,
        "date": sheet.day.isoformat(),
        "day": long_day(sheet.day),
        "weekday": weekday(sheet.day),
        "title": order.title,
        "instrument": page.player.instrument.label,
        "minutes": sheet.minutes,
        "rest_minutes": sheet.rest,
        "promise": promise_words(sheet),
        "thread": signs(sheet.thread),
        "notes": [signs(text) for _, text in sheet.notes],
        "remarks": [*page.remarks],
        "starter": session.path is None,
        "items": _items(page, a4, done, pictures),
    }


def picture_view(desk: Desk, number: int, screen: Screen) -> View:
    """The pictures of one exercise of today's sheet.

    Raises:
        RequestError: there is no such number, and as `seen_today`.
        MachineError: LilyPond failed.
    """
    _, page = seen_today(desk)
    _row(page.sheet, number)
    own, *more = desk.press.all_pictures(page.exercises[number - 1], screen)
    return {"number": number, "code": page.sheet.code, "pictures": own, "more": more}


def _items(
    page: TodaysPage, a4: int, done: Mapping[int, View], pictures: Sequence[Sequence[Sequence[str]]]
) -> list[View]:
    found: list[View] = []
    for number, (row, exercise) in enumerate(zip(page.sheet.rows, page.exercises, strict=True), 1):
        found.append(
            {
                "rest": False,
                "number": number,
                "reason": signs(row.reason[:1].upper() + row.reason[1:]),
                "first": row.floor,
                "minutes": row.minutes,
                "aim": row.aim,
                "goal": row.goal,
                "done": done.get(number),
                **exercise_view(exercise, page.player, a4, *(pictures[number - 1] if pictures else ())),
            }
        )
        if row.rest_after:
            found.append({"rest": True, "seconds": row.rest_after, "words": rest_words(row.rest_after)})
    return found


def done_on(desk: Desk, sheet: SheetRecord, day: dt.date) -> dict[int, dict[str, Any]]:
    """What was noted of a sheet on a day, by number."""
    path = desk.session().home.log
    if not path.exists():
        return {}
    with PracticeLog.open(path) as log:
        plays = log.entries(since=day, until=day, kinds=(Kind.PLAY,))
    return {
        _number(entry): {
            "felt": FELT[(entry.rating or 3) - 1],
            "tempo": entry.tempo,
            "uid": tap_of(entry) or entry.uid,
        }
        for entry in plays
        if entry.sheet == sheet.code and entry.instrument == sheet.instrument
    }


def day_view(desk: Desk, day: str) -> View:
    """What was noted on a day of the sheets of that day.

    Raises:
        RequestError: it is no day.
        OutputError: the log cannot be read.
    """
    when = moment_of(desk, day)
    path = desk.session().home.log
    found: View = {"day": when.isoformat(), "sheets": []}
    if not path.exists():
        return found
    with PracticeLog.open(path) as log:
        sheets = sheets_of(log, when, None)
    for sheet in sheets:
        found["sheets"].append({"sheet": sheet.code, "done": done_on(desk, sheet, when)})
    return found


def begin_today(desk: Desk, day: dt.date | None = None) -> TodaysPage:
    """Note the sheet of a day as begun, once.

    Args:
        desk: the desk.
        day: the day; today by default.

    Raises:
        RequestError: as `seen_today`.
        OutputError: the log cannot be written.
    """
    with desk.lock:
        return todays_page(desk.session(), _request(desk, day or desk.today))


def note(
    desk: Desk,
    code: str,
    number: int,
    felt: str,
    uid: str,
    *,
    tempo: int | None = None,
    minutes: int | None = None,
    day: str | None = None,
) -> Heard:
    """Note that an exercise was played: once for each uid, however often it is sent.

    A sheet of the day that was only looked at so far is begun by it.

    Args:
        desk: the desk.
        code: of the sheet.
        number: of the exercise.
        felt: one of `FELT`.
        uid: the name the page gave this note.
        tempo: beats a minute reached, in the exercise's own beat.
        minutes: it took.
        day: the player's own date of it, like 2027-03-07; today by default.

    Raises:
        MovedError: the day has another sheet by now.
        RequestError: something cannot be.
        OutputError: the log cannot be written.
    """
    if felt not in FELT:
        raise RequestError(f"felt is {', '.join(FELT[:-1])} or {FELT[-1]}, not {shown(felt)}")
    when = moment_of(desk, day)
    now = desk.now()
    with desk.lock:
        session = desk.session()
        sheet = _known(session, code, desk.today) or _begun(desk, code, when)
        said = Said(FELT.index(felt) + 1, tempo, minutes)
        with PracticeLog.open(session.home.log) as log:
            new = note_tap(log, sheet, Tap(uid, number, said, when), utc_text(now))
            daily_care(log, now.date())
            known = tapped(log, uid, when)
        # It may say what was said already under another name.
        counting = uid if known else done_on(desk, sheet, when).get(number, {}).get("uid", uid)
    return Heard(not new, sheet.code, number, counting, _waits(sheet, number))


def take_back(desk: Desk, uid: str) -> bool:
    """Take a note back; whether it still stood.

    Raises:
        RequestError: nothing of that name was noted.
        OutputError: the log cannot be written.
    """
    now = desk.now()
    with desk.lock, PracticeLog.open(desk.session().home.log) as log:
        return undo_tap(log, uid, now.date(), utc_text(now))


def _known(session: PlayerSession, code: str, today: dt.date) -> SheetRecord | None:
    if not session.home.log.exists():
        return None
    with PracticeLog.open(session.home.log) as log:
        return sheet_called(log, code, today + dt.timedelta(days=1))


def _begun(desk: Desk, code: str, day: dt.date) -> SheetRecord:
    """The sheet of a day, begun now because something of it was played.

    Raises:
        MovedError: it has another code; nothing is begun then.
    """
    session = desk.session()
    seen = look_at_day(session, _request(desk, day))
    if seen.sheet.code != code.strip().upper():
        raise MovedError(
            f"there is no sheet {shown(code.upper())}; the one of {long_day(day)} is {seen.sheet.code}"
        )
    return begin_today(desk, day).sheet


def _request(desk: Desk, day: dt.date) -> DayRequest:
    now, options = desk.now(), desk.options()
    return DayRequest(
        day=day,
        clock=now.date(),
        moment=now,
        otherwise=any((options.level, options.low, options.high)),
    )


def _row(sheet: SheetRecord, number: int) -> SheetRow:
    if not 1 <= number <= len(sheet.rows):
        raise RequestError(f"sheet {sheet.code} has the numbers 1 to {len(sheet.rows)}, not {number}")
    return sheet.rows[number - 1]


def _waits(sheet: SheetRecord, number: int) -> str:
    """When an exercise comes round again at the latest."""
    row = _row(sheet, number)
    if not sheet.promise or not row.floor:
        return "noted"
    if sheet.promise == 1:
        return "comes round every practice day"
    return f"comes round again within {count(sheet.promise, 'practice day')}"


def _number(entry: Entry) -> int:
    part = entry.uid.split(" ")[2:3]
    return int(part[0]) if part and part[0].isdigit() else 0
