"""The rows of shared/drills.toml: what a drill makes of a passage."""

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.errors import BadFileError
from generator.exercise.articulation import TONGUED, Articulation, parse_strokes
from generator.files.resources import data_folder, own_text

TEMPI = ("row", "goal", "blank")


@dataclass(frozen=True, slots=True)
class DrillRecipe:
    """One way to drill a passage.

    Attributes:
        name: as a phrase says it.
        order: place on a page of every recipe.
        heading: over the music.
        reason: the line under it.
        tempi: row, goal or blank.
        music: whether it has notes of its own.
        aliases: other ways to say it.
        source: who teaches it so.
    """

    name: str
    order: int
    heading: str
    reason: str
    tempi: str
    music: bool
    aliases: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class RhythmRow:
    """A rhythm for a run of equal notes: which of a group are long, in short notes, and over the first note a label."""

    group: int
    per_beat: tuple[int, ...]
    lengths: tuple[int, ...]
    metre: tuple[int, ...]
    label: str


@dataclass(frozen=True, slots=True)
class StrokeRow:
    """An articulation for the notes of a passage, and the label over its first note."""

    per_beat: tuple[int, ...]
    label: str
    articulation: Articulation

    def label_for(self, wind: str) -> str:
        """The label in the words of whoever reads it: what a clarinet tongues, a violin plays with separate bows.

        Args:
            wind: how the reader's instrument is sounded, or "".

        >>> row = next(one for one in drill_rows().strokes if one.label == "tongued")
        >>> row.label_for("reed"), row.label_for("string"), row.label_for("mallet")
        ('tongued', 'separate bows', 'single strokes')
        """
        if not wind or wind in TONGUED:
            return self.label
        said = self.articulation.words_for(wind)
        return self.label if said == self.articulation.name else said


@dataclass(frozen=True, slots=True)
class DrillRows:
    """All rows.

    Attributes:
        recipes: in the order of a page.
        rhythms: in order.
        strokes: in order.
    """

    recipes: tuple[DrillRecipe, ...]
    rhythms: tuple[RhythmRow, ...]
    strokes: tuple[StrokeRow, ...]

    def recipe(self, name: str) -> DrillRecipe:
        """The recipe of a name of ours.

        Raises:
            KeyError: no such recipe.
        """
        return next((one for one in self.recipes if one.name == name), None) or _missing(name)

    def named(self, words: str) -> DrillRecipe | None:
        """The recipe that words name, aliases too; None for none."""
        said = fold(words)
        return next((one for one in self.recipes if said in map(fold, (one.name, *one.aliases))), None)


def _missing(name: str) -> DrillRecipe:
    raise KeyError(name)


@lru_cache(maxsize=1)
def drill_rows() -> DrillRows:
    """The rows, read once.

    Raises:
        BadFileError: a row has mistakes.
        OutputError: the file is missing.
    """
    return rows_of(own_text(data_folder("shared") / "drills.toml"))


def rows_of(text: str) -> DrillRows:
    """The rows of a text.

    Raises:
        BadFileError: a row has mistakes.
    """
    try:
        data = tomllib.loads(text)
        recipes = sorted((_recipe(row) for row in data["recipe"]), key=lambda one: one.order)
        rhythms = tuple(
            RhythmRow(
                row["group"], tuple(row["per_beat"]), tuple(row["lengths"]), tuple(row["metre"]), row["label"]
            )
            for row in data["rhythm"]
        )
        strokes = tuple(
            StrokeRow(tuple(row["per_beat"]), row["label"], _articulation(row)) for row in data["stroke"]
        )
    except (tomllib.TOMLDecodeError, KeyError, TypeError) as error:
        raise BadFileError(f"drills.toml: {error}") from None
    for one in rhythms:
        if len(one.lengths) != one.group:
            raise BadFileError(f"drills.toml, {one.label}: a group of {one.group} has as many lengths")
    return DrillRows(tuple(recipes), rhythms, strokes)


def _recipe(row: dict[str, Any]) -> DrillRecipe:
    if row["tempi"] not in TEMPI:
        raise BadFileError(f"drills.toml, {row['name']}: tempi is {', '.join(TEMPI)}")
    return DrillRecipe(
        row["name"], row["order"], row["heading"], row["reason"], row["tempi"], row.get("music", True),
        tuple(row.get("aliases", ())), row["source"],
    )  # fmt: skip


def _articulation(row: dict[str, Any]) -> Articulation:
    if "cell" in row:
        said = tuple(row.get("said", {}).items())
        return Articulation(row["label"], parse_strokes(row["cell"]), said=said)
    return shared_catalogue().articulations.find(row["articulation"])
