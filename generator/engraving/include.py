"""The house style that every page includes, and what LilyPond is asked for. Light to read, so that it can be first."""

from pathlib import Path

HOUSE = "house.ily"
ENGRAVED = ("pdf", "png", "svg")


def house(folder: Path) -> dict[str, str]:
    """The include file every sheet needs, by name.

    Args:
        folder: where the templates are.
    """
    return {HOUSE: (folder / HOUSE).read_text("utf-8")}
