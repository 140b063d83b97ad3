"""What ``scalewright sheet`` does once its options are read: a page, a book, or a picture of each exercise."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Literal

from generator.catalogue.players import player_named
from generator.cli import again, options
from generator.cli.chance import chance_of
from generator.cli.messages import Message, tell
from generator.cli.progress_bar import bar
from generator.exercise.build import Player
from generator.phrase import expand
from generator.publish import sheet as printing

if TYPE_CHECKING:
    from generator.practice.required_sheet import RequiredSheet

_FIRST = 5  # of many that were left out, so many are named


@dataclass(frozen=True, slots=True)
class Wish:
    """The options of the command, read.

    Attributes:
        order: how to print.
        phrases: what, or empty with a list.
        instrument: name, or None.
        level: name.
        low: own lowest written note.
        high: own highest written note.
        exact: refuse a span that does not fit.
        syllables: a player's own.
        list_: a required list, or None.
        draw: how many of it to draw; 0 takes all.
        seed: of the draw.
        quiet: say nothing but errors.
    """

    order: printing.SheetOrder
    phrases: tuple[str, ...]
    instrument: str | None
    level: str
    low: str | None
    high: str | None
    exact: bool
    syllables: tuple[str, ...]
    list_: str | None
    draw: int
    seed: int | None
    quiet: bool


@dataclass(frozen=True, slots=True)
class _Done:
    """What was printed, and what to say about it."""

    printed: printing.Printed
    lines: tuple[Message, ...]


def print_wish(wish: Wish, kind: Literal["page", "book", "clips"]) -> None:
    """Print it, and say where it is.

    Raises:
        RequestError: what was asked for cannot be done.
        MachineError: LilyPond or the disk failed.
    """
    chance, seed = chance_of(wish.seed) if wish.draw else (None, None)
    done = {"page": _page, "book": _book, "clips": _clips}[kind](wish, chance)
    before = []
    if not wish.instrument:
        before.append(Message(f"no --instrument given: written for {options.DEFAULT_INSTRUMENT}"))
    if seed is not None:
        before.append(Message(f"drawn with --seed {seed}"))
    lines = (*before, *done.lines)
    tell(lines)
    tell(Message(warning, loud=True) for warning in done.printed.warnings)
    for path in done.printed.paths:
        print(path)
    if not done.printed.warnings and (wish.seed is not None or not wish.draw):
        read = again.stamps([Path(wish.list_).expanduser()] if wish.list_ else [])
        again.keep(done.printed.files, lines, read, {}, quiet=wish.quiet)


def _page(wish: Wish, chance: Random | None) -> _Done:
    """LilyPond starts before the exercises are built."""
    found: list[expand.Built] = []

    def build() -> printing.PrintContent:
        player = _player(wish)
        built, order = _built(wish, player, chance)
        found.append(built)
        return printing.PrintContent(player, built.exercises, order)

    printed = printing.print_sheet(wish.order, build)
    return _Done(printed, tuple(_lines(found[0])))


def _clips(wish: Wish, chance: Random | None) -> _Done:
    from generator.publish.cropped import print_clips  # noqa: PLC0415

    player = _player(wish)
    built, order = _built(wish, player, chance)
    with bar(quiet=wish.quiet) as progress:
        printed = print_clips(order, player, built.exercises, progress)
    return _Done(printed, tuple(_lines(built)))


def _book(wish: Wish, chance: Random | None) -> _Done:
    # Only a book waits for what only a book needs.
    from generator.publish.book import BookOrder, bind  # noqa: PLC0415

    player = _player(wish)
    asked = _asked(wish, player, chance)
    order = _headed(wish.order, asked)
    whole = BookOrder(
        order.out, order.paper, order.show, order.title, order.note, wish.exact, wish.syllables, order.cache
    )
    with bar(quiet=wish.quiet) as progress:
        bound = bind(whole, player, asked.phrases if asked else wish.phrases, progress)
    refused = (*(asked.refused if asked else ()), *bound.refused)
    count = sum(len(chapter.entries) for chapter in bound.chapters)
    said = [Message(f"{count} exercises on {bound.pages} pages, contents included")]
    said += _left_out(refused)
    return _Done(bound.printed, tuple(said))


def _player(wish: Wish) -> Player:
    return player_named(wish.instrument or options.DEFAULT_INSTRUMENT, wish.level, wish.low, wish.high)


def _asked(wish: Wish, player: Player, chance: Random | None) -> "RequiredSheet | None":
    """The required list, where one is asked for."""
    if not wish.list_:
        return None
    # The practice modules take as long to read as all the others together.
    from generator.practice.required_sheet import required_sheet  # noqa: PLC0415

    return required_sheet(wish.list_, player, Path.cwd(), wish.draw, chance)


def _built(wish: Wish, player: Player, chance: Random | None) -> tuple[expand.Built, printing.SheetOrder]:
    asked = _asked(wish, player, chance)
    wanted = asked.phrases if asked else wish.phrases
    built = expand.exercises(wanted, player, exact=wish.exact, syllables=wish.syllables)
    refused = (*(asked.refused if asked else ()), *built.refused)
    return replace(built, refused=refused), _headed(wish.order, asked)


def _headed(order: printing.SheetOrder, asked: "RequiredSheet | None") -> printing.SheetOrder:
    """The order with the words of a required list."""
    if asked is None:
        return order
    words = " ".join(w for w in (order.note, asked.note) if w)
    return replace(order, title=order.title or asked.title, subtitle=asked.subtitle, note=words)


def _lines(built: expand.Built) -> Iterator[Message]:
    """What the person is told about each exercise."""
    for number, exercise in enumerate(built.exercises, 1):
        for note in exercise.notes:
            yield Message(f"{number}. {exercise.heading}: {note}")
    yield from _left_out(built.refused)


def _left_out(refused: Sequence[tuple[str, str]]) -> Iterator[Message]:
    for _, reason in refused[:_FIRST] if len(refused) > 2 * _FIRST else refused:
        yield Message(f"left out: {reason}", loud=True)
    if len(refused) > 2 * _FIRST:
        yield Message(f"left out: {len(refused) - _FIRST} more", loud=True)
