"""The coming days on paper: a sheet for each, in one document."""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

from generator.engraving.bind import Leaf, bind
from generator.files.atomic import place_all
from generator.files.home import Home, current_folder
from generator.files.text import slug
from generator.pages.own_page import NO_PAGE, OwnPage
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.week_ahead import pages_ahead
from generator.practice.words import help_of, paper_of, show_of, week_order
from generator.publish.sheet import MadeSheet, Printed, SheetOrder, make_sheet
from generator.rotation.words import long_day, weekday


@dataclass(frozen=True, slots=True)
class Week:
    """What was printed for some days.

    Attributes:
        session: the player.
        pages: the sheet of each day.
        printed: the files.
    """

    session: PlayerSession
    pages: tuple[TodaysPage, ...]
    printed: Printed


def week(
    now: dt.datetime,
    days: int,
    *,
    day: dt.date | None = None,
    home: Path | None = None,
    folder: Path | None = None,
    player: PlayerOptions | None = None,
    minutes: int | None = None,
    order: SheetOrder | None = None,
    paper: str | None = None,
    size: str | None = None,
    own_page: OwnPage = NO_PAGE,
    show: str | None = None,
) -> Week:
    """Print the sheet of a day and those of the days after it, each as if those before had been played.

    Args:
        now: this moment, with its time zone.
        days: how many.
        day: the first; the day of `now` by default.
        home: folder of plan, log and cache.
        folder: where a plan.toml is looked for first.
        player: what is asked for in place of the plan.
        minutes: in place of the plan's, rest included.
        order: folder, formats, title and the like.
        paper: in place of the plan's.
        size: print size in place of the plan's.
        own_page: staff and side of the paper in place of the plan's reader's.
        show: notes, outline or both, in place of the plan's.

    Raises:
        RequestError: the plan has mistakes, or there is nothing to play.
        MachineError: LilyPond, the log or the disk failed; nothing half-written is left.
    """
    order, options = order or SheetOrder(), player or PlayerOptions()
    session = open_session(Home.at(home), options, folder or current_folder())
    request = DayRequest(
        day=day or now.date(),
        clock=now.date(),
        moment=now,
        minutes=minutes,
        otherwise=any((minutes, options.level, options.low, options.high)),
    )
    first = todays_page(session, request)
    pages = (first, *pages_ahead(session, request, first.sheet, days))
    order = replace(
        order,
        paper=paper_of(session.plan, paper, size, own_page),
        show=show_of(session.plan, show),
        help=order.help or help_of(session),
    )
    dates = [page.sheet.day for page in pages]
    made = [
        make_sheet(week_order(page.sheet, session.plan, order, dates), page.player, page.exercises)
        for page in pages
    ]
    return Week(session, pages, _placed(order, pages, made))


def _placed(order: SheetOrder, pages: tuple[TodaysPage, ...], made: list[MadeSheet]) -> Printed:
    """The files in place; the PDFs bound as one, with a bookmark for each day."""
    files: dict[str, bytes] = {}
    leaves: list[Leaf] = []
    for page, sheet in zip(pages, made, strict=True):
        for name, data in sheet.files.items():
            if name.endswith(".pdf"):
                leaves.append(Leaf(f"{weekday(page.sheet.day)} {long_day(page.sheet.day)}", data))
            else:
                files[name] = data
    first = pages[0].sheet
    if leaves:
        stem = f"sheets-{slug(first.instrument, 32)}-{first.day}-{len(pages)}-days-{first.code.lower()}"
        files = {f"{stem}.pdf": bind("Sheets of the coming days", leaves), **files}
    warnings = tuple(dict.fromkeys(warning for sheet in made for warning in sheet.warnings))
    return Printed(place_all({order.out / name: data for name, data in files.items()}), first.code, warnings)
