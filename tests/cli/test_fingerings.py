"""Help for the hand by choice: on a sheet, on the sheet of a day, in a handout, and a player's own hints."""

import json
import re
from pathlib import Path

import pytest
from lxml import etree

from tests.fixtures.command import loaded_by, run_here

HINTS = """
[[hint]]
instrument = "clarinet"
note = "B4"
print = "2P"
key = "C"
[[hint]]
note = "G"
print = "x"
"""


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def fingers(path: str, part: str = "bars") -> list[str]:
    data = json.loads(Path(path).read_text("utf-8"))
    return [n.get("fingering", "") for bar in data["exercises"][0][part] for n in bar["notes"]]


def test_nothing_is_printed_and_nothing_read_unless_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("generator.catalogue.fingerings._rows", pytest.fail)
    (path,) = run_here("sheet", "C major, one octave", "-i", "trumpet", "-f", "json").succeeds()
    assert not any(fingers(path))


def test_valves_on_a_sheet_are_in_every_format() -> None:
    asked = (
        "sheet",
        "C major, one octave, quarters",
        "-i",
        "trumpet",
        "--fingerings",
        "-f",
        "ly,musicxml,json",
    )
    paths = run_here(*asked).succeeds()
    ly, xml, data = (next(p for p in paths if p.endswith(end)) for end in (".ly", ".musicxml", ".json"))
    wanted = ["0", "1-3", "1-2", "1", "0", "1-2", "2", "0"]
    assert fingers(data)[:8] == wanted
    root = etree.fromstring(Path(xml).read_bytes())
    assert [one.text for one in root.iter("fingering")][:8] == wanted
    (line,) = re.findall(r"\\addlyrics \{ (.*) \}", Path(ly).read_text("utf-8"))
    assert line.startswith('"0" \\markup \\stacked "1-3" \\markup \\stacked "1-2" "1" "0"')


def test_fingers_of_both_hands_stand_over_and_under_the_staves() -> None:
    asked = ("sheet", "C major, one octave, quarters", "-i", "piano", "--fingerings", "-f", "ly,json")
    paths = run_here(*asked).succeeds()
    text = Path(next(p for p in paths if p.endswith(".ly"))).read_text("utf-8")
    right, left = text.split("\\new PianoStaff")[1].split("\\new Staff")[1:]
    assert right.count("^1") > 2
    assert left.count("_5") == 2
    data = next(p for p in paths if p.endswith(".json"))
    assert fingers(data)[:8] == list("12312345")
    assert fingers(data, "left")[:8] == list("54321321")


@pytest.mark.parametrize(("phrase", "instrument", "words"), [
    ("C major", "flute", "no fingerings for the flute; there are some for brass"),
    ("C major arpeggio", "piano", "no fingerings for the piano in exercise 1; there are"),
])  # fmt: skip
def test_what_is_not_covered_is_said_in_one_line(phrase: str, instrument: str, words: str) -> None:
    said = run_here("sheet", phrase, "-i", instrument, "--fingerings", "-f", "json")
    said.succeeds()
    assert [line for line in said.err if words in line] == said.err[:1]


def test_a_page_with_help_is_another_file_than_one_without() -> None:
    asked = ("sheet", "C major", "-i", "tuba", "-f", "json")
    assert run_here(*asked).succeeds() != run_here(*asked, "--fingerings").succeeds()


def test_hints_of_ones_own_stand_alone_or_beside_the_charts() -> None:
    Path("hints.toml").write_text(HINTS, "utf-8")
    asked = (
        "sheet",
        "C major, two octaves, quarters",
        "-i",
        "clarinet",
        "--hints",
        "hints.toml",
        "-f",
        "json",
    )
    (path,) = run_here(*asked).succeeds()
    assert set(fingers(path)) == {"", "2P", "x"}
    (path,) = run_here(*asked, "--fingerings").succeeds()
    assert {"2P", "x", "R"} <= set(fingers(path))
    (path,) = run_here(
        "sheet", "G major, one octave", "-i", "clarinet", "--hints", "hints.toml", "-f", "json"
    ).succeeds()
    assert "2P" not in fingers(path)


@pytest.mark.parametrize(("text", "words"), [
    ("", "holds no hint; write a [[hint]]"), ('[[hint]]\nprint = "L"\n', 'says which, like note = "B4"'),
    ('[[hint]]\nnote = "H4"\nprint = "L"\n', "line 2"),
    ('[[hint]]\nnote = "B4"\nprint = "left hand"\n', "at most 4 characters"),
    ('[[hint]]\nnote = "B4"\nprint = "L"\ninstrumnt = "flute"\n', "nearest: instrument"),
    ('[[hint]]\nnote = "B4"\nprint = "L"\nkey = "X"\n', "no note name"),
])  # fmt: skip
def test_a_mistake_in_a_file_of_hints_is_told_with_its_line(text: str, words: str) -> None:
    Path("hints.toml").write_text(text, "utf-8")
    run_here("sheet", "C major", "-i", "clarinet", "--hints", "hints.toml", "-f", "json").fails(2, words)


def test_a_hint_never_reaches_the_page_unescaped() -> None:
    Path("hints.toml").write_text('[[hint]]\nnote = "C"\nprint = "\\"#{}"\n', "utf-8")
    (path,) = run_here("sheet", "C major", "-i", "flute", "--hints", "hints.toml", "-f", "ly").succeeds()
    assert '"\\"#{}"' in Path(path).read_text("utf-8")


def test_a_plan_asks_for_help_and_names_its_hints(tmp_path: Path) -> None:
    plan = tmp_path / "music" / "plan.toml"
    plan.parent.mkdir()
    plan.write_text(
        'instrument = "trumpet"\nfingerings = true\nhints = "mine.toml"\n'
        '[[keep]]\nphrase = "C major, one octave, quarters"\n'
    )
    (plan.parent / "mine.toml").write_text('[[hint]]\nnote = "E4"\nprint = "3"\n')
    asked = ("today", "--date", "2027-01-04", "--home", "h", "-f", "json", "--plan", str(plan))
    (path,) = run_here(*asked).succeeds()
    assert fingers(path)[:5] == ["0", "1-3", "3", "1", "0"]
    (plan.parent / "mine.toml").unlink()
    run_here(*asked).fails(3, "mine.toml")


def test_parts_of_a_handout_have_their_own_and_the_score_none() -> None:
    said = run_here(
        "handout", "concert F major, one octave, quarters", "--instruments", "trumpet, flute, trombone, piano",
        "--fingerings", "-f", "ly,musicxml,json",
    )  # fmt: skip
    paths = said.succeeds()
    assert "no fingerings for the flute" in said.words
    part = {
        name: next(p for p in paths if name in p and p.endswith(".json"))
        for name in ("trumpet", "flute", "trombone")
    }
    assert fingers(part["trumpet"])[:3] == ["0", "1-2", "2"]  # G A B
    assert fingers(part["trombone"])[:3] == ["6", "4", "2"]  # F2 G2 A2, which lie on the staff
    assert not any(fingers(part["flute"]))
    score = next(p for p in paths if p.endswith("score.musicxml"))
    assert b"<fingering>" not in Path(score).read_bytes()


def test_charts_are_no_part_of_getting_started() -> None:
    loaded = loaded_by("sheet", "C major, one octave", "-i", "trumpet", "-f", "json")
    assert "music21" not in loaded
    assert not [name for name in loaded if "finger_charts" in name or "hints_file" in name]
