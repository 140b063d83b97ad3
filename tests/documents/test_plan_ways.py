"""What a plan settles about phrases: which minor a bare one is, figures under names, several things in one phrase."""

from pathlib import Path

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_plan, read_ways
from generator.errors import BadFileError
from generator.phrase.read import parse_all
from generator.phrase.write import canonical
from tests.fixtures.command import run_here

NAMES = shared_catalogue()
PLAN = """
instrument = "clarinet"
minor = "melodic"
[figures]
cascade = "1 3 5 3 4 2 7, 1"
"zigzag home" = "5 3 1 3"
[[keep]]
phrase = "A minor and D minor in thirds"
[[keep]]
phrase = "all keys, major in cascade, quarter = 60 to 90"
[[keep]]
phrase = "F major scale and arpeggio, then in Zigzag Home"
"""


def kept(path: Path) -> list[str]:
    plan, file = read_plan(path, NAMES)
    file.refuse()
    return [canonical(keep.request) for keep in plan.keeps]


def test_phrases_are_read_as_the_plan_says(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    assert kept(tmp_path / "plan.toml") == [
        "A melodic minor in thirds",
        "D melodic minor in thirds",
        "all keys, major in 1 3 5 3 4 2 low 7 1",
        "F major",
        "F major arpeggio",
        "F major in 5 3 1 3",
    ]


def test_a_written_phrase_means_the_same_without_the_plan(tmp_path: Path) -> None:
    # The log and a day's sheet keep written phrases, and know nothing of the plan.
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    for phrase in kept(tmp_path / "plan.toml"):
        assert [canonical(one) for one in parse_all(phrase, NAMES)] == [phrase]


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        (
            'minor = "melodic"',
            'minor = "dorian"',
            "line 3: minor: unknown 'dorian'; it can be natural, harmonic",
        ),
        ('"5 3 1 3"', '"5 3 x 3"', "'x' is no degree; write a figure like 1 3 5 3 4 2 7, 1"),
        ('"5 3 1 3"', '"5"', "a figure of your own has 3 to 32 degrees, not 1"),
        ('"5 3 1 3"', "5", "needs its degrees as a text"),
        ('"zigzag home"', '"Thirds"', "'Thirds' means something already; choose another name"),
        ('"zigzag home"', '"7"', "'7' cannot name a figure; begin with a letter"),
        ("in cascade", "in cascades", "'cascades' (character 20 of 'all keys, major in cascades, "),
        ("in cascade", "in cascades", "nearest: cascade"),
    ],
)
def test_mistakes_are_told(old: str, new: str, reason: str, tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    assert old in PLAN
    path.write_text(PLAN.replace(old, new), "utf-8")
    with pytest.raises(BadFileError) as caught:
        kept(path)
    assert reason in str(caught.value)


def test_a_name_of_ones_own_is_offered_like_any_other(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    ways = read_ways(tmp_path / "plan.toml", NAMES)
    assert ways.minor == "melodic"
    assert [canonical(one) for one in parse_all("C major in Cascade, up", NAMES, ways)] == [
        "C major in 1 3 5 3 4 2 low 7 1, up"
    ]


def sheet(folder: Path) -> str:
    """The file that a bare minor makes."""
    said = run_here(
        "sheet", "A minor", "-f", "json", "-i", "flute", "--home", str(folder / "home"), folder=folder
    )
    return said.succeeds()[0]


def test_a_sheet_reads_phrases_as_the_plan_does(tmp_path: Path) -> None:
    assert "a-harmonic-minor" in sheet(tmp_path)
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    assert "a-melodic-minor" in sheet(tmp_path)
    # A plan with mistakes is told about by the commands that need it.
    (tmp_path / "plan.toml").write_text("minor = [", "utf-8")
    assert "a-harmonic-minor" in sheet(tmp_path)
