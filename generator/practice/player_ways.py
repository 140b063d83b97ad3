"""How a player's phrases are read outside their plan: what the plan settles holds for a sheet as well."""

from dataclasses import replace
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_ways
from generator.errors import GeneratorError
from generator.files.home import Home
from generator.phrase.ways import USUAL, Ways


def player_ways(folder: Path | None, here: Path) -> Ways:
    """What the player's plan settles about phrases; the usual where there is no plan, or none that can be read.

    Args:
        folder: where plan and log are kept, or None for where this system keeps such things.
        here: the current folder, where a plan is looked for first.
    """
    try:
        path = Home.at(folder).plan_file(None, here)
        # What is typed is in today's words, whatever the plan was written in.
        return replace(read_ways(path, shared_catalogue()), words=USUAL.words) if path is not None else USUAL
    except GeneratorError:
        return USUAL
