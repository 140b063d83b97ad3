"""Slurs over the partials at each level: from the open tube, on every combination with room for them."""

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import LEVELS, shared_catalogue
from generator.exercise.records import Exercise
from generator.phrase import expand

BRASS = [
    row.name
    for row in shared_catalogue().pitched
    if row.wind == "brass" and row.name in shared_catalogue().tubes
]


def made(name: str, level: str, phrase: str = "lip slurs") -> Exercise:
    (exercise,) = expand.exercises([phrase], player_named(name, level)).exercises
    return exercise


def first_bars(exercise: Exercise) -> list[str]:
    """Label and notes of each bar."""
    return [f"{bar.notes[0].text}: {' '.join(str(n.pitch) for n in bar.notes)}" for bar in exercise.bars]


@pytest.mark.parametrize("phrase", ["lip slurs", "neighbouring partials"])
@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", BRASS)
def test_the_open_tube_comes_first_and_no_combination_with_room_is_left_out(
    name: str, level: str, phrase: str
) -> None:
    # Source: the harmonic series; two or three partials for beginners (common practice, no source).
    exercise = made(name, level, phrase)
    steps = shared_catalogue().tubes[name].steps
    labels = [bar.notes[0].text for bar in exercise.bars]
    assert labels[0] == steps[0][0]
    assert labels == [label for label, _ in steps if label in labels]
    if level == "first notes":
        assert all(2 <= len({note.pitch for note in bar.notes}) <= 3 for bar in exercise.bars)
        assert len(labels) == len(steps)
        assert exercise.notes == ()


def test_a_beginner_on_the_trumpet() -> None:
    # Source: partials 2, 3 and 4 of the open tube and each of the combinations; the longest tube starts on its third,
    # F-sharp 3 being below a beginner's G 3 (worked out by hand).
    assert first_bars(made("trumpet in B-flat", "first notes")) == [
        "0: C4 G4 C5 G4 C5 G4 C4",
        "2: B3 F#4 B4 F#4 B4 F#4 B3",
        "1: Bb3 F4 Bb4 F4 Bb4 F4 Bb3",
        "1-2: A3 E4 A4 E4 A4 E4 A3",
        "2-3: Ab3 Eb4 Ab4 Eb4 Ab4 Eb4 Ab3",
        "1-3: G3 D4 G4 D4 G4 D4 G3",
        "1-2-3: C#4 F#4 A#4 F#4 A#4 F#4 C#4",
    ]


def test_a_settled_player_slurs_over_four() -> None:
    assert first_bars(made("trumpet in B-flat", "standard"))[0] == "0: C4 G4 C5 E5 C5 G4 C4"
