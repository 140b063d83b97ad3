"""A section's day: the sheet that is due for all, as parts, score and cover, kept in the section's own log."""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

from generator.engraving.parallel import Progress
from generator.files.atomic import place_in
from generator.files.home import Home
from generator.pages.own_page import NO_PAGE, OwnPage
from generator.practice.band import Band
from generator.practice.band_session import open_band
from generator.practice.band_words import day_words, requests_of
from generator.practice.circumstances import Mood
from generator.practice.player_session import PlayerSession
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.week_ahead import pages_ahead
from generator.practice.words import help_of, paper_of
from generator.publish.handout import HandedOut, HandoutOrder, MadeHandout, make_handout
from generator.section.day_sheet import day_rehearsal
from generator.section.rehearsal import Rehearsal


@dataclass(frozen=True, slots=True)
class BandDay:
    """What was printed for a day of a section.

    Attributes:
        session: the section: who plays, plan and list.
        page: the sheet as the log keeps it, and its exercises in concert pitch.
        handed: the files.
    """

    session: PlayerSession
    page: TodaysPage
    handed: HandedOut


def today_together(
    now: dt.datetime,
    section: Path,
    *,
    day: dt.date | None = None,
    days: int = 1,
    home: Path | None = None,
    plan: Path | None = None,
    level: str | None = None,
    minutes: int | None = None,
    number: int = 1,
    together: bool = False,
    mood: Mood | None = None,
    order: HandoutOrder | None = None,
    paper: str | None = None,
    size: str | None = None,
    own_page: OwnPage = NO_PAGE,
    progress: Progress = lambda _done, _all: None,
) -> tuple[BandDay, ...]:
    """Choose what is due for a section, print a part for every chair, and note the sheet in the section's own log.

    The same day gives the same sheet, whatever was played meanwhile.

    Args:
        now: this moment, with its time zone.
        section: the section file, or a roster.
        day: whose sheet is wanted; the day of `now` by default.
        days: how many days; those after the first are a forecast, as if those before had been played.
        home: folder of logs and plans; by default where this system keeps such things.
        plan: in place of the section's own.
        level: of the built-in plan, in place of that of most chairs.
        minutes: in place of the plan's.
        number: 2 for a second sheet the same day.
        together: the slowest key sets the tempo of its row.
        mood: strength is lacking.
        order: folder, formats, score and the like.
        paper: in place of the plan's.
        size: print size in place of the plan's.
        own_page: staff and side of the paper.
        progress: told how many documents of how many are done.

    Raises:
        RequestError: section or plan have mistakes, all of them told, or there is nothing to play.
        MachineError: LilyPond, the log or the disk failed.
    """
    session = open_band(Home.at(home), section, plan, level)
    request = DayRequest(
        day=day or now.date(),
        clock=now.date(),
        moment=now,
        minutes=minutes,
        number=number,
        together=together,
        mood=mood or Mood(),
        otherwise=together or any((mood, minutes, level)),
    )
    order = replace(
        order or HandoutOrder(),
        paper=paper_of(session.plan, paper, size, own_page),
        help=order.help if order and order.help else help_of(session),
    )
    first = todays_page(session, request)
    pages = [first, *(pages_ahead(session, request, first.sheet, days) if days > 1 else ())]
    made = [_made(session, session.band, page, order, progress) for page in pages if session.band]
    return tuple(
        BandDay(
            session,
            page,
            HandedOut(
                place_in(order.out / one.name, one.files), one.given, one.warnings, one.code, rehearsal
            ),
        )
        for page, (one, rehearsal) in zip(pages, made, strict=True)
    )


def _made(
    session: PlayerSession, band: Band, page: TodaysPage, order: HandoutOrder, progress: Progress
) -> tuple[MadeHandout, Rehearsal]:
    """A day's sheet as files that lie nowhere yet."""
    section = band.section
    worded = replace(
        order,
        day=day_words(session, page.sheet),
        band=order.band or band.name,
        band_note=order.band_note or section.note,
        note=" ".join(word for word in (order.note, *page.sheet.on_page) if word),
    )
    rehearsal = day_rehearsal(section, requests_of(page.sheet))
    return make_handout(worded, rehearsal, progress), rehearsal
