"""The coming days on paper: a sheet for each, on the assumption that those before it were played and felt fine.

They are kept in the log like any other, so that their rows can be noted by code; on its day `today` chooses anew all
the same. They promise nothing and mark no rows, because whoever skips one plays the next ones too early.
"""

import datetime as dt
from dataclasses import replace
from hashlib import sha256
from itertools import islice

from generator.errors import RequestError
from generator.practice.forecast import coming, meets
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import AHEAD, SheetRecord, SheetRow, code_for, sheets_of
from generator.practice.today import DayRequest, TodaysPage, rebuilt, with_reasons
from generator.practice.wardrobe import Wardrobe
from generator.practice.words import thread_words
from generator.practice_log import PracticeLog, utc_text
from generator.rotation import RULE_VERSION

MOST_DAYS = 14
_WEEK = 7


def pages_ahead(
    session: PlayerSession, request: DayRequest, first: SheetRecord, days: int
) -> tuple[TodaysPage, ...]:
    """The sheets of the days after the first one.

    Args:
        session: the player.
        request: for the first day.
        first: its sheet.
        days: how many days in all.

    Raises:
        RequestError: there is nothing to play, or the calendar ends before.
        OutputError: the log cannot be read or written.
    """
    if (dt.date.max - request.day).days < _WEEK * days:
        raise RequestError(f"the calendar ends on {dt.date.max}; ask for fewer days")
    if request.minutes:
        session = replace(session, plan=replace(session.plan, minutes=request.minutes))
    pages: list[TodaysPage] = []
    with PracticeLog.open(session.home.log) as log:
        for one in coming(session, request.day, request.moment, _dates(session, request.day, days)):
            if one.day == request.day:
                continue
            mark = sha256(f"{AHEAD} {first.code} {first.mark} {one.day}".encode()).hexdigest()[:16]
            before = sheets_of(log, one.day, None)
            known = next((sheet for sheet in before if sheet.mark == mark), None)
            if known is not None:
                made = rebuilt(known, session.player, session.plan.syllables)
                pages.append(TodaysPage(known, session.player, made, again=True))
                continue
            request_then = replace(request, day=one.day)
            worn = Wardrobe(one.session, request_then, log, one.events).dress(one.sheet, one.items)
            rows = tuple(replace(row, floor=False) for row, _ in worn)
            taken = [*(sheet.code for sheet in before), *request.taken]
            sheet = _record(one.session, one.day, rows, mark, code_for(one.day, [mark, *rows], taken))
            sheet = replace(
                sheet,
                minutes=one.sheet.playing_minutes + one.sheet.rest_minutes,
                rest=one.sheet.rest_minutes,
                thread=thread_words(session.plan.theme, one.sheet.thread),
            )
            log.append([sheet.entry(utc_text(request.moment))])
            exercises = with_reasons([made for _, made in worn], sheet)
            pages.append(TodaysPage(sheet, session.player, exercises, again=False))
    return tuple(pages)


def _dates(session: PlayerSession, start: dt.date, days: int) -> list[dt.date]:
    """A day and those after it, of a section the days on which it meets."""
    later = (start + dt.timedelta(days=number) for number in range(1, _WEEK * days))
    return [start, *islice((day for day in later if meets(session, day)), days - 1)]


def _record(
    session: PlayerSession, day: dt.date, rows: tuple[SheetRow, ...], mark: str, code: str
) -> SheetRecord:
    return SheetRecord(
        code=code,
        instrument=session.player.instrument.name,
        day=day,
        number=1,
        mark=mark,
        level=session.player.level,
        low=session.player.compass.low.name,
        high=session.player.compass.high.name,
        minutes=0,
        rest=0,
        promise=0,
        rows=rows,
        notes=(),
        rule=RULE_VERSION,
        usual=session.plan.minutes,
        mood=AHEAD,
    )
