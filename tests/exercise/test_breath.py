"""Where breath marks stand."""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.breath import breath_length, with_breaths
from generator.exercise.records import Exercise, Note
from generator.phrase import expand
from generator.theory.duration import Value
from generator.theory.pitch import Pitch
from tests.exhaustive.endings import breath_faults

Make = Callable[..., Exercise]
ARTICULATIONS = shared_catalogue().articulations


def breathing(exercise: Exercise) -> list[tuple[int, int, Note]]:
    """Bar, place in it, and note of each breath mark."""
    return [
        (number, place, note)
        for number, bar in enumerate(exercise.bars)
        for place, note in enumerate(bar.notes)
        if "breath" in note.marks
    ]


@pytest.mark.parametrize("row", ARTICULATIONS.rows, ids=lambda r: r.name)
@pytest.mark.parametrize("rhythm", ["quarters", "sixteenths", "eight counts", "four counts and a rest"])
def test_a_breath_parts_no_tie_and_no_slur(row, rhythm: str, make: Make) -> None:
    # A breath interrupts the sound, so that it stands where no tie or slur goes on (common practice, no source).
    try:
        exercise = make(f"C major, full range, {rhythm}, {row.name}, quarter = 60")
    except DoesNotFitError:
        return
    for _, _, note in breathing(exercise):
        assert not note.tie
        assert note.slur in (None, "stop")


@pytest.mark.parametrize("bpm", [40, 60, 120])
@pytest.mark.parametrize("instrument", ["clarinet in B-flat", "trumpet in B-flat", "flute"])
@pytest.mark.parametrize("line", ["C major in thirds, full range, quarters", "C major, full range, eighths"])
def test_no_stretch_is_longer_than_one_breath(instrument: str, bpm: int, line: str) -> None:
    who = player_named(instrument)
    (exercise,) = expand.exercises([f"{line}, quarter = {bpm}"], who).exercises
    places = [place for place, _ in breaths(exercise)]
    assert places or bpm == 120
    most = breath_length(Fraction(bpm), who.instrument.wind)
    length = sum((bar.metre.length for bar in exercise.bars), Fraction(0))
    stretches = [b - a for a, b in pairwise([Fraction(0), *places, length])]
    # A good place is worth a trifle more; near the end nobody breathes, so that the last stretch may be longer.
    assert all(stretch <= most * 11 / 10 for stretch in stretches[:-1])
    assert stretches[-1] <= most * 5 / 4 + exercise.bars[-1].metre.length * 3 / 2


@pytest.mark.parametrize("name", ["alto saxophone", "trumpet in B-flat", "flute", "tuba"])
@pytest.mark.parametrize("rhythm", ["quarters", "eighths", "triplets", "sixteenths", "eighths in six-eight"])
@pytest.mark.parametrize("line", ["", "in thirds", "in groups of four", "arpeggio"])
def test_nobody_breathes_before_the_tonic_or_close_to_the_end(name: str, rhythm: str, line: str) -> None:
    # Common practice, no source: a leading note goes on to its tonic; the last bars are played through.
    for key in ("C", "G", "F", "D", "B-flat", "E-flat"):
        phrase = f"{key} major {line}, full range, {rhythm}, quarter = 60"
        (exercise,) = expand.exercises([phrase.replace(" ,", ",")], player_named(name)).exercises
        assert "breath" not in list(breath_faults(exercise)), phrase


def test_a_scale_breathes_at_its_turn_and_groups_between_two_of_them() -> None:
    # Common practice, no source.
    who = player_named("trumpet in B-flat")
    (scale,) = expand.exercises(["C major, one octave, quarters, quarter = 60"], who).exercises
    assert [note.pitch.name for _, note in breaths(scale) if note.pitch] == ["C5"]
    (groups,) = expand.exercises(
        ["C major in groups of four, one octave, eighths, quarter = 60"], who
    ).exercises
    places = [place for place, _ in breaths(groups)]
    assert places
    assert all(place % Fraction(1, 2) == 0 for place in places)


def test_brass_breathe_oftener_than_reeds_and_strings_never() -> None:
    # Common practice, no source.
    def marks(name: str) -> int:
        (exercise,) = expand.exercises(
            ["C major in thirds, one octave, quarters"], player_named(name)
        ).exercises
        return len(breaths(exercise))

    assert marks("trumpet in B-flat") > marks("clarinet in B-flat") > marks("violin") == 0


def test_where_the_rhythm_rests_no_mark_is_needed(make: Make) -> None:
    assert not breaths(make("C major in long tones along the scale, four counts and a rest, all tongued"))


def test_few_breaths_in_stretches_of_one_length() -> None:
    rhythm = shared_catalogue().rhythms.find("half notes")
    line = [(Note(Pitch.parse("G4"), Value(2)),)] * 40
    marked = with_breaths(line, rhythm, Fraction(3))
    # Six halves a breath at the most, so six breaths for forty of them, at barlines, none in the last bar and a half.
    places = [place + 1 for place, (note,) in enumerate(marked) if note.marks]
    assert len(places) == 6
    assert all(place % 2 == 0 and place <= 37 for place in places)
    assert all(b - a in (4, 6) for a, b in pairwise([0, *places, 40]))


def breaths(exercise: Exercise) -> list[tuple[Fraction, Note]]:
    """Where each breath is taken, from the beginning, and the note before it."""
    found: list[tuple[Fraction, Note]] = []
    place = Fraction(0)
    for note in (n for bar in exercise.bars for n in bar.notes):
        place += note.length
        if "breath" in note.marks:
            found.append((place, note))
    return found
