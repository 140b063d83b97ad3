"""``scalewright sheet``: exactly these exercises, on a page."""

from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator import printing, studio
from generator.cli import options
from generator.cli.say import hush, remark, say
from generator.errors import RequestError
from generator.exercise.records import Exercise
from generator.pages.paper import Paper
from generator.pages.sheet import SHOWS


def sheet(
    phrases: Annotated[list[str], typer.Argument(metavar="PHRASE...", help="Like 'G major in thirds, two octaves'.")],
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
    exact: Annotated[bool, typer.Option("--exact", help="Refuse a span that does not fit.")] = False,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    show: options.ShowMode = "notes",
    title: options.Title = "",
    note: options.Note = "",
    quiet: options.Quiet = False,
) -> None:
    """Print the exercises that the phrases ask for, inside the notes of your instrument."""
    hush(quiet)
    if show not in SHOWS:
        raise RequestError(f"unknown --show {show!r}; it can be {', '.join(SHOWS)}")
    order = printing.Order(
        out=out,
        formats=printing.parse_formats(format_),
        paper=Paper.of(paper, print_),
        show=show,  # type: ignore[arg-type]
        title=title,
        note=note,
    )
    if instrument is None:
        remark(f"no --instrument given: written for {options.DEFAULT_INSTRUMENT}")
    who = studio.player(instrument or options.DEFAULT_INSTRUMENT, level, low, high)
    found: list[studio.Built] = []

    def build() -> tuple[Exercise, ...]:
        found.append(studio.exercises(phrases, who, exact=exact))
        return found[0].exercises

    printed = printing.print_sheet(order, who, build)
    for number, exercise in enumerate(found[0].exercises, 1):
        for line in exercise.notes:
            remark(f"{number}. {exercise.heading}: {line}")
    for _, reason in found[0].refused:
        say(f"left out: {reason}")
    for warning in printed.warnings:
        say(warning)
    for path in printed.paths:
        print(path)
