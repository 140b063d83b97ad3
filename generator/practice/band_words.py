"""The words round a day's sheet of a section. Whoever directs counts rehearsals, a player practice days."""

import re
from collections.abc import Iterable

from generator.catalogue.tables import shared_catalogue
from generator.exercise.request import Request
from generator.files.text import slug
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import SheetRecord
from generator.practice.words import promise_words, told_reason
from generator.publish.day_words import DayRow, DayWords
from generator.rotation.words import count, long_day, weekday

REHEARSAL = "rehearsal"
_A_DAY = re.compile(r"(minutes?(?: of playing)?) a day")
_FELT = "Felt: 1 lost, 2 shaky, 3 steady, 4 secure."
_ORDINALS = ("", "", " second", " third", " fourth", " fifth")


def in_rehearsals(text: str) -> str:
    """A sentence of the rotation as whoever directs would say it.

    >>> in_rehearsals("last played 9 days ago; wanted every 7 practice days")
    'last played 9 days ago; wanted every 7 rehearsals'
    >>> in_rehearsals("15 minutes a day, 3 of them rest"), in_rehearsals("at 12 minutes of playing a day")
    ('15 minutes a rehearsal, 3 of them rest', 'at 12 minutes of playing a rehearsal')
    """
    return _A_DAY.sub(rf"\1 a {REHEARSAL}", text.replace("practice day", REHEARSAL))


def requests_of(sheet: SheetRecord) -> list[Request]:
    """The exercises of a sheet, in concert keys."""
    return [parse(row.phrase, shared_catalogue(), LOGGED) for row in sheet.rows]


def time_words(sheet: SheetRecord) -> str:
    """``12 minutes of playing, 3 to speak and to rest``."""
    playing = f"{count(sheet.minutes - sheet.rest, 'minute')} of playing"
    return f"{playing}, {sheet.rest} to speak and to rest" if sheet.rest else playing


def day_words(session: PlayerSession, sheet: SheetRecord) -> DayWords:
    """What the pages of a day say.

    Args:
        session: the section.
        sheet: its sheet.
    """
    day = f"{weekday(sheet.day)} {long_day(sheet.day)}"
    file = session.band.file.name if session.band else ""
    promise = promise_words(sheet, REHEARSAL)
    together = "Everyone plays the same bars at the same time, each in their own octave."
    return DayWords(
        title=f"Today\u2019s{_ORDINALS[min(sheet.number, 5)]} sheet",
        day=day,
        code=sheet.code,
        stem=f"{slug(session.plan.player, 32)}-{sheet.day}-{sheet.code.lower()}",
        rows=tuple(DayRow(in_rehearsals(told_reason(row, sheet.rows)), row.minutes) for row in sheet.rows),
        heading=" \u00b7 ".join(_said((day, sheet.thread, time_words(sheet)))),
        promise=(
            f"{promise[:1].upper()}{promise[1:]}. {together}",
            f"To note what was played: scalewright played --section {file} all, or 1 2 4 --tempo 84 --felt 3. "
            + _FELT,
        ),
    )


def _said(words: Iterable[str]) -> list[str]:
    return [word for word in words if word]
