"""Tetrachords: a scale in two halves, for beginners."""

import pytest

from generator.catalogue.players import player_named
from generator.errors import DoesNotFitError
from generator.phrase.expand import exercises


def test_tetrachords_are_the_lower_and_the_upper_four_notes() -> None:
    # A major scale is two tetrachords a whole tone apart (theory primers); melodic minor falls otherwise than it
    # rises (common practice).
    def line(phrase: str) -> str:
        (made,) = exercises([phrase], player_named("flute")).exercises
        return " ".join(pitch.name for pitch in made.pitches)

    assert line("C major in tetrachords") == "C4 D4 E4 F4 F4 E4 D4 C4 G4 A4 B4 C5 C5 B4 A4 G4"
    assert line("A melodic minor, upper tetrachord") == "E5 F#5 G#5 A5 A5 G5 F5 E5"
    assert line("E-flat major, lower tetrachord, down") == "Ab4 G4 F4 Eb4"
    for other in ("C major arpeggio", "whole-tone on C", "blues on C"):
        with pytest.raises(DoesNotFitError, match="a scale of seven notes"):
            exercises([f"{other} in tetrachords"], player_named("flute"))
