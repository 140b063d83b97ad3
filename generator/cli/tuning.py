"""``scalewright tuning``: a page to find out how sharp or flat each note is, and what it showed last time."""

from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import clock, options
from generator.cli.messages import hush, put_out, remark, say
from generator.files.home import Home, current_folder
from generator.files.text import clean
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.tuning import keep_readings, readings_of, tuning_path
from generator.practice.words import paper_of
from generator.publish.sheet import SheetOrder, parse_formats
from generator.publish.tuning import print_tuning
from generator.rotation.words import long_day


def tuning(
    notes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[NOTE]...", help="What you found, like 'F#5 +12' or 'G4 -5 side'; without any, the page."
        ),
    ] = None,
    instrument: options.Instrument = None,
    level: options.PlanLevel = None,
    low: options.Low = None,
    high: options.High = None,
    plan: options.PlanFile = None,
    date: options.Day = None,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PlanPaper = None,
    print_: options.PlanPrint = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Print every note of yours with room to write how sharp or flat it is, or keep what you found."""
    hush(quiet)
    day = clock.day_named(date)
    places = Home.at(home)
    asked = PlayerOptions(plan, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    session = open_session(places, asked, current_folder())
    player = session.player
    if session.guessed:
        remark(f"no instrument named: this is for {player.instrument.name}; say --instrument for another")
    path = tuning_path(places, session.path)
    if notes:
        for reading in keep_readings(path, player, notes, day):
            told = f"{reading.written.words}: {reading.words} cents"
            remark(f"noted: {told}{f', {reading.fingering}' if reading.fingering else ''}")
        put_out(path)
        return
    order = SheetOrder(out=out, formats=parse_formats(format_), paper=paper_of(session.plan, paper, print_))
    order = replace(order, date=long_day(day))
    printed = print_tuning(order, player, readings_of(path, player), clean(session.plan.player, 60))
    for warning in printed.warnings:
        say(warning)
    for file in printed.paths:
        put_out(file)
