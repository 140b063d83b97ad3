"""The tuning page: every note of the player's, the drone it is held against, and what was found the last time."""

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.tuning_file import read_tuning
from generator.engraving.render_tuning import render_tuning
from generator.errors import BadFileError, RequestError
from generator.exercise.tuning import Reading, drone_of, tuning_notes
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.tuning import lay_out_tuning, tuning_words
from generator.practice.tuning import keep_readings, reading_said, readings_of
from generator.theory.pitch import Pitch
from tests.fixtures.hostile_text import HOSTILE

ALTO = player_named("alto saxophone")


@pytest.mark.parametrize("instrument", ["flute", "alto saxophone", "trombone", "double bass", "alto voice"])
def test_every_half_step_of_the_players_notes_stands_once(instrument):
    player = player_named(instrument)
    heights = [note.height for note in tuning_notes(player)]
    assert heights == list(range(player.compass.low.height, player.compass.high.height + 1))


def test_the_drone_is_the_concert_note():
    # Common practice: an alto saxophone's written C sounds E-flat, a trumpet's B-flat, a flute's C.
    for name, sounds in (("alto saxophone", "Eb"), ("trumpet", "Bb"), ("flute", "C"), ("horn", "F")):
        assert drone_of(Pitch.parse("C5"), player_named(name)).name == sounds


@pytest.mark.parametrize(("instrument", "why"), [
    ("xylophone", "a maker tunes it"), ("piano", "a tuner tunes it"), ("snare drum", "no definite pitch"),
])  # fmt: skip
def test_where_the_pitch_is_not_the_players_there_is_nothing_to_tune(instrument, why, desk):
    said = desk.type("tuning", "-i", instrument)
    assert said.code == 2
    assert why in said.words
    assert said.out == []


@pytest.mark.parametrize(("said", "reading"), [
    ("F#5 +12 side", ("F#5", 12, "side")), ("f sharp 5 12 13", None), ("F#5: -5 cents", ("F#5", -5, "")),
    ("Bb3 \u22127, low key", ("Bb3", -7, "low key")), ("G4 0", ("G4", 0, "")), ("G4", None), ("G4 +120", None),
    ("H4 +2", None), ("C2 +2", None), ("G4 +2" + "x" * 40, None),
])  # fmt: skip
def test_what_is_typed_is_understood_or_refused(said, reading):
    if reading is None:
        if said.endswith("x" * 40):
            assert len(reading_said(said, ALTO).fingering) <= 14
            return
        with pytest.raises(RequestError):
            reading_said(said, ALTO)
        return
    found = reading_said(said, ALTO)
    assert (found.written.name, found.cents, found.fingering) == reading


def test_what_was_found_is_kept_beside_the_plan_and_replaced_by_the_next(desk):
    plan = desk.plan('instrument = "alto saxophone"\n[[keep]]\nphrase = "G major"\n')
    said = desk.type("tuning", "F#5 +12 side", "G4 -5")
    assert said.out == [str(plan.parent / "tuning.toml")]
    desk.sleep()
    desk.type("tuning", "F#5 +4 side", "F#5 -3")
    data = tomllib.loads((plan.parent / "tuning.toml").read_text("utf-8"))["note"]
    # Read back by the standard library: one row for each note and fingering, the newest cents.
    assert [(row["written"], row.get("fingering", ""), row["cents"]) for row in data] == [
        ("G4", "", -5), ("F#5", "side", 4), ("F#5", "", -3),
    ]  # fmt: skip
    assert str(data[1]["date"]) == "2027-01-05"


def test_instruments_stay_apart_and_names_of_one_note_are_one(tmp_path):
    path = tmp_path / "tuning.toml"
    day = dt.date(2027, 1, 4)
    keep_readings(path, ALTO, ["F#5 +12"], day)
    keep_readings(path, player_named("flute"), ["F#5 -2"], day)
    keep_readings(path, ALTO, ["Gb5 +3"], day)
    (height,) = readings_of(path, ALTO)
    assert [one.cents for one in readings_of(path, ALTO)[height]] == [3]
    assert [one.cents for one in readings_of(path, player_named("flute"))[height]] == [-2]


