"""A player's plan, instrument and list, ready for use; every mistake of a plan is told at once."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from generator.catalogue.players import level_named, player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.marked_file import HEAD, MarkedFile
from generator.documents.plan import Plan
from generator.documents.plan_file import read_plan
from generator.documents.starter import starter_file
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.files.home import Home
from generator.practice.growing_list import GrowingList
from generator.practice.repertoire import Repertoire
from generator.practice.whose_log import home_of, instrument_played_last

if TYPE_CHECKING:
    from generator.practice.band import Band


@dataclass(frozen=True, slots=True)
class PlayerOptions:
    """What the command line says about the player.

    Attributes:
        plan: a plan file.
        instrument: instead of the plan's.
        level: instead of the plan's.
        low: own lowest written note, instead of the plan's.
        high: own highest written note.
        fallback: instrument where neither says one.
    """

    plan: Path | None = None
    instrument: str | None = None
    level: str | None = None
    low: str | None = None
    high: str | None = None
    fallback: str = "flute"


@dataclass(frozen=True, slots=True)
class PlayerSession:
    """Everything of one player.

    Attributes:
        home: where the log is.
        path: the plan file, or None for the starter plan.
        plan: what it says.
        player: the player.
        repertoire: the list that is kept alive.
        lists: the list as it is at each stage.
        guessed: the instrument was named by nobody.
        band: who plays together, where it is a section and the player stands for all of it.
    """

    home: Home
    path: Path | None
    plan: Plan
    player: Player
    repertoire: Repertoire
    lists: GrowingList
    guessed: bool = False
    band: "Band | None" = None


def open_session(home: Home, asked: PlayerOptions, here: Path) -> PlayerSession:
    """Read the plan and spell it out for the player.

    Args:
        home: where plan and log are kept.
        asked: what the command line says.
        here: the current folder.

    Raises:
        BadFileError: the plan has mistakes, all of them, one a line.
        RequestError: the command line asks for what cannot be.
        OutputError: the plan cannot be read.
    """
    path = home.plan_file(asked.plan, here)
    source = path or starter_file(level_named(asked.level or "standard"))
    plan, head = read_plan(source, shared_catalogue(), rows=False)
    home = home_of(home, plan.player)
    if not (asked.instrument or plan.instrument) and (last := instrument_played_last(home)):
        asked = replace(asked, fallback=last)
    player = _player(plan, head, asked)
    guessed = not (asked.instrument or plan.instrument)
    strict = path is not None and player.instrument.name == plan.instrument
    lists = GrowingList(head, plan, player, home.cache, strict)
    repertoire = lists.up_to(None)
    head.refuse()
    return PlayerSession(home, path, plan, player, repertoire, lists, guessed)


def at_stage(session: PlayerSession, stage: int) -> PlayerSession:
    """The same with the rows up to a stage alone."""
    return replace(session, repertoire=session.lists.up_to(stage))


def _player(plan: Plan, file: MarkedFile, asked: PlayerOptions) -> Player:
    """The player by command line and plan; another instrument takes nothing of the plan's level and range."""
    name = asked.instrument or plan.instrument or asked.fallback
    own = shared_catalogue().instruments.find(name).name == (plan.instrument or asked.fallback)
    level = asked.level or (plan.level if own else "") or "standard"
    if asked.low or asked.high or asked.level or not own:
        # A level asked for today wins over the plan's own range.
        return player_named(name, level, asked.low, asked.high)
    try:
        return player_named(name, level, plan.low or None, plan.high or None)
    except RequestError as error:
        field = "low" if plan.low else "high"
        file.fault(HEAD, field, f"{field}: {error}")
        return player_named(name, level)
