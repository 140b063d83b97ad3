"""A phrase and an instrument mean the same in every command: key lists and percussion are rows like any other."""

import json
from pathlib import Path
from typing import Any

import pytest

from generator.catalogue.tables import shared_catalogue
from tests.fixtures.command import run_here

# Source: Northeastern Music Publications, grading chart, grades 1/2 to 2 (the concert keys of young bands).
BAND_KEYS = ["Bb", "Eb", "F", "Ab"]


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def exercises(*words: str) -> list[dict[str, Any]]:
    (path,) = run_here(*words, "-f", "json", "-q").succeeds()
    found: list[dict[str, Any]] = json.loads(Path(path).read_text("utf-8"))["exercises"]
    return found


def test_a_list_of_concert_keys_is_read_in_the_key_of_the_instrument() -> None:
    for instrument, keys in {
        "flute": BAND_KEYS,
        # Common practice, no source: an alto saxophone reads a major sixth above the concert key, a trumpet a tone.
        "alto saxophone": ["G", "C", "D", "F"],
        "trumpet in B-flat": ["C", "F", "G", "Bb"],
    }.items():
        made = exercises("sheet", "usual band keys, major in thirds", "-i", instrument)
        assert [one["key"] for one in made] == keys
        assert {one["figure"] for one in made} == {"thirds"}


def test_written_makes_the_keys_of_a_list_those_that_are_read() -> None:
    made = exercises("sheet", "written usual band keys, major", "-i", "alto saxophone")
    assert [one["key"] for one in made] == BAND_KEYS


def test_a_list_may_stand_behind_the_form() -> None:
    made = exercises("sheet", "major on first band keys", "-i", "flute")
    assert [one["key"] for one in made] == BAND_KEYS[:2]


def test_a_key_beside_a_list_is_refused() -> None:
    run_here("sheet", "G major, usual band keys", "-i", "flute").fails(
        2, "names keys and usual band keys as well"
    )


def test_a_plan_takes_a_list_of_keys(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text('instrument = "horn"\n[[keep]]\nphrase = "usual band keys, major"\n', "utf-8")
    said = run_here("plan", "check", "--home", str(tmp_path / "home"))
    assert said.code == 0
    assert "4 exercises, no mistakes" in said.words


def test_lists_of_keys_are_listed_with_what_they_hold() -> None:
    rows = {
        row["name"]: row
        for row in json.loads("\n".join(run_here("list", "key", "lists", "--json").succeeds()))
    }
    assert rows["usual band keys"]["keys"] == ["B-flat", "E-flat", "F", "A-flat"]
    assert rows["usual band keys"]["source"]
    assert run_here("list", "key-lists").succeeds() == run_here("list", "key lists").succeeds()


def test_every_list_of_keys_is_understood_on_every_family() -> None:
    for row in shared_catalogue().key_lists.rows:
        for instrument in ("flute", "tuba", "violin", "snare drum"):
            made = exercises("sheet", f"{row.name}, major, one octave", "-i", instrument)
            assert len(made) == (1 if instrument == "snare drum" else len(row.keys))


@pytest.mark.parametrize("name", [row.name for row in shared_catalogue().instruments.rows if row.unpitched])
def test_percussion_reads_the_rhythm_once_on_one_line(name: str) -> None:
    (made,) = exercises("sheet", "all keys, major in thirds, swing", "-i", name)
    assert made["unpitched"] is True
    notes = [note for bar in made["bars"] for note in bar["notes"] if note["written"]]
    assert {(note["sounding"], note["midi"], note["slur"]) for note in notes} == {(None, None, None)}
    assert (name == "drum set") or {note["written"] for note in notes} == {"C4"}


def test_percussion_has_no_lowest_note_and_no_slurs_over_partials() -> None:
    run_here("sheet", "F major", "-i", "snare drum", "--low", "C4").fails(2, "reads rhythm on one line")
    run_here("sheet", "lip slurs", "-i", "snare drum").fails(2, "not for the snare drum")


@pytest.mark.lilypond
def test_a_drummers_sheet_is_engraved_with_one_line() -> None:
    pdf, text = run_here("sheet", "F major, one octave", "-i", "snare drum", "-f", "pdf,ly", "-q").succeeds()
    assert Path(pdf).read_bytes().startswith(b"%PDF-")
    # LilyPond, Notation Reference, "Staff symbol properties": line-count.
    assert "\\override Staff.StaffSymbol.line-count = #1" in Path(text).read_text("utf-8")


def test_a_drummer_has_a_plan_and_a_day(tmp_path: Path) -> None:
    words = ("today", "-i", "snare drum", "--home", str(tmp_path / "home"), "--date", "2027-02-06")
    made = exercises(*words)
    assert made
    assert all(one["unpitched"] for one in made)
    assert run_here("played", "all", "--home", str(tmp_path / "home"), "--date", "2027-02-06").code == 0
