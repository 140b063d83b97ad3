"""[reader] in a plan and reader of a chair: what may stand there, and what is told about mistakes."""

from pathlib import Path

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_plan
from generator.documents.section_file import read_section
from generator.errors import BadFileError
from generator.pages.reader import USUAL_READER, ReaderNeeds
from tests.fixtures.command import run_here

KEEP = '[[keep]]\nphrase = "all keys, major"\n'
WHOLE = """[reader]
staff = 26
landscape = true
lines = 1.5
letters = "plain"
bars = 2
spacing = 1.3
names = "under"
tint = "cream"
ottava = true
"""
READER = ReaderNeeds(26, True, 1.5, "plain", 2, 1.3, "under", "cream", True)


def plan_reader(folder: Path, text: str) -> ReaderNeeds:
    path = folder / "plan.toml"
    path.write_text(text + KEEP)
    plan, file = read_plan(path, shared_catalogue())
    file.refuse()
    return plan.reader


def test_a_plan_without_a_reader_has_the_usual_one(tmp_path: Path) -> None:
    assert plan_reader(tmp_path, "") == USUAL_READER
    assert plan_reader(tmp_path, "[reader]\n") == USUAL_READER


def test_everything_a_reader_can_ask_for(tmp_path: Path) -> None:
    assert plan_reader(tmp_path, WHOLE) == READER


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("staf = 26", "line 2: unknown field 'staf'; nearest: staff"),
        ("staff = 5", "line 2: staff: 5 is no number from 12 to 60"),
        ('staff = "26"', 'line 2: staff: "26" in quotes is no number from 12 to 60'),
        ("lines = 9", "line 2: lines: 9 is no number from 1 to 3"),
        ('letters = "serif"', "line 2: letters: unknown 'serif'; it can be usual, plain"),
        ("bars = 0", "line 2: bars: 0 is no whole number from 1 to 12"),
        ('names = "over"', "line 2: names: unknown 'over'; it can be none, in, under"),
        ('tint = "creme"', "line 2: tint: unknown 'creme'; nearest: cream"),
        ("landscape = 1", "line 2: landscape: 1 is neither true nor false"),
    ],
)
def test_a_mistake_is_told_in_one_line_with_its_place(row: str, told: str, tmp_path: Path) -> None:
    with pytest.raises(BadFileError) as error:
        plan_reader(tmp_path, f"[reader]\n{row}\n")
    assert str(error.value) == f"plan.toml, {told}"


def test_a_reader_that_is_no_table_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadFileError, match=r"line 1: reader is a table; write it under \[reader\]"):
        plan_reader(tmp_path, "reader = 26\n")


def test_a_chair_has_a_reader_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "section.toml"
    path.write_text(
        '[[chair]]\ninstrument = "flute"\n[[chair]]\ninstrument = "tuba"\nreader = { staff = 26, letters = "plain" }\n'
    )
    flute, tuba = read_section(path, shared_catalogue().instruments).chairs
    assert flute.reader == USUAL_READER
    assert tuba.reader == ReaderNeeds(staff=26, letters="plain")


def test_mistakes_of_a_chairs_reader_are_all_told(tmp_path: Path) -> None:
    path = tmp_path / "section.toml"
    path.write_text('[[chair]]\ninstrument = "flute"\nreader = { stff = 26, tint = "blak" }\n')
    with pytest.raises(BadFileError) as error:
        read_section(path, shared_catalogue().instruments)
    told = str(error.value).split("\n")
    assert len(told) == 2
    assert all(line.startswith("section.toml, line 3: reader: ") for line in told)
    assert "unknown field 'stff'; nearest: staff" in str(error.value)
    assert "tint: unknown 'blak'; there is none, cream, " in str(error.value)


def test_a_sheet_follows_the_reader_of_the_plan_and_options_go_before_it(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(WHOLE + KEEP)
    words = ("sheet", "G major", "-i", "flute", "-f", "ly", "--home", str(tmp_path / "home"))

    def text(*more: str) -> str:
        (path,) = run_here(*words, *more, folder=tmp_path).succeeds()
        return (tmp_path / path).read_text()

    own = text()
    assert "set-global-staff-size 26)" in own
    assert "'landscape" in own
    assert "set-global-staff-size 28)" in text("--print", "large")
    assert "set-global-staff-size 20)" in text("--staff", "20")
    assert "'landscape" not in text("--portrait")


@pytest.mark.parametrize("staff", ["5", "400"])
def test_a_staff_that_cannot_be_printed_is_refused(staff: str, tmp_path: Path) -> None:
    run_here("sheet", "G major", "-i", "flute", "--staff", staff, folder=tmp_path).fails(2, "12 to 60")
    run_here("handout", "concert F major", "--instruments", "flute", "--staff", staff, folder=tmp_path).fails(
        2, "12 to 60"
    )
