"""``scalewright passage``: keeping passages of one's own."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer  # noqa: TID251

from generator.api.drills import PassageSource, read_passage
from generator.catalogue.players import player_named
from generator.cli import options
from generator.cli.drill import Bars, Concert, Goal, Hard, Key, Notes, Part, Source
from generator.cli.messages import Message, hush, put_out, tell
from generator.files.atomic import place_all
from generator.files.home import Home, current_folder
from generator.passage.kept import KeptPassage
from generator.passage.store import Passages
from generator.practice.whose_log import instrument_played_last

if TYPE_CHECKING:
    from generator.api.plan_rows import PlanRows

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
