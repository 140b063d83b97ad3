"""The built-in plans: what a player keeps alive who has no plan, by instrument and level, and where a new plan begins.

Each is a plan file whose rows say which instruments they are for.
"""

import re
import tomllib
from functools import partial
from pathlib import Path
from typing import Literal

from generator.catalogue.names import nearest_or_all
from generator.catalogue.tables import LEVELS, Catalogue
from generator.documents import fields
from generator.errors import RequestError, shown
from generator.exercise.instrument import Instrument
from generator.files.resources import data_folder

STYLES = ("jazz",)
SectionKind = Literal["band", "strings", "choir"]
"""A section by what most of it plays."""
_TABLE = re.compile(r"^(?=\[\[)", re.MULTILINE)
_ONLY = re.compile(r"^only = .*\n", re.MULTILINE)
_STROKES = re.compile(r"^articulations = \[.*?\]", re.MULTILINE | re.DOTALL)
_NAME = re.compile(r'"([^"]+)"')


def starter_file(level: str, style: str = "") -> Path:
    """The built-in plan of a level, or of a style.

    Args:
        level: name of a level; any other range is served as the standard level.
        style: instead, one of `STYLES`; "" for none.

    Raises:
        RequestError: no such style.
    """
    if style and style.casefold() not in STYLES:
        raise RequestError(f"unknown style {shown(style)}; {nearest_or_all(style, STYLES)}")
    name = style.casefold() or (level if level in LEVELS else "standard")
    return data_folder("shared") / "plans" / f"{name.replace(' ', '-')}.toml"


def section_starter(level: str, kind: SectionKind) -> Path:
    """The built-in plan of a section, in concert pitch.

    Args:
        level: name of a level; extended is served as standard.
        kind: strings begin in other keys than a band, and a choir sings five notes at a time.
    """
    name = "first-notes" if level == next(iter(LEVELS)) else "standard"
    return data_folder("shared") / "plans" / f"{kind}-{name}.toml"


def rows_for(text: str, instrument: Instrument, names: Catalogue) -> str:
    """The text of a built-in plan with the rows of one instrument alone, as a plan of its own.

    Args:
        text: of a built-in plan.
        instrument: for whom.
        names: the catalogue.
    """
    head, *tables = _TABLE.split(text)
    kept = []
    for table in tables:
        ((row,),) = tomllib.loads(table).values()
        if instrument.name in fields.instruments(row.get("only", [instrument.name]), names):
            kept.append(_STROKES.sub(partial(_in_own_words, instrument, names), _ONLY.sub("", table)).strip())
    return "\n\n".join([head.strip(), *kept]) + "\n"


def _in_own_words(instrument: Instrument, names: Catalogue, listed: re.Match[str]) -> str:
    """A list of articulations as those say it who play the instrument."""

    def said(name: re.Match[str]) -> str:
        row = names.articulations.find(name[1])
        return f'"{row.words_for(instrument.wind) or row.name}"'

    return _NAME.sub(said, listed[0])
