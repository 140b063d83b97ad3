"""``scalewright sheet``: exactly these exercises, on a page."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Annotated

import typer  # noqa: TID251

from generator import printing, studio
from generator.cli import again, options
from generator.cli.chance import chance_of
from generator.cli.say import Line, hush, tell
from generator.errors import RequestError
from generator.exchange.playback import Playback
from generator.pages.paper import Paper
from generator.pages.sheet import SHOWS

if TYPE_CHECKING:
    from generator.practice.listed import Listed


def sheet(
    phrases: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PHRASE]...", help="Like 'G major in thirds, two octaves'."),
    ] = None,
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
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
        raise RequestError(f"unknown --show {show!r}; it can be {', '.join(SHOWS)}")
    order = printing.Order(
        out=out,
        formats=printing.parse_formats(format_),
        paper=Paper.of(paper, print_),
        show=show,
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=again.cache_at(None, off=no_cache),
    )
    lasting = not draw or seed is not None
    chance, seed = _draw(phrases, list_, draw, seed)
    found: list[studio.Built] = []

    def build() -> printing.Content:
        who = studio.player(instrument or options.DEFAULT_INSTRUMENT, level, low, high)
        asked = None
        if list_:
            # The practice modules take as long to read as all the others together.
            from generator.practice.listed import listed  # noqa: PLC0415

            asked = listed(list_, who, Path.cwd(), draw, chance)
        wanted = asked.phrases if asked else phrases or []
        built = studio.exercises(wanted, who, exact=exact, syllables=tuple(syllables.split()))
        found.append(replace(built, refused=(*(asked.refused if asked else ()), *built.refused)))
        return printing.Content(who, built.exercises, _headed(order, asked))

    printed = printing.print_sheet(order, build)
    lines = [] if instrument else [Line(f"no --instrument given: written for {options.DEFAULT_INSTRUMENT}")]
    lines += _lines(found[0], printed, seed)
    tell(lines)
    for path in printed.paths:
        print(path)
    if lasting and not printed.warnings:
        read = again.stamps([Path(list_).expanduser()] if list_ else [])
        again.keep(printed.files, lines, read, {}, quiet=quiet)


def _lines(built: studio.Built, printed: printing.Printed, seed: int | None) -> Iterator[Line]:
    """What the person is told."""
    if seed is not None:
        yield Line(f"drawn with --seed {seed}")
    for number, exercise in enumerate(built.exercises, 1):
        for note in exercise.notes:
            yield Line(f"{number}. {exercise.heading}: {note}")
    for _, reason in built.refused:
        yield Line(f"left out: {reason}", loud=True)
    for warning in printed.warnings:
        yield Line(warning, loud=True)


def _draw(
    phrases: list[str] | None, list_: str | None, draw: int, seed: int | None
) -> tuple[Random | None, int | None]:
    """The chance of a mock draw and its seed, where one is asked for."""
    if bool(phrases) == bool(list_):
        raise RequestError("say what to print: phrases like 'G major in thirds', or --list with a name")
    if (draw or seed is not None) and not list_:
        raise RequestError("--draw and --seed go with --list")
    return chance_of(seed) if draw else (None, None)


def _headed(order: printing.Order, asked: "Listed | None") -> printing.Order:
    """The order with the words of a required list."""
    if asked is None:
        return order
    words = " ".join(w for w in (order.note, asked.note) if w)
    return replace(order, title=order.title or asked.title, subtitle=asked.subtitle, note=words)
