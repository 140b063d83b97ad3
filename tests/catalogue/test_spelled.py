"""Instruments as people write them: an ordinary list, doublers, chairs, and what must be asked about."""

import tomllib
from pathlib import Path

import pytest

from generator.catalogue.spelled import chair_number, instrument_named, spelled
from generator.catalogue.tables import shared_catalogue
from generator.errors import UnknownNameError

SAID = tomllib.loads((Path(__file__).parents[1] / "data" / "spellings.toml").read_text("utf-8"))
ORDINARY = [(said, name) for name, spellings in SAID["meanings"].items() for said in spellings]


def test_the_list_is_a_long_one() -> None:
    assert len(ORDINARY) > 200
    assert len({said for said, _ in ORDINARY}) == len(ORDINARY)


@pytest.mark.parametrize(("said", "name"), ORDINARY)
def test_ordinary_spellings_are_understood(said: str, name: str) -> None:
    for text in (said, said.upper(), f"  {said} "):
        assert [part.instrument.name for part in spelled(text).parts] == [name]


@pytest.mark.parametrize("row", shared_catalogue().instruments.rows, ids=lambda row: row.name)
def test_whatever_the_program_prints_it_reads(row) -> None:
    # A singer's label is one word; in a band a baritone is a horn.
    for text in (row.name, row.short, *(() if row.family == "voices" else (row.label,)), row.name.title()):
        found = spelled(text)
        assert [p.instrument.name for p in found.parts] == [row.name] or row.name in found.likely
    assert [p.instrument.name for p in spelled(row.short).parts] == [row.name]


@pytest.mark.parametrize(("said", "first"), SAID["doubtful"].items())
def test_what_several_share_is_asked_about(said: str, first: str) -> None:
    found = spelled(said)
    assert (found.parts, found.likely[0]) == ((), first)
    assert len(found.likely) > 1


@pytest.mark.parametrize(("said", "names"), SAID["doublers"].items())
def test_a_doubler_gets_both(said: str, names: list[str]) -> None:
    assert [part.instrument.name for part in spelled(said).parts] == names


@pytest.mark.parametrize(("said", "number"), SAID["chairs"].items())
def test_numbers_name_the_chair(said: str, number: int) -> None:
    assert chair_number(said) == spelled(said).parts[0].chair == number


@pytest.mark.parametrize(("said", "name"), SAID["misspelt"].items())
def test_one_wrong_letter_is_put_right_and_said(said: str, name: str) -> None:
    (part,) = spelled(said).parts
    assert (part.instrument.name, part.guessed) == (name, True)


@pytest.mark.parametrize(
    "said", ["", " - ", "n/a", "?", "none", "conductor", "Ada Quill", "viola da gamba", "7", "II"]
)
def test_what_is_no_instrument_stays_none(said: str) -> None:
    assert spelled(said).parts == ()


def test_score_abbreviations_do_for_a_player_too() -> None:
    assert instrument_named("Bari. Sax.").name == "baritone saxophone"
    with pytest.raises(UnknownNameError, match="unknown instrument 'Clarinett'"):
        instrument_named("Clarinett")
