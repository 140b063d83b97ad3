"""``scalewright plan``: what is to be kept alive: new, show, check, calendar."""

import sys
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.catalogue.players import level_named, player_named
from generator.catalogue.tables import LEVELS, shared_catalogue
from generator.cli import clock, options
from generator.cli.messages import hush, put_out, remark, say
from generator.cli.whose import session_of, told_to
from generator.documents.new_plan import Answers, plan_text, section_plan_text
from generator.documents.older_words import older_phrases
from generator.documents.plan_file import read_plan
from generator.documents.starter import rows_for, starter_file
from generator.errors import RequestError
from generator.files.atomic import place
from generator.files.home import PLAN, Home
from generator.files.loading import loading
from generator.files.resources import is_there, own_text
from generator.files.text import slug
from generator.pages.paper import Paper
from generator.phrase.ways import PHRASES
from generator.practice.aims import standings
from generator.practice.forecast import write_calendar
from generator.practice.plan_summary import summarize, summary_lines
from generator.practice.player_session import PlayerOptions, PlayerSession
from generator.rotation.words import count

plan = typer.Typer(
    help="What you keep alive: make a plan, check it, look it over.",
    add_completion=False,
    invoke_without_command=True,
    rich_markup_mode=None,
)


@plan.callback()
def _alone(context: typer.Context) -> None:
    """What you keep alive: make a plan, check it, look it over."""
    if context.invoked_subcommand is None:
        put_out(context.get_help())


