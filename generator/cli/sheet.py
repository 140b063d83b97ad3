"""``scalewright sheet``: exactly these exercises, on a page, in a book or as pictures."""

from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import again, options
from generator.cli.messages import hush
from generator.cli.printed import Wish, print_wish
from generator.errors import RequestError, shown
from generator.exchange.playback import Playback
from generator.pages.paper import Paper
from generator.pages.sheet import SHOWS
from generator.publish import sheet as printing


def sheet(
    phrases: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PHRASE]...", help="Like 'G major in thirds, two octaves'."),
    ] = None,
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
    book: Annotated[
        bool, typer.Option("--book", help="Bind them as a book: contents, bookmarks, running heads.")
    ] = False,
    crop: Annotated[
        bool,
        typer.Option("--crop", help="Each exercise as a picture of its own (pdf, png, svg), for slides."),
    ] = False,
    exact: Annotated[bool, typer.Option("--exact", help="Refuse a span that does not fit.")] = False,
    syllables: Annotated[
        str, typer.Option("--syllables", help="Your own in place of tu ku, like 'ta ka'.")
    ] = "",
    list_: Annotated[
        str | None,
        typer.Option("--list", help="A required list by name (see: list lists), or a file of your own."),
    ] = None,
    draw: Annotated[int, typer.Option("--draw", min=0, help="Draw so many exercises of the list.")] = 0,
    seed: Annotated[int | None, typer.Option("--seed", help="The same seed draws the same again.")] = None,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    show: options.ShowMode = "notes",
    title: options.Title = "",
    note: options.Note = "",
    click: options.Click = "every",
    drone: options.Drone = "none",
    pitch: options.Pitch = 440,
    count_in: options.CountIn = 1,
    midi_each: options.MidiEach = False,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print the exercises that the phrases ask for, inside the notes of your instrument."""
    hush(quiet)
    if show not in SHOWS:
        raise RequestError(f"unknown --show {shown(show)}; it can be {', '.join(SHOWS)}")
    order = printing.SheetOrder(
        out=out,
        formats=printing.parse_formats(format_),
        paper=Paper.of(paper, print_),
        show=show,
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=again.cache_at(None, off=no_cache),
    )
    if bool(phrases) == bool(list_):
        raise RequestError("say what to print: phrases like 'G major in thirds', or --list with a name")
    if (draw or seed is not None) and not list_:
        raise RequestError("--draw and --seed go with --list")
    if book and (crop or order.formats != ("pdf",)):
        raise RequestError("a book is one PDF; leave out " + ("--crop" if crop else "--format"))
    wish = Wish(
        order, tuple(phrases or ()), instrument, level, low, high, exact, tuple(syllables.split()), list_,
        draw, seed, quiet,
    )  # fmt: skip
    print_wish(wish, "book" if book else "clips" if crop else "page")
