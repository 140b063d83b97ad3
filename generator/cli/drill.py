"""``scalewright drill``: the sheet a teacher would write for a hard passage; ``passage``: keeping such passages."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer  # noqa: TID251

from generator.api.drills import PassageSource, drill, read_passage
from generator.catalogue.players import player_named
from generator.cli import options
from generator.cli.kept_page import kept_page
from generator.cli.messages import Message, hush, put_out, tell
from generator.errors import RequestError
from generator.exchange.playback import Playback
from generator.exercise.build import Player
from generator.files.atomic import place_all
from generator.files.home import Home, current_folder
from generator.pages.paper import Paper
from generator.passage.kept import KeptPassage
from generator.passage.named import WORD
from generator.passage.request import DrillRequest, parse_drill
from generator.passage.store import Passages
from generator.practice.whose_log import instrument_played_last
from generator.publish.sheet import SheetOrder, parse_formats, press_for

if TYPE_CHECKING:
    from generator.api.plan_rows import PlanRows

Bars = Annotated[str, typer.Option("--bars", help="Bars of the file as printed, like 97-99.")]
Part = Annotated[str, typer.Option("--part", help="Part of a score, by name or number.")]
Notes = Annotated[
    str, typer.Option("--notes", help="A line of notes (ABC), like '[K:F][L:1/16] fgab c'\\''bag'.")
]
Key = Annotated[str, typer.Option("--key", help="Key of a MIDI file, like F or Dm.")]
Goal = Annotated[int | None, typer.Option("--goal", help="Beats a minute to work towards.")]
Hard = Annotated[str, typer.Option("--hard", help="The hard spot by bar and beat, like 99.3.")]
Source = Annotated[str, typer.Option("--source", help="Where it is from, in your words.")]
Concert = Annotated[
    bool, typer.Option("--concert", help="The notes are concert pitch, for every chair of a section.")
]


def drill_command(
    passage: Annotated[
        str | None,
        typer.Argument(
            metavar="[FILE | NAME]", help="A file of music, or a passage you keep, like 'scherzo, chunks'."
        ),
    ] = None,
    bars: Bars = "",
    part: Part = "",
    notes: Notes = "",
    key: Key = "",
    goal: Goal = None,
    hard: Hard = "",
    only: Annotated[
        str, typer.Option("--only", help="Some recipes, like 'chunks, all keys'; else all of them.")
    ] = "",
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    title: options.Title = "",
    note: options.Note = "",
    home: options.HomeFolder = None,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print drills for a passage of your own: chunks, joins, added notes, rhythms, articulations, all keys."""
    hush(quiet)
    order = SheetOrder(
        out=out,
        formats=parse_formats(format_),
        paper=Paper.of(paper, print_),
        title=title,
        note=note,
        playback=Playback.asked("every", "none", 440, 1, each=False),
        cache=options.cache(home, off=no_cache),
    )
    places = Home.at(home)
    fallback = instrument or instrument_played_last(places) or options.DEFAULT_INSTRUMENT
    with press_for(order.formats) as press:
        player = player_named(fallback, level, low, high)
        kept, request = _asked(
            passage, notes, bars, part, key, goal, hard, only, player, Passages(places.passages)
        )
        if not instrument and kept.instrument:
            fallback = kept.instrument  # who kept it plays it
            player = player_named(fallback, level, low, high)
        done = drill(kept, request, player, order, press)
    lines = [] if instrument else [Message(f"no --instrument given: written for {fallback}")]
    lines += [Message(f"left out: {line}") for line in done.left_out]
    if places.passages.is_dir() and _is_kept(Passages(places.passages), kept):
        lines += kept_page(places, done.code, player, done.exercises)
    tell((*lines, *(Message(warning, loud=True) for warning in done.warnings)))
    for path in done.paths:
        put_out(path)


