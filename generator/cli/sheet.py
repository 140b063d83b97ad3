"""``scalewright sheet``: exactly these exercises, on a page, in a book or as pictures."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.api.sheets import Sheet, book, pictures, sheet
from generator.catalogue.players import player_named
from generator.cli import options
from generator.cli.chance import chance_of
from generator.cli.kept_page import kept_page
from generator.cli.messages import Message, hush, put_out, remark, tell
from generator.cli.progress_bar import progress_bar
from generator.engraving.lilypond import Press
from generator.engraving.parallel import Progress
from generator.errors import RequestError
from generator.exchange.playback import Playback
from generator.exercise.build import Player
from generator.files.home import Home, current_folder
from generator.pages.own_page import OwnPage
from generator.pages.paper import Paper
from generator.pages.reader import USUAL_READER
from generator.passage.store import Passages
from generator.phrase.ways import USUAL, Ways
from generator.practice.player_ways import player_manner
from generator.practice.required_sheet import RequiredSheet, required_sheet
from generator.practice.whose_log import instrument_played_last
from generator.publish.book import Bound
from generator.publish.press import press_for
from generator.publish.sheet import Printed, SheetOrder, parse_formats

Refused = tuple[tuple[str, str], ...]
_FIRST = 5  # of many that were left out, so many are named


def sheet_command(
    phrases: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PHRASE]...", help="Like 'G major in thirds, two octaves'."),
    ] = None,
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
    bound: Annotated[
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
    list_: options.RequiredListName = None,
    draw: options.Draw = 0,
    seed: options.Seed = None,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.PlanPrint = None,
    staff: options.Staff = None,
    landscape: options.Landscape = None,
    show: options.ShowMode = "notes",
    fingerings: options.Fingerings = False,
    hints: options.Hints = None,
    title: options.Title = "",
    note: options.Note = "",
    click: options.Click = "every",
    drone: options.Drone = "none",
    pitch: options.Pitch = 440,
    count_in: options.CountIn = 1,
    midi_each: options.MidiEach = False,
    home: options.HomeFolder = None,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print the exercises that the phrases ask for, inside the notes of your instrument."""
    hush(quiet)
    own_page = OwnPage(staff, landscape)
    order = SheetOrder(
        out=out,
        formats=parse_formats(format_),
        paper=Paper.of(paper, print_ or "normal", own_page.of(USUAL_READER)),
        show=options.show_named(show),
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=options.cache(home, off=no_cache),
        help=options.hand_help(hints, fingerings=fingerings),
    )
    _refuse_conflicts(phrases, list_, order, drawn=bool(draw) or seed is not None, bound=bound, crop=crop)
    chance, drawn = chance_of(seed) if draw else (None, None)
    fallback = instrument or instrument_played_last(Home.at(home)) or options.DEFAULT_INSTRUMENT
    # LilyPond starts now and gets ready while names are read and exercises built.
    with (
        press_for(() if bound or crop else order.formats) as press,
        progress_bar(quiet=quiet or not (bound or crop)) as progress,
    ):
        player = player_named(fallback, level, low, high)
        listed = required_sheet(list_, player, current_folder(), draw, chance) if list_ else None
        order = _headed(order, listed)
        ways, reader = player_manner(home, current_folder())
        asked = _Asked(
            phrases=listed.phrases if listed else tuple(phrases or ()),
            player=player,
            order=replace(order, paper=Paper.of(paper, print_ or "normal", own_page.of(reader, print_))),
            exact=exact,
            syllables=tuple(syllables.split()),
            ways=USUAL if listed else ways,
            refused=listed.refused if listed else (),
        )
        printed: Printed | Sheet
        if bound:
            lines, printed = asked.bound(progress)
        else:
            lines, done = (
                asked.cropped(Home.at(home), progress) if crop else asked.on_a_sheet(Home.at(home), press)
            )
            lines += kept_page(Home.at(home), done.code, player, done.exercises)
            printed = done
    if not instrument:
        lines.insert(0, Message(f"no --instrument given: written for {fallback}"))
    if drawn is not None:
        lines.insert(0 if instrument else 1, Message(f"drawn with --seed {drawn}"))
    tell((*lines, *(Message(warning, loud=True) for warning in printed.warnings)))
    for path in printed.paths:
        put_out(path)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is to be printed, and for whom."""

    phrases: tuple[str, ...]
    player: Player
    order: SheetOrder
    exact: bool
    syllables: tuple[str, ...]
    ways: Ways
    refused: Refused

    def bound(self, progress: Progress) -> tuple[list[Message], Printed]:
        """A book, and what the person is told of it."""
        volume = book(
            *self.phrases,
            player=self.player,
            order=self.order,
            exact=self.exact,
            syllables=self.syllables,
            progress=progress,
            tell=remark,
            ways=self.ways,
        )
        return list(_book_lines(volume, self.refused)), volume.printed

    def cropped(self, home: Home, progress: Progress) -> tuple[list[Message], Sheet]:
        """A picture of each exercise."""
        done = pictures(
            *self.phrases,
            player=self.player,
            order=self.order,
            exact=self.exact,
            syllables=self.syllables,
            progress=progress,
            ways=self.ways,
            passages=Passages(home.passages),
        )
        return list(_sheet_lines(done, self.refused)), done

    def on_a_sheet(self, home: Home, press: Press | None) -> tuple[list[Message], Sheet]:
        """A sheet."""
        done = sheet(
            *self.phrases,
            player=self.player,
            order=self.order,
            exact=self.exact,
            syllables=self.syllables,
            press=press,
            ways=self.ways,
            passages=Passages(home.passages),
        )
        return list(_sheet_lines(done, self.refused)), done


def _refuse_conflicts(
    phrases: list[str] | None, list_: str | None, order: SheetOrder, *, drawn: bool, bound: bool, crop: bool
) -> None:
    if bool(phrases) == bool(list_):
        raise RequestError("say what to print: phrases like 'G major in thirds', or --list with a name")
    if drawn and not list_:
        raise RequestError("--draw and --seed go with --list")
    if bound and (crop or order.formats != ("pdf",)):
        raise RequestError("a book is one PDF; leave out " + ("--crop" if crop else "--format"))


def _headed(order: SheetOrder, listed: RequiredSheet | None) -> SheetOrder:
    """The order with the words of a required list."""
    if listed is None:
        return order
    words = " ".join(w for w in (order.note, listed.note) if w)
    return replace(order, title=order.title or listed.title, subtitle=listed.subtitle, note=words)


def _sheet_lines(done: Sheet, refused: Refused) -> Iterator[Message]:
    """What the person is told about each exercise."""
    for number, exercise in enumerate(done.exercises, 1):
        for note in exercise.notes:
            yield Message(f"{number}. {exercise.heading}: {note}")
    yield from _left_out((*refused, *done.refused))


def _book_lines(volume: Bound, refused: Refused) -> Iterator[Message]:
    count = sum(len(chapter.entries) for chapter in volume.chapters)
    yield Message(f"{count} exercises on {volume.pages} pages, contents included")
    yield from _left_out((*refused, *volume.refused))


def _left_out(refused: Refused) -> Iterator[Message]:
    for _, reason in refused[:_FIRST] if len(refused) > 2 * _FIRST else refused:
        yield Message(f"left out: {reason}", loud=True)
    if len(refused) > 2 * _FIRST:
        yield Message(f"left out: {len(refused) - _FIRST} more", loud=True)
