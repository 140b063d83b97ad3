"""Which clef a bar is printed in."""

import pytest

from generator.exercise.clef import clefs_by_bar, ledger_lines
from generator.theory.pitch import Pitch


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
