"""``section new``: from a roster to a section file, asking once about what is open."""

import pytest

from tests.fixtures.command import run_here

ROSTER = "Name,Instrument\nAda Quill,Cl. 2\nBo Fenn,Bass\nCy Holt,bass\nDi Marl,kazoo\nEd Rusk,Flute/Picc\n"


@pytest.fixture
def roster(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_text(ROSTER, "utf-8")
    return path


def test_what_is_open_is_asked_about_once_and_kept(roster):
    said = run_here("section", "new", "roster.csv", folder=roster.parent, answers="9\n3\ncclarinet\n-\n")
    assert said.code == 0
    assert said.out == ["section.toml"]
    table = [line for line in said.err if line.startswith("  'Bass'")]
    assert table == [
        "  'Bass'   lines 3 Bo Fenn, 4 Cy Holt  1 double bass  2 bass guitar  3 tuba  4 bass clarinet  5 bass voice"
    ]
    assert "'9' is no number of the list" in said.words
    assert "5 parts for 4 players" in said.words
    text = roster.with_name("section.toml").read_text("utf-8")
    assert text.count('instrument = "tuba"') == 2
    assert 'name = "Cl. 2"' in text
    again = run_here("section", "new", "roster.csv", "--force", folder=roster.parent, answers="")
    assert (again.code, "in doubt" in again.words) == (0, False)
    assert roster.with_name("section.toml").read_text("utf-8") == text


def test_without_a_terminal_it_stands_in_the_file_as_a_comment(roster):
    said = run_here(
        "section",
        "new",
        "roster.csv",
        "--out",
        "band.toml",
        "--answer",
        "bass = double bass",
        folder=roster.parent,
    )
    assert (said.code, said.out) == (0, ["band.toml"])
    assert (
        "roster.csv, line 5 (Di Marl): instrument: 'kazoo' is no instrument that is known here" in said.words
    )
    assert "# line 5 (Di Marl)" in roster.with_name("band.toml").read_text("utf-8")
    printed = run_here(
        "handout",
        "concert B-flat major",
        "--section",
        "band.toml",
        "-f",
        "json",
        "--no-score",
        folder=roster.parent,
    )
    assert (printed.code, len(printed.out)) == (0, 5)


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--answer", "Bass"), "--answer 'Bass': write what the roster says = what it means"),
        (("--answer", "Bass = sax"), "'sax' may be several instruments"),
        (("--answer", "Bass = 9"), "'9' is no number of the list"),
        (("--out", "roster.csv"), "roster.csv is there already; --force replaces it"),
    ],
)
def test_wrong_answers_are_refused_and_nothing_is_written(roster, words, reason):
    said = run_here("section", "new", "roster.csv", *words, folder=roster.parent)
    assert said.code == 2
    assert reason in said.words
    assert not roster.with_name("section.toml").exists()
    assert roster.read_text("utf-8") == ROSTER


def test_a_handout_from_a_roster_prints_who_is_certain_and_names_the_rest(roster):
    said = run_here(
        "handout",
        "concert B-flat major",
        "--roster",
        "roster.csv",
        "-f",
        "json",
        "--no-score",
        folder=roster.parent,
    )
    assert (said.code, len(said.out)) == (0, 3)
    assert (
        "line 3 (Bo Fenn): instrument: 'Bass' may be several instruments; likely: double bass" in said.words
    )
    assert "to settle that: scalewright section new roster.csv --out section.toml" in said.words
