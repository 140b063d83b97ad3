"""Where breath marks stand."""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.breath import breath_length, with_breaths
from generator.exercise.records import Exercise, Note
from generator.theory.duration import Value
from generator.theory.pitch import Pitch

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
def test_breaths_stand_at_barlines_and_no_stretch_is_longer_than_one_breath(bpm: int, make: Make) -> None:
    exercise = make(f"C major in thirds, full range, quarters, quarter = {bpm}")
    found = breathing(exercise)
    assert found
    assert all(place == len(exercise.bars[bar].notes) - 1 for bar, place, _ in found)
    starts = [0, *(bar + 1 for bar, _, _ in found), len(exercise.bars)]
    most = breath_length(Fraction(bpm))
    # The last stretch may be longer by the share that is not worth a breath of its own.
    for first, last in pairwise(starts[:-1]):
        assert sum((bar.metre.length for bar in exercise.bars[first:last]), Fraction(0)) <= most


def test_a_line_whose_barlines_all_lie_under_slurs_has_no_breath(make: Make) -> None:
    # Kopprasch's off-beat pairs cross every barline.
    assert not breathing(make("C major, full range, sixteenths, off-beat pairs, quarter = 40"))


def test_a_breath_is_taken_at_the_last_barline_that_one_breath_reaches() -> None:
    rhythm = shared_catalogue().rhythms.find("half notes")
    line = [(Note(Pitch.parse("G4"), Value(2)),)] * 40
    marked = with_breaths(line, rhythm, Fraction(3))
    assert [place for place, (note,) in enumerate(marked) if note.marks] == [5, 11, 17, 23, 29, 35]
