"""``scalewright today``: the exercises that are due, each with its reason."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import again, clock, options
from generator.cli import practice_options as practice
from generator.cli.messages import Message, hush, tell
from generator.errors import RequestError, shown
from generator.exchange.playback import Playback
from generator.files.home import PLAN, Home
from generator.pages.sheet import SHOWS
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.words import minutes_words, paper_of, promise_words, show_of
from generator.publish import sheet as printing


def today(
    date: practice.Day = None,
    minutes: practice.Minutes = None,
    instrument: options.Instrument = None,
    level: practice.Level = None,
    low: options.Low = None,
    high: options.High = None,
    plan: practice.PlanFile = None,
    sheet_number: Annotated[
        int, typer.Option("--sheet-number", min=1, max=20, help="2 for a second sheet the same day.")
    ] = 1,
    hold_together: Annotated[
        bool, typer.Option("--hold-together", help="The slowest key sets the tempo of its row.")
    ] = False,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: practice.PaperSize = None,
    print_: practice.Print = None,
    show: practice.ShowMode = None,
    title: options.Title = "",
    note: options.Note = "",
    click: options.Click = "every",
    drone: options.Drone = "none",
    pitch: options.Pitch = 440,
    count_in: options.CountIn = 1,
    midi_each: options.MidiEach = False,
    home: practice.HomeFolder = None,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print today's sheet: what has waited longest and what is due, inside your notes and minutes."""
    hush(quiet)
    if show is not None and show not in SHOWS:
        raise RequestError(f"unknown --show {shown(show)}; it can be {', '.join(SHOWS)}")
    order = printing.SheetOrder(
        out=out,
        formats=printing.parse_formats(format_),
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=again.cache_at(home, off=no_cache),
    )
    morning = DayRequest(
        clock.day_named(date),
        clock.today(),
        clock.now(),
        minutes,
        sheet_number,
        hold_together,
        otherwise=hold_together or any((minutes, level, low, high)),
    )
    asked = PlayerOptions(plan, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    found: list[tuple[PlayerSession, TodaysPage, again.Stamps]] = []

    def build() -> printing.PrintContent:
        session = open_session(Home.at(home), asked, Path.cwd())
        page = todays_page(session, morning)
        found.append((session, page, _log(session)))
        whole = replace(order, paper=paper_of(session.plan, paper, print_), show=show_of(session.plan, show))
        return page.content(session.plan, whole)

    printed = printing.print_sheet(order, build)
    session, page, log = found[0]
    tell(_lines(session, page))
    tell(Message(warning, loud=True) for warning in printed.warnings)
    for path in printed.paths:
        print(path)
    if not printed.warnings:
        next_time = _lines(session, replace(page, again=True, unfit=()))
        again.keep(printed.files, next_time, _read(session, plan), log, quiet=quiet)


def _log(session: PlayerSession) -> again.Stamps:
    """The log as the sheet left it; beside it is the part that SQLite has not yet put into it."""
    log = session.home.log
    return again.stamps([log, log.with_name(f"{log.name}-wal")])


def _read(session: PlayerSession, plan: Path | None) -> again.Stamps:
    """Everything the list came from, and where a plan would be found before the one that was."""
    places = [plan] if plan else [Path(PLAN), session.home.plan]
    folder = session.path.parent if session.path else Path()
    return again.stamps([*places, *(folder / Path(row.name).expanduser() for row in session.plan.lists)])


def _lines(session: PlayerSession, page: TodaysPage) -> Iterator[Message]:
    """A line for each exercise, then the promise, then what else is good to know."""
    for number, exercise in enumerate(page.exercises, 1):
        yield Message(f"{number}. {exercise.heading}: {exercise.reason}")
        for line in exercise.notes:
            yield Message(f"   {line}")
    sheet = page.sheet
    rest = f", {sheet.rest} of them rest" if sheet.rest else ""
    once_more = "printed again; " if page.again else ""
    yield Message(
        f"sheet {sheet.code}: {once_more}{minutes_words(sheet.minutes)}{rest}; {promise_words(sheet)}"
    )
    for _, text in sheet.notes:
        yield Message(text)
    if page.unfit:
        phrase, reason = page.unfit[0]
        more = f", and {len(page.unfit) - 1} more (see: scalewright plan show)" if len(page.unfit) > 1 else ""
        yield Message(f"left out: {phrase}: {reason}{more}")
    if session.path is None:
        yield Message(
            f"this is the starter plan, for {session.player.instrument.name}"
            + ("; say what you play with --instrument" if session.guessed else "")
            + "; make your own with: scalewright plan new"
        )
    elif session.guessed:
        yield Message(f"the plan names no instrument: written for {session.player.instrument.name}")
