"""A section from a file or a line of names, its pages, and what is heard when."""

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from generator.catalogue.tables import Table, shared_catalogue
from generator.documents.section import Section, from_names
from generator.documents.section_file import read_section
from generator.exchange.json_contract import as_json
from generator.exercise.instrument import Instrument
from generator.files.resources import data_folder
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.turns import RehearsalPlan

Moments = list[tuple[Fraction, int | None]]


@pytest.fixture(scope="session")
def instruments() -> Table[Instrument]:
    return shared_catalogue().instruments


@pytest.fixture(scope="session")
def band(instruments: Table[Instrument]) -> Section:
    """The Harbour Street community band, 24 chairs."""
    return read_section(data_folder("shared") / "examples" / "harbour-street.toml", instruments)


@pytest.fixture(scope="session")
def seated(instruments: Table[Instrument]) -> Callable[..., Section]:
    def of(names: str, level: str = "standard") -> Section:
        return from_names(names, level, instruments)

    return of


@pytest.fixture(scope="session")
def pages(seated: Callable[..., Section]) -> Callable[..., Rehearsal]:
    """The pages of ``names`` at a level, for some phrases."""

    def of(names: str, *phrases: str, level: str = "standard", **plan: object) -> Rehearsal:
        return rehearse(seated(names, level), RehearsalPlan(phrases, **plan))  # type: ignore[arg-type]

    return of


@pytest.fixture(scope="session")
def moments() -> Callable[[ChairPart, int], Moments]:
    """When a part begins notes and rests, and on which sounding number; read back from the exercise as data."""

    read: dict[int, tuple[ChairPart, list[Moments]]] = {}

    def of(part: ChairPart, number: int = 0) -> Moments:
        if id(part) not in read:
            text = as_json("", part.exercises, [part.player.instrument.sounds] * len(part.exercises))
            read[id(part)] = part, [_moments(exercise) for exercise in json.loads(text)["exercises"]]
        return read[id(part)][1][number]

    return of


def _moments(exercise: dict[str, Any]) -> Moments:
    place = Fraction(0)
    found: Moments = []
    for bar in exercise["bars"]:
        for note in bar["notes"]:
            found.append((place, note["midi"]))
            place += Fraction(note["duration"])
    return found


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str, str], Path]:
    """A file with some text."""

    def of(name: str, text: str) -> Path:
        path = tmp_path / name
        path.write_text(text, "utf-8")
        return path

    return of
