"""What one phrase becomes: its exercises, in order, each with what it wears."""

import pytest

from generator.catalogue.players import player_named
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.records import Exercise
from generator.phrase import expand

FLUTE = player_named("flute")


def made(*phrases: str) -> tuple[Exercise, ...]:
    return expand.exercises(phrases, FLUTE).exercises


def attacks(exercise: Exercise) -> list[str]:
    """Strokes: t for a note that is tongued, s for one that is slurred to."""
    return [
        "s" if n.slur in ("inside", "stop", "stop start") else "t" for bar in exercise.bars for n in bar.notes
    ]


def test_one_articulation_is_worn_by_both_halves() -> None:
    (exercise,) = made("C major, two octaves, sixteenths, slurred pairs")
    assert attacks(exercise) == ["t", "s"] * 14 + ["t"]


def test_another_one_for_the_way_down_leaves_the_way_up_as_it_was() -> None:
    (exercise,) = made("C major, one octave, sixteenths, all slurred down")
    assert attacks(exercise) == ["t"] * 8 + ["s"] * 7


def test_the_relative_chain_goes_on_in_the_relative_minor() -> None:
    # Source: a woodwind studio list: a major key and its relative minor, a minor third below (same signature).
    chain = made("relative chain on E-flat, one octave")
    assert [(e.key, e.form) for e in chain] == [
        ("Eb", "major"),
        ("Eb", "major arpeggio"),
        ("C", "natural minor"),
        ("C", "harmonic minor"),
        ("C", "melodic minor"),
        ("C", "minor arpeggio"),
    ]
    assert {e.signature for e in chain} == {-3}


def test_the_parallel_chain_keeps_its_tonic() -> None:
    assert {e.key for e in made("parallel chain on D, one octave")} == {"D"}


@pytest.mark.parametrize(
    ("clause", "what"), [("articulations in turn", "all tongued"), ("rhythms in turn", "whole notes")]
)
def test_what_goes_in_turn_changes_from_key_to_key(clause: str, what: str) -> None:
    exercises = made(f"all keys, major, one octave, {clause}")
    assert len(exercises) == 12
    worn = [e.details for e in exercises]
    assert what in worn[0]
    assert len(set(worn)) == 12


@pytest.mark.parametrize("first", [["C major, one octave"], []])
def test_a_phrase_of_which_nothing_fits_is_an_error_wherever_it_stands(first: list[str]) -> None:
    with pytest.raises(DoesNotFitError, match="triple tongue needs beats"):
        made(*first, "G major, one octave, sixteenths, triple tongue")


def test_a_line_starts_from_a_degree_that_its_form_has() -> None:
    # Source: a whole-tone scale has six notes (Integrated Musicianship).
    (exercise,) = made("whole-tone on C, from the sixth degree, one octave")
    assert exercise.pitches[0].name == "Bb4"
    with pytest.raises(RequestError, match="has 6 degrees; there is no seventh"):
        made("whole-tone on C, from the seventh degree, one octave")
