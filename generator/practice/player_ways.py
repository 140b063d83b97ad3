"""How a player's phrases are read outside their plan: what the plan settles holds for a sheet as well."""

from dataclasses import replace
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_head_of
from generator.errors import GeneratorError
from generator.files.home import Home
from generator.pages.reader import USUAL_READER, ReaderNeeds
from generator.phrase.ways import USUAL, Ways


def player_ways(folder: Path | None, here: Path) -> Ways:
    """What the player's plan settles about phrases; the usual where there is no plan, or none that can be read.

    Args:
        folder: where plan and log are kept, or None for where this system keeps such things.
        here: the current folder, where a plan is looked for first.
    """
    return player_manner(folder, here)[0]


def player_manner(folder: Path | None, here: Path) -> tuple[Ways, ReaderNeeds]:
    """What the player's plan settles about phrases, and how the player needs pages printed; see `player_ways`."""
    try:
        path = Home.at(folder).plan_file(None, here)
        plan = read_head_of(path, shared_catalogue()) if path is not None else None
    except GeneratorError:
        plan = None
    # What is typed is in today's words, whatever the plan was written in.
    return (replace(plan.ways, words=USUAL.words), plan.reader) if plan else (USUAL, USUAL_READER)