def _asked(
    passage: str | None, notes: str, bars: str, part: str, key: str, goal: int | None, hard: str, only: str,
    player: Player, passages: Passages,
) -> tuple[KeptPassage, DrillRequest]:  # fmt: skip
    """The passage, and what is asked of it."""
    if passage is not None and not notes and not _is_file(passage):
        request = parse_drill(f"{WORD} {passage}" + (f", {only}" if only else ""))
        if bars or part or key or goal or hard:
            raise RequestError(
                "--bars, --part, --key, --goal and --hard belong to a file; a kept passage has its own"
            )
        return passages.find(request.name), request
    source = PassageSource(
        file=Path(passage) if passage is not None else None, notes=notes, bars=bars, part=part, key=key
    )
    kept = read_passage(source, player, goal=goal, hard=hard, quickly=True)
    return kept, parse_drill(f"{WORD} {kept.name}" + (f", {only}" if only else ""))


def _is_file(text: str) -> bool:
    """Whether words name a file rather than a passage that is kept: there is one, or they end like one."""
    ending = Path(text).suffix.casefold()
    try:
        return Path(text).exists() or ending[1:] in {
            "musicxml",
            "mxl",
            "xml",
            "abc",
            "mid",
            "midi",
            "krn",
            "mei",
        }
    except OSError:
        return False


def _is_kept(passages: Passages, kept: KeptPassage) -> bool:
    return any(one.name == kept.name for one in passages.all())


passage = typer.Typer(help="Keep passages of your own, to drill them by name.", no_args_is_help=True)


@passage.command("keep")
def keep(
    name: Annotated[str, typer.Argument(help="What you call it, like scherzo.")],
    file: Annotated[Path | None, typer.Argument(help="A file of music.")] = None,
    bars: Bars = "",
    part: Part = "",
    notes: Notes = "",
    key: Key = "",
    goal: Goal = None,
    hard: Hard = "",
    source: Source = "",
    concert: Concert = False,
    with_scales: Annotated[
        bool, typer.Option("--with-scales", help="Put it and the scales it is made of into your plan.")
    ] = False,
    instrument: options.Instrument = None,
    plan: options.PlanFile = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Keep a passage under a name; one of the same name is replaced."""
    hush(quiet)
    places = Home.at(home)
    player = player_named(instrument or instrument_played_last(places) or options.DEFAULT_INSTRUMENT)
    found = read_passage(
        PassageSource(file=file, notes=notes, bars=bars, part=part, key=key),
        player, name=name, words=source, goal=goal, hard=hard, concert=concert,
    )  # fmt: skip
    rows = _planned(found, places, plan, instrument or player.instrument.name) if with_scales else None
    path, data = Passages(places.passages).file_of(found)
    files = {path: data}
    if rows is not None and (rows.added or rows.new):
        files[rows.target] = rows.text.encode()
    written = place_all(files)
    tell([Message(f"kept; print it with: scalewright drill {found.name!r}"), *(_told(rows) if rows else ())])
    for one in written:
        put_out(one)


def _planned(kept: KeptPassage, places: Home, plan: Path | None, instrument: str) -> "PlanRows":
    """The plan with the passage and its scales."""
    # Few passages bring their scales along, and the rooms of a plan take time to load.
    from generator.api.plan_rows import rows_for_passage  # noqa: PLC0415
    from generator.practice.player_session import PlayerOptions  # noqa: PLC0415

    here = current_folder()
    named = PlayerOptions(plan, None if places.plan_file(plan, here) else instrument)
    return rows_for_passage(kept, places, named, here)


def _told(rows: "PlanRows") -> Iterator[Message]:
    """What was put into the plan, and what was not."""
    if rows.new:
        yield Message(
            "there was no plan: this is a new one; change it as you like, then: scalewright plan check"
        )
    if rows.added:
        yield Message(f"put into {rows.target.name}: {'; '.join(rows.added)}")
    if rows.there:
        yield Message(f"in {rows.target.name} already: {'; '.join(rows.there)}")
    for phrase, reason in rows.unfit:
        yield Message(f"left out: {phrase}: {reason}")


@passage.command("drop")
def drop(
    name: Annotated[str, typer.Argument(help="What it is called.")],
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Take a passage away; sheets that were printed of it can still be printed again."""
    hush(quiet)
    tell([Message(f"dropped {Passages(Home.at(home).passages).drop(name)}")])
