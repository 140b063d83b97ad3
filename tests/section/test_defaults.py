"""What a handout takes where the phrase does not say."""

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import from_names
from generator.exercise.records import Exercise
from generator.section.defaults import with_defaults
from generator.section.rehearsal import rehearse
from generator.section.rehearsal_plan import RehearsalPlan


def first(
    phrase: str, names: str = "flute, clarinet, tuba", level: str = "standard", **how: object
) -> Exercise:
    return pages(phrase, names, level, **how)[0]


def pages(phrase: str, names: str, level: str, **how: object) -> tuple[Exercise, ...]:
    section = from_names(names, level, shared_catalogue().instruments)
    plan = with_defaults(RehearsalPlan((phrase,), **how), section)  # type: ignore[arg-type]
    return rehearse(section, plan).parts[0].exercises


@pytest.mark.parametrize(
    ("said", "heading", "tempo"),
    [
        ("concert B-flat", "B-flat major, one octave, eighths", 80),
        ("B-flat in thirds", "B-flat major in thirds, one octave, eighths", 80),
        ("concert B-flat, two octaves", "B-flat major, two octaves, eighths", 80),
        ("concert B-flat, sixteenths", "B-flat major, one octave, sixteenths", 80),
        ("concert B-flat, at 66", "B-flat major, one octave, eighths", 66),
        ("concert B-flat, full range", "B-flat major, two octaves, eighths", 80),
        ("concert B-flat, slurred pairs", "B-flat major, one octave, eighths, slurred pairs", 80),
        ("concert B-flat, double tongue", "B-flat major, one octave, double tongue", 80),
        ("concert B-flat in tetrachords", "B-flat major in tetrachords", 60),
        ("concert B-flat tuning chorale", "B-flat major tuning chorale, upper voice", 60),
        ("lip slurs", "Flexibility with the brass", 60),
    ],
)
def test_a_handout_has_one_octave_in_eighths_at_a_tempo(said: str, heading: str, tempo: int) -> None:
    made = first(said)
    assert made.heading == heading
    assert made.tempo is not None
    assert made.tempo.bpm == tempo


def test_beginners_have_quarters_at_sixty() -> None:
    # Reykjavik city, trumpet grade 1: crotchets at M.M. 60.
    made = first("concert B-flat", "flute, trumpet", "first notes")
    assert {str(note.value) for bar in made.bars[:2] for note in bar.notes} <= {"4", "2"}
    assert made.tempo is not None
    assert made.tempo.bpm == 60
    # One beginner is enough.
    section = from_names("flute", "standard", shared_catalogue().instruments)
    young = from_names("trumpet", "first notes", shared_catalogue().instruments)
    both = type(section)("", section.chairs + young.chairs)
    assert with_defaults(RehearsalPlan(()), both).ways.rhythms[0].name == "quarters"


def test_each_keeps_their_own_range_where_that_is_asked_for() -> None:
    assert first("concert B-flat", own_range=True).span == "full range"


def test_fifteen_keys_sound_twelve() -> None:
    made = pages("all fifteen keys, major", "flute, clarinet", "standard")
    assert len({p.pitches[0].height % 12 for p in made}) == len(made) == 12
    # Whoever reads the same written notes has other names to learn.
    assert len(pages("written all fifteen keys, major", "flute", "standard")) == 15


def test_octaves_are_those_of_a_school_band() -> None:
    # First scales as band methods print them: flutes on the staff, no tuba lower than B-flat (common
    # practice, no source).
    expected = {
        "B-flat": ["Bb4", "C4", "C4", "F4", "Bb2", "Bb1"],
        "E-flat": ["Eb4", "F4", "F4", "Bb3", "Eb3", "Eb2"],
        "F": ["F4", "G4", "G4", "C4", "F2", "F2"],
        "A-flat": ["Ab4", "Bb4", "Bb3", "Eb4", "Ab2", "Ab2"],
    }
    table = shared_catalogue().instruments
    section = from_names("flute, clarinet, trumpet, horn, trombone, tuba", "standard", table)
    for key, first_notes in expected.items():
        made = rehearse(section, with_defaults(RehearsalPlan((f"concert {key}",)), section))
        found = {part.player.instrument.name: part.exercises[0].pitches[0].name for part in made.parts}
        names = ("flute", "clarinet in B-flat", "trumpet in B-flat", "horn in F", "trombone", "tuba")
        assert [found[name] for name in names] == first_notes, key
