"""Melodic minor in full range: wherever the line turns, it steps."""

from itertools import pairwise

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import LEVELS, shared_catalogue
from generator.exercise.records import Exercise
from generator.phrase import expand
from generator.theory.pitch import Pitch


def line(exercise: Exercise) -> list[Pitch]:
    return [n.pitch for bar in exercise.bars for n in bar.notes if n.pitch is not None]


@pytest.mark.parametrize("name", [row.name for row in shared_catalogue().pitched][::3])
@pytest.mark.parametrize("level", LEVELS)
def test_it_never_leaps_an_augmented_second(name: str, level: str) -> None:
    who = player_named(name, level)
    for exercise in expand.exercises(["all keys, melodic minor"], who).exercises:
        for before, after in pairwise(line(exercise)):
            assert abs(before.height - after.height) <= 2, (exercise.key, before, after)


def test_it_goes_as_far_as_either_form_and_comes_down_natural() -> None:
    # Each half in its own form, as far as that goes; a note that both forms have is played once where the line turns,
    # judged by its sound (common practice, no source).
    who = player_named("alto saxophone", low="B3", high="F6")
    (exercise,) = expand.exercises(["F-sharp melodic minor"], who).exercises
    names = " ".join(str(pitch) for pitch in line(exercise))
    assert "C#6 D#6 E#6 E6 D6 C#6 B5 A5 G#5 F#5 E5 D5 C#5" in names
    low = player_named("alto saxophone", low="D4", high="F6")
    (exercise,) = expand.exercises(["F-sharp melodic minor"], low).exercises
    assert " ".join(str(pitch) for pitch in line(exercise)).startswith("F#4 G#4 A4 B4 C#5 D#5 E#5 F#5")
    assert " ".join(str(pitch) for pitch in line(exercise)).endswith("A4 G#4 F#4 E4 D4 D#4 E#4 F#4")
    # Down to the lowest note of the falling form, B-flat 3, which the rising form has not.
    saxophone = player_named("alto saxophone")
    (exercise,) = expand.exercises(["C melodic minor"], saxophone).exercises
    assert " ".join(str(pitch) for pitch in line(exercise)).endswith("Eb4 D4 C4 Bb3 B3 C4")


def test_chromatic_lines_still_change_their_signs_at_the_turn() -> None:
    who = player_named("flute", low="C4", high="F#6")
    (exercise,) = expand.exercises(["chromatic on C"], who).exercises
    names = " ".join(str(pitch) for pitch in line(exercise))
    assert "F6 F#6 F6 E6 Eb6" in names
