"""``scalewright today``: the exercises that are due, each with its reason."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import again, clock, options
from generator.cli import practice_options as practice
from generator.cli.messages import Line, hush, tell
from generator.errors import RequestError, shown
from generator.exchange.playback import Playback
from generator.files.home import PLAN, Home
from generator.pages.sheet import SHOWS
from generator.practice.player_session import Asked, Desk, open_desk
from generator.practice.today import Morning, Page, todays_page
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
    order = printing.Order(
        out=out,
        formats=printing.parse_formats(format_),
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=again.cache_at(home, off=no_cache),
    )
    morning = Morning(
        clock.day_named(date),
        clock.today(),
        clock.now(),
        minutes,
        sheet_number,
        hold_together,
        otherwise=hold_together or any((minutes, level, low, high)),
    )
    asked = Asked(plan, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    found: list[tuple[Desk, Page, again.Stamps]] = []

    def build() -> printing.Content:
        desk = open_desk(Home.at(home), asked, Path.cwd())
        page = todays_page(desk, morning)
        found.append((desk, page, _log(desk)))
        whole = replace(order, paper=paper_of(desk.plan, paper, print_), show=show_of(desk.plan, show))
        return page.content(desk.plan, whole)

    printed = printing.print_sheet(order, build)
    desk, page, log = found[0]
    tell(_lines(desk, page))
    tell(Line(warning, loud=True) for warning in printed.warnings)
    for path in printed.paths:
        print(path)
    if not printed.warnings:
        next_time = _lines(desk, replace(page, again=True, unfit=()))
        again.keep(printed.files, next_time, _read(desk, plan), log, quiet=quiet)


def _log(desk: Desk) -> again.Stamps:
    """The log as the sheet left it; beside it is the part that SQLite has not yet put into it."""
    log = desk.home.log
    return again.stamps([log, log.with_name(f"{log.name}-wal")])


def _read(desk: Desk, plan: Path | None) -> again.Stamps:
    """Everything the list came from, and where a plan would be found before the one that was."""
    places = [plan] if plan else [Path(PLAN), desk.home.plan]
    folder = desk.path.parent if desk.path else Path()
    return again.stamps([*places, *(folder / Path(row.name).expanduser() for row in desk.plan.lists)])


def _lines(desk: Desk, page: Page) -> Iterator[Line]:
    """A line for each exercise, then the promise, then what else is good to know."""
    for number, exercise in enumerate(page.exercises, 1):
        yield Line(f"{number}. {exercise.heading}: {exercise.reason}")
        for line in exercise.notes:
            yield Line(f"   {line}")
    sheet = page.sheet
    rest = f", {sheet.rest} of them rest" if sheet.rest else ""
    once_more = "printed again; " if page.again else ""
    yield Line(f"sheet {sheet.code}: {once_more}{minutes_words(sheet.minutes)}{rest}; {promise_words(sheet)}")
    for _, text in sheet.notes:
        yield Line(text)
    if page.unfit:
        phrase, reason = page.unfit[0]
        more = f", and {len(page.unfit) - 1} more (see: scalewright plan show)" if len(page.unfit) > 1 else ""
        yield Line(f"left out: {phrase}: {reason}{more}")
    if desk.path is None:
        yield Line(
            f"this is the starter plan, for {desk.who.instrument.name}"
            + ("; say what you play with --instrument" if desk.guessed else "")
            + "; make your own with: scalewright plan new"
        )
    elif desk.guessed:
        yield Line(f"the plan names no instrument: written for {desk.who.instrument.name}")