@plan.command("new")
def new(
    instrument: options.Instrument = None,
    name: Annotated[str, typer.Option("--player", help="Your name.")] = "",
    level: options.PlanLevel = None,
    low: options.Low = None,
    high: options.High = None,
    minutes: options.Minutes = None,
    paper: options.PlanPaper = None,
    print_: options.PlanPrint = None,
    target: options.PlanFile = None,
    section: options.Together = None,
    style: Annotated[str, typer.Option("--style", help="jazz: other scales, in swung eighths.")] = "",
    force: Annotated[bool, typer.Option("--force", help="Replace a plan that is there.")] = False,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Write a new plan for your instrument and level, or for a section, for you to change."""
    hush(quiet)
    if section is not None:
        if instrument or name or low or high or style:
            raise RequestError(
                "the plan of a section names no player, instrument, range or style; its chairs are in the section file"
            )
        _new_together(section, target, level, minutes, home, force=force)
        return
    path = target or Home.at(home).plan
    if is_there(path) and not force:
        raise RequestError(f"{path} is there already; --force replaces it, --plan FILE writes another")
    if instrument is None and not sys.stdin.isatty():
        raise RequestError("say what you play, like: scalewright plan new --instrument 'alto saxophone'")
    if instrument is None:
        instrument = _ask_instrument()
        level = level or _ask_level()
        name = name or _ask("Your name (may stay empty)", "")
        minutes = minutes or _ask_minutes()
    found = shared_catalogue().instruments.find(instrument)
    player_named(found.name, level or "standard", low, high)
    Paper.of(paper or "letter", print_ or "normal")
    answers = Answers(
        name, found.name, level or "", low or "", high or "", minutes or 20, paper or "", print_ or ""
    )
    # The range may be the player's own; the rows are those of the level all the same.
    rows = own_text(starter_file(level_named(level or "standard"), style))
    text = plan_text(answers, rows_for(rows, found, shared_catalogue()))
    put_out(place(text.encode(), path))
    if target is None and Path(PLAN).is_file() and Path(PLAN).resolve() != path.resolve():
        remark(f"in this folder {PLAN} is used, not the new one")
    remark("change it as you like, then: scalewright plan check, scalewright plan show")


def _new_together(
    section: Path,
    target: Path | None,
    level: str | None,
    minutes: int | None,
    home: Path | None,
    *,
    force: bool,
) -> None:
    """Write a plan for a section, from the built-in one that suits it."""
    with loading():
        from generator.practice.band_session import new_plan_for  # noqa: PLC0415  # a player alone needs none of it
    new = new_plan_for(Home.at(home), section, level)
    path = target or new.path
    if is_there(path) and not force:
        raise RequestError(f"{path} is there already; --force replaces it, --plan FILE writes another")
    put_out(place(section_plan_text(own_text(new.starter), minutes).encode(), path))
    if target is not None and target.resolve() != new.path.resolve():
        remark(f'to use it, write plan = "{target}" at the top of {section}, with its path from there')
    remark(f"change it as you like, then: scalewright plan check --section {section}")


@plan.command("check")
def check(
    file: options.PlanFile = None,
    section: options.Together = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Name every mistake of a plan, each with its line."""
    hush(quiet)
    session = session_of(home, PlayerOptions(file, fallback=options.DEFAULT_INSTRUMENT), section)
    source = session.path or "the starter plan"
    remark(f"{source}: {len(session.repertoire.items(clock.today()))} exercises, no mistakes")
    for phrase, reason in session.repertoire.unfit:
        remark(f"left out: {phrase}: {reason}")
    for pair in session.repertoire.shared:
        remark(
            f"line {pair.line} and line {pair.earlier} ask for the same {count(pair.number, 'exercise')} "
            f"({pair.name}): what each asks comes in turn"
        )
    if session.path:
        _tell_older_words(session.path)
    for one in session.repertoire.dated:
        if one.day < clock.today():
            remark(f"{one.name} was on {one.day}; its row can go")
    for aim in standings(session, clock.today(), evening=True):
        if not aim.open:
            remark(f"{aim.goal} was {aim.state}; its row can go")
        elif aim.carried:
            remark(f"{aim.goal} {aim.state}")


def _tell_older_words(path: Path) -> None:
    written, _ = read_plan(path, shared_catalogue())
    for older in older_phrases(written, shared_catalogue()):
        remark(
            f"line {older.line}: {older.phrase} is read as it was before, {older.meant}; write that, and phrases = "
            f"{PHRASES} at the top, to use today's words"
        )


@plan.command("show")
def show(
    instrument: options.Instrument = None,
    level: options.PlanLevel = None,
    low: options.Low = None,
    high: options.High = None,
    file: options.PlanFile = None,
    section: options.Together = None,
    date: options.Day = None,
    home: options.HomeFolder = None,
) -> None:
    """What the plan amounts to: how much, the longest wait, and what a shorter one would need."""
    asked = PlayerOptions(file, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    session = session_of(home, asked, section)
    for line in summary_lines(summarize(session, clock.day_named(date)), session):
        put_out(told_to(session)(line))


@plan.command("calendar")
def calendar(
    weeks: Annotated[int, typer.Option("--weeks", min=1, max=52, help="How many weeks ahead.")] = 4,
    out: Annotated[
        Path, typer.Option("--out", "-o", help="Folder for the file, or a name that ends in .ics.")
    ] = options.DEFAULT_OUT,
    instrument: options.Instrument = None,
    level: options.PlanLevel = None,
    low: options.Low = None,
    high: options.High = None,
    file: options.PlanFile = None,
    section: options.Together = None,
    date: options.Day = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """The next weeks' sheets as a calendar file: a forecast, if each one is played."""
    hush(quiet)
    asked = PlayerOptions(file, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    session = session_of(home, asked, section)
    day = clock.day_named(date)
    named = out.suffix.casefold() == ".ics"
    target = out if named else out / f"practice-{slug(_whose(session), 32)}-{day}.ics"
    put_out(write_calendar(session, day, clock.now(), weeks, target))
    remark("a forecast: it takes every sheet as played; each day's own sheet is chosen that morning")


def _whose(session: PlayerSession) -> str:
    """The instrument, or the section."""
    return session.band.name if session.band else session.player.instrument.name


def _ask(question: str, usual: str) -> str:
    """One answer; Enter takes the usual one."""
    print(f"{question}{f' [{usual}]' if usual else ''}: ", end="", file=sys.stderr, flush=True)
    try:
        return input().strip() or usual
    except EOFError:
        raise RequestError("no plan was written") from None


def _ask_instrument() -> str:
    while True:
        answer = _ask("What do you play", options.DEFAULT_INSTRUMENT)
        try:
            return shared_catalogue().instruments.find(answer).name
        except RequestError as error:
            say(str(error))


def _ask_level() -> str:
    while True:
        answer = _ask(f"Your level, {', '.join(LEVELS)}", "standard")
        try:
            return level_named(answer)
        except RequestError as error:
            say(str(error))


def _ask_minutes() -> int:
    while True:
        answer = _ask("Minutes a day, rest included", "20")
        if answer.isascii() and answer.isdigit() and len(answer) < 5 and 1 <= int(answer) <= 600:
            return int(answer)
        say("a whole number from 1 to 600 is needed")
