"""The house style that every page includes, and what LilyPond is asked for."""

from pathlib import Path

from generator.files.resources import own_text

HOUSE = "house.ily"
ENGRAVED = ("pdf", "png", "svg")


def house_style(folder: Path) -> dict[str, str]:
    """The include file every sheet needs, by name.

    Args:
        folder: where the templates are.

    Raises:
        OutputError: this installation lacks it.
    """
    return {HOUSE: own_text(folder / HOUSE)}