def test_one_wrong_reading_keeps_none(desk):
    said = desk.type("tuning", "-i", "flute", "G5 +2", "G5 +200")
    assert said.code == 2
    assert not (desk.home / "tuning.toml").exists()


def test_a_file_with_mistakes_is_refused_with_their_lines_and_left_alone(desk):
    path = desk.home / "tuning.toml"
    desk.home.mkdir()
    text = '[[note]]\ninstrument = "flut"\nwritten = "H5"\ncents = 200\ndate = 2027-01-04\n'
    path.write_text(text, "utf-8")
    said = desk.type("tuning", "-i", "flute", "G5 +2")
    assert said.code == 2
    for line in (2, 3, 4):
        assert f"tuning.toml, line {line}:" in said.words
    assert path.read_text("utf-8") == text
    with pytest.raises(BadFileError):
        read_tuning(path, shared_catalogue())


@given(st.lists(st.tuples(st.integers(58, 89), st.integers(-99, 99), st.text(max_size=20)), max_size=8))
def test_whatever_is_kept_is_read_back(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("tuning") / "tuning.toml"
    day = dt.date(2027, 1, 4)
    wanted = {}
    for height, cents, text in rows:
        reading = reading_said(f"{_name(height)} {cents:+d} {text}", ALTO)
        keep_readings(path, ALTO, [f"{_name(height)} {cents:+d} {text}"], day)
        wanted[height, reading.fingering.casefold()] = cents
    found = {
        (height, one.fingering.casefold()): one.cents
        for height, some in readings_of(path, ALTO).items()
        for one in some
    }
    assert found == wanted


def _name(height):
    return next(note.name for note in tuning_notes(ALTO) if note.height == height)


def test_the_page_shows_each_note_its_drone_and_the_last_time():
    readings = {79: [Reading(Pitch.parse("G5"), -4), Reading(Pitch.parse("G5"), 3, "side")]}
    page = lay_out_tuning(ALTO, readings, tuning_words(ALTO, "", "", ""), Paper.of("letter", "normal"))
    at = [note.height for note in page.notes].index(79)
    labels = [row.label for row in page.rows]
    assert labels == ["drone", "fingering", "last time", "cents", "fingering", "last time", "cents"]
    assert [row.cells[at] for row in page.rows] == ["B-flat", "", "-4", "", "side", "+3", ""]
    assert all(len(row.cells) == len(page.notes) for row in page.rows)
    plain = lay_out_tuning(ALTO, {}, tuning_words(ALTO, "", "", ""), Paper.of("letter", "large"))
    assert [row.label for row in plain.rows] == ["drone", "fingering", "cents", "fingering", "cents"]
    assert plain.per_line < page.per_line


@given(text=HOSTILE)
def test_a_fingering_is_words_and_never_a_command(text):
    readings = {79: [Reading(Pitch.parse("G5"), -4, text)]}
    page = lay_out_tuning(ALTO, readings, tuning_words(ALTO, text, "", ""), Paper.of("a4", "normal"))
    render_tuning(page, data_folder("templates"))  # the second lock would refuse it


@pytest.mark.lilypond
@pytest.mark.parametrize(
    ("instrument", "more"),
    [("alto saxophone", ()), ("tuba", ("--paper", "a4", "--print", "large")), ("cello", ())],
)
def test_the_page_is_engraved(instrument, more, desk):
    desk.type("tuning", "-i", "alto saxophone", "F#5 +12 side", "C#5 -18")
    said = desk.type("tuning", "-i", instrument, *more)
    assert (said.code, len(said.out)) == (0, 1)
    assert (desk.folder / said.out[0]).read_bytes().startswith(b"%PDF-")
    assert desk.type("tuning", "-i", instrument, "-f", "midi").code == 2
    assert Path(said.out[0]).name.startswith("tuning-")
