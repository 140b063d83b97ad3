"""Sheets to export, and what the JSON contract promises about them."""

import importlib
import importlib.util
import io
import json
import os
import random
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from music21 import converter  # an outside reader

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exchange.formats import Music
from generator.exchange.json_contract import as_json
from generator.exchange.musicxml import XmlPart, as_musicxml
from generator.phrase import expand

DATA = Path(__file__).parents[1] / "data" / "musicxml"
MakeSheet = Callable[..., Music]
# More sheets than the usual sixty, for a long check.
COUNT = int(os.environ.get("SCALEWRIGHT_SHEETS", "60"))
INSTRUMENTS = (
    "flute", "piccolo", "oboe", "bassoon", "contrabassoon", "clarinet in E-flat", "clarinet in B-flat", "bass clarinet",
    "contrabass clarinet", "alto saxophone", "tenor saxophone", "baritone saxophone", "horn in F", "trumpet in B-flat",
    "trombone", "euphonium", "double bass", "viola", "cello",
)  # fmt: skip
KEYS = (
    "C", "G", "D", "A", "E", "B", "F-sharp", "C-sharp", "F", "B-flat", "E-flat", "A-flat", "D-flat", "G-flat", "C-flat",
)  # fmt: skip


class _Local(etree.Resolver):
    """The two schemas that the big one imports, from the tests' own folder: no network."""

    def resolve(self, system_url: str, public_id: str, context: object) -> object:
        name = system_url.rsplit("/", 1)[-1]
        return self.resolve_filename(str(DATA / name), context) if name in ("xml.xsd", "xlink.xsd") else None


@pytest.fixture(scope="session")
def schema() -> Any:
    """The official MusicXML 4.0 schema, as the package ``musicxml`` brings it."""
    home = importlib.util.find_spec("musicxml")
    assert home is not None
    assert home.submodule_search_locations
    path = Path(home.submodule_search_locations[0]) / "generate_classes" / "musicxml_4_0.xsd"
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    tree = etree.parse(str(path), parser)
    assert "Version 4.0" in etree.tostring(tree.getroot()[0], encoding="unicode")
    return etree.XMLSchema(tree)


@dataclass(frozen=True)
class Heard:
    """One written note of a sheet as the JSON contract has it; lengths and places in quarters."""

    exercise: int
    bar: int
    place: Fraction
    length: Fraction
    written: str | None
    midi: int | None
    tie: bool
    slur: str | None
    marks: tuple[str, ...]
    syllable: str | None
    tuplet: str | None


@pytest.fixture(scope="session")
def make_sheet() -> MakeSheet:
    """A sheet from phrases."""

    def make(*phrases: str, instrument: str = "flute", title: str = "Test sheet") -> Music:
        who = player_named(instrument)
        return Music(title, who.instrument, expand.exercises(phrases, who).exercises)

    return make


@pytest.fixture(scope="session")
def promised() -> Callable[[Music], list[Heard]]:
    """Every note and rest of a sheet as the JSON contract has it, in order."""

    def read(music: Music) -> list[Heard]:
        text = as_json(music.title, music.exercises, [music.instrument.sounds] * len(music.exercises))
        found: list[Heard] = []
        place, bars = Fraction(0), 0
        for exercise in json.loads(text)["exercises"]:
            for bar in exercise["bars"]:
                for note in bar["notes"]:
                    length = Fraction(note["duration"]) * 4
                    found.append(_heard(exercise["number"], bars, place, length, note))
                    place += length
                bars += 1
        return found

    return read


def _heard(exercise: int, bar: int, place: Fraction, length: Fraction, note: dict[str, Any]) -> Heard:
    return Heard(
        exercise, bar, place, length, note["written"], note["midi"], note["tie"], note["slur"],
        tuple(note["marks"]), note["syllable"], note["tuplet"],
    )  # fmt: skip


@pytest.fixture(scope="session")
def assortment() -> tuple[Music, ...]:
    """Sheets of one or two exercises: instruments, keys, forms, figures, rhythms, articulations and tempi mixed."""
    names = shared_catalogue()
    chance = random.Random(20)
    sheets: list[Music] = []
    for _ in range(COUNT * 30):
        who = player_named(chance.choice(INSTRUMENTS))
        phrases = [_phrase(names, chance) for _ in range(chance.choice((1, 1, 2)))]
        try:
            made = expand.exercises(phrases, who).exercises
        except RequestError:
            continue
        sheets.append(Music(f"Sheet & <{len(sheets)}>", who.instrument, made))
        if len(sheets) == COUNT:
            break
    return tuple(sheets)


def _phrase(names: Any, chance: random.Random) -> str:
    form = chance.choice(names.forms.rows)
    key = chance.choice(KEYS)
    parts = [f"{form.name} on {key}" if form.signature is None else f"{key} {form.name}"]
    if not form.chord and chance.random() < 0.7:
        parts[0] += f" in {chance.choice(names.figures.rows).name}"
    parts.append(chance.choice(("one octave", "a twelfth", "a fifth")))
    if chance.random() < 0.7:
        parts.append(chance.choice(names.rhythms.rows).name)
    if chance.random() < 0.7:
        parts.append(chance.choice(names.articulations.rows).name)
    if chance.random() < 0.5:
        parts.append(
            chance.choice(("quarter = 84", "half = 60", "dotted quarter = 66", "eighth = 120 to 160"))
        )
    return ", ".join(parts)


@pytest.fixture(scope="session")
def xml_of() -> Callable[[Music], bytes]:
    return lambda music: as_musicxml(
        music.title, [XmlPart(music.instrument, music.exercises, breaks=music.breaks)]
    )


@pytest.fixture(scope="session")
def with_music21() -> Callable[[bytes], Any]:
    """A score read by music21."""
    return lambda data: converter.parse(data, format="musicxml", forceSource=True)


@pytest.fixture(scope="session")
def partitura() -> Any:
    """The library partitura; it takes seconds to load."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return importlib.import_module("partitura")


@pytest.fixture(scope="session")
def with_partitura(partitura: Any) -> Callable[[bytes], Any]:
    """The parts of a score read by partitura."""

    def read(data: bytes) -> Sequence[Any]:
        with warnings.catch_warnings():
            # It says of each direction in words that it does not know it.
            warnings.simplefilter("ignore", UserWarning)
            return list(partitura.load_musicxml(io.BytesIO(data)))

    return read
