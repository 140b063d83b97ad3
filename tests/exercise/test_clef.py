"""Which clef a bar is printed in."""

from fractions import Fraction
from itertools import groupby

import pytest

from generator.errors import DoesNotFitError
from generator.exercise.clef import clefs_by_bar, ledger_lines
from generator.exercise.records import Exercise, Note
from generator.theory.pitch import Pitch
from tests.exercise.conftest import MakeOne


def pitches(name: str, count: int = 4) -> list[Pitch]:
    return [Pitch.parse(name)] * count


@pytest.mark.parametrize(
    ("name", "clef", "lines"),
    [
        # From the lines of the staves: E4 to F5 treble, G2 to A3 bass, D3 to E4 tenor, F3 to G4 alto.
        ("D4", "treble", 0),
        ("C4", "treble", 1),
        ("C6", "treble", 2),
        ("C4", "bass", 1),
        ("E2", "bass", 1),
        ("C2", "bass", 2),
        ("A4", "tenor", 1),
        ("C3", "alto", 1),
    ],
)
def test_ledger_lines(name: str, clef: str, lines: int) -> None:
    assert ledger_lines(Pitch.parse(name), clef) == lines


def test_one_high_bar_is_worth_no_change_of_clef() -> None:
    # A change for a bar or so costs more than the ledger lines it spares (common practice, no source).
    low, high = pitches("E3"), pitches("G4")
    assert clefs_by_bar([low, high, low], ("bass", "tenor")) == ("bass",) * 3


def test_a_high_passage_is_worth_it() -> None:
    low, high = pitches("E2"), pitches("B4")
    assert clefs_by_bar([low, *[high] * 4, low], ("bass", "tenor")) == ("bass", *["tenor"] * 4, "bass")


def test_an_instrument_of_one_clef_keeps_it() -> None:
    assert clefs_by_bar([pitches("C7"), pitches("C3")], ("treble",)) == ("treble", "treble")


# Passages that lie above about F4 or G4 (common practice, no source).
HIGH = [
    ("trombone", "tenor"),
    ("euphonium", "tenor"),
    ("bassoon", "tenor"),
    ("cello", "tenor"),
    ("double bass", "tenor"),
]


def clefs_and_places(exercise: Exercise) -> list[tuple[str, Note, int]]:
    """Each note with the clef it stands in and its ledger lines."""
    found: list[tuple[str, Note, int]] = []
    for begins, bar in zip(exercise.clefs, exercise.bars, strict=True):
        clef = begins
        for note in bar.notes:
            clef = note.clef or clef
            if note.pitch is not None:
                found.append((clef, note, ledger_lines(note.pitch, clef)))
    return found


@pytest.mark.parametrize(("instrument", "clef"), HIGH)
def test_a_high_passage_goes_to_the_clef_its_players_expect(
    instrument: str, clef: str, make: MakeOne
) -> None:
    made = make("C major, up, quarters", "C4", "C5", instrument)
    assert {where for where, _, _ in clefs_and_places(made)} == {clef}


@pytest.mark.parametrize("instrument", ["trombone", "euphonium", "bassoon", "cello", "double bass"])
def test_a_low_passage_stays_in_the_bass_clef(instrument: str, make: MakeOne) -> None:
    made = make("F major, one octave", instrument=instrument)
    assert {clef for clef, _, _ in clefs_and_places(made)} == {"bass"}


@pytest.mark.parametrize(
    "name", ["trombone", "euphonium", "bassoon", "cello", "horn in F", "viola", "bass clarinet in bass clef"]
)
@pytest.mark.parametrize(
    "phrase", ["B-flat major", "D major in thirds", "chromatic on F", "E-flat major arpeggio, triplets"]
)
def test_changes_stand_on_beats_and_hold_for_a_passage(name: str, phrase: str, make: MakeOne) -> None:
    made = make(phrase, instrument=name, level="extended")
    row = clefs_and_places(made)
    # Nowhere six ledger lines, and none but what the usual books print: four at most.
    assert max(lines for _, _, lines in row) <= 4
    for begins, bar in zip(made.clefs, made.bars, strict=True):
        place = Fraction(0)
        for note in bar.notes:
            assert not note.clef or place in bar.metre.beat_starts, (begins, phrase)
            place += note.length
    runs = [len(list(run)) for _, run in groupby(clef for clef, _, _ in row)]
    assert min(runs[:-1], default=8) >= 4


@pytest.mark.parametrize(
    ("phrase", "instrument", "clef"),
    [
        ("G major, in tenor clef", "cello", "tenor"),
        ("G major, in bass clef", "trombone", "bass"),
        ("C major, alto clef", "alto trombone", "alto"),
        ("C major, in the treble clef", "viola", "treble"),
        ("G major, in treble clef", "tenor voice", "treble-8"),
        ("G major", "tenor voice", "treble-8"),
    ],
)
def test_a_clef_that_is_asked_for_holds_throughout(
    phrase: str, instrument: str, clef: str, make: MakeOne
) -> None:
    made = make(phrase, instrument=instrument)
    assert {where for where, _, _ in clefs_and_places(made)} == {clef}


@pytest.mark.parametrize(
    ("asked", "instrument"), [("tenor", "flute"), ("alto", "cello"), ("treble", "trombone")]
)
def test_a_clef_that_is_never_read_is_refused(asked: str, instrument: str, make: MakeOne) -> None:
    with pytest.raises(DoesNotFitError, match=f"no part for the {instrument} is in {asked} clef; it reads"):
        make(f"G major, in {asked} clef", instrument=instrument)
