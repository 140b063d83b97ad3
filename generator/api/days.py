"""A player's day: the sheet that is due, printed and kept in the log."""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

from generator.engraving.lilypond import Press
from generator.files.home import Home, current_folder
from generator.pages.own_page import NO_PAGE, OwnPage
from generator.practice.circumstances import Mood
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.words import help_of, paper_of, sheet_order, show_of
from generator.publish.press import press_for
from generator.publish.sheet import Printed, SheetOrder, print_sheet


@dataclass(frozen=True, slots=True)
class Today:
    """What was printed for a day.

    Attributes:
        session: the player: plan, instrument and list.
        page: the sheet as the log keeps it, and its exercises.
        printed: the files.
    """

    session: PlayerSession
    page: TodaysPage
    printed: Printed


def today(
    now: dt.datetime,
    *,
    day: dt.date | None = None,
    home: Path | None = None,
    folder: Path | None = None,
    player: PlayerOptions | None = None,
    minutes: int | None = None,
    number: int = 1,
    together: bool = False,
    mood: Mood | None = None,
    order: SheetOrder | None = None,
    paper: str | None = None,
    size: str | None = None,
    own_page: OwnPage = NO_PAGE,
    show: str | None = None,
    press: Press | None = None,
) -> Today:
    """Choose what is due, print it, and note the sheet in the log.

    The same day gives the same sheet, whatever was played meanwhile.

    Args:
        now: this moment, with its time zone; the log notes when it was written.
        day: whose sheet is wanted; the day of `now` by default.
        home: folder of plan, log and cache; by default where this system keeps such things.
        folder: where a plan.toml is looked for first; by default the current folder.
        player: what is asked for in place of the plan: another plan file, instrument, level or range.
        minutes: in place of the plan's, rest included.
        number: 2 for a second sheet the same day.
        together: the slowest key sets the tempo of its row.
        mood: no sound may be made, or strength is lacking.
        order: folder, formats, title and the like.
        paper: in place of the plan's.
        size: print size in place of the plan's.
        own_page: staff and side of the paper in place of the plan's reader's.
        show: notes, outline or both, in place of the plan's.
        press: a LilyPond started with the same formats by `press_for`.

    Raises:
        RequestError: the plan has mistakes, all of them told, or there is nothing to play.
        MachineError: LilyPond, the log or the disk failed.
    """
    order, options = order or SheetOrder(), player or PlayerOptions()
    with press_for(order.formats, press) as ready:
        session = open_session(Home.at(home), options, folder or current_folder())
        request = DayRequest(
            day=day or now.date(),
            clock=now.date(),
            moment=now,
            minutes=minutes,
            number=number,
            together=together,
            mood=mood or Mood(),
            otherwise=together or any((mood, minutes, options.level, options.low, options.high)),
        )
        page = todays_page(session, request)
        order = replace(
            order,
            paper=paper_of(session.plan, paper, size, own_page),
            show=show_of(session.plan, show),
            help=order.help or help_of(session),
        )
        worded = sheet_order(page.sheet, session.plan, order)
        printed = print_sheet(worded, page.player, page.exercises, ready)
    return Today(session, page, printed)
