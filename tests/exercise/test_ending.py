"""How lines arrive: on a beat, a quarter or longer, never struck twice, the same in every key."""

from collections.abc import Callable

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.exercise.ending import arrivals, timed
from generator.exercise.records import Exercise
from generator.exercise.rhythm import Rhythm
from generator.phrase import expand
from generator.theory.duration import Metre
from tests.exhaustive.endings import attacks, ending_faults

Make = Callable[..., Exercise]
SAXOPHONE = ("Bb3", "F6", "alto saxophone")
RHYTHMS = shared_catalogue().rhythms


def values(exercise: Exercise) -> str:
    """Note values bar by bar, ties with a tilde, triplet values with a 3."""
    return " | ".join(
        " ".join(f"{n.value}{'t' if n.value.tuplet else ''}{'~' if n.tie else ''}" for n in bar.notes)
        for bar in exercise.bars
    )


@pytest.mark.parametrize(
    ("phrase", "expected"),
    [
        # Source: the boards' scales with long tonics: first and top note held, so that both halves begin on a beat.
        ("C major, one octave, sixteenths", "8 16 16 16 16 16 16 8 16 16 16 16 16 16 | 1"),
        ("C major arpeggio, one octave, sixteenths", "8 16 16 8 16 16 2"),
        ("C major, one octave, triplets", "4 8t 8t 8t 8t 8t 8t 4 | 8t 8t 8t 8t 8t 8t 2"),
        ("C major, one octave, eighths in six-eight", "4. 8 8 8 | 8 8 8 4. | 8 8 8 8 8 8 | 2."),
        ("C major, a sixth, sixteenths", "4 16 16 16 16 4 16 16 16 16 | 1"),
        ("C major, one octave, up, eighths", "4 8 8 8 8 8 8 | 1"),
        ("dominant seventh in the key of C, one octave, eighths", "8 8 8 8 4 8 8 | 8 8 2."),
        ("C major, two octaves, triplets", f"4t{' 8t' * 10} | 8t 8t 8t 4t{' 8t' * 7} | {'8t ' * 6}2"),
        # Common practice, no source: groups stay on their beats and the last beat broadens.
        ("C major in thirds, one octave, triplets", f"{'8t ' * 11}8t | {'8t ' * 11}8t | 8t 8t 8t 4 2"),
        ("C major in groups of three, one octave, sixteenths", f"{'16 ' * 15}16 | {'16 ' * 15}16 | {'16 ' * 8}8 8 4"),
        ("C major, one octave, eighth and two sixteenths",
         "8 16 16 8 16 16 8 16 16 8 16 16 | 8 8 2."),
        # Nothing is changed that comes out even: 28 sixteenths and a quarter, the two bars of the boards' layout.
        ("C major in thirds, one octave, sixteenths", f"{'16 ' * 15}16 | {'16 ' * 12}4"),
        ("C major, two octaves, eighths", f"{'8 8 8 8 8 8 8 8 | ' * 3}8 8 8 8 2"),
        ("C major, one octave, quarters", "4 4 4 4 | 4 4 4 4 | 4 4 4 4 | 4 4 2"),
    ],
)  # fmt: skip
def test_values_as_an_editor_prints_them(phrase: str, expected: str, make: Make) -> None:
    assert values(make(phrase, *SAXOPHONE)) == expected


@pytest.mark.parametrize("rhythm", RHYTHMS.rows, ids=lambda r: r.name)
@pytest.mark.parametrize("openings", [(), (0,), (0, 5), (0, 5, 9)])
def test_any_number_of_notes_arrives(rhythm: Rhythm, openings: tuple[int, ...]) -> None:
    for notes in range(max([2, *openings]) + 2, 50):
        line = timed(notes, rhythm, openings)
        assert len(line.values) == notes - 1
        lead = sum(slot.value.length for slot in line.lead if slot.rest)
        bar, metre = rhythm.bar_at(line.place + lead)
        assert line.place + lead - bar in arrivals(metre)


@pytest.mark.parametrize(
    ("metre", "expected"),
    [
        ("4/4", "0 1/4 1/2 3/4"),
        ("3/8", "0"),
        ("7/8", "0 1/4 1/2"),
        ("2/8", "0"),
        ("4/8", "0 1/8 1/4"),
        ("2/2", "0 1/2"),
    ],
)
def test_where_a_last_note_may_begin(metre: str, expected: str) -> None:
    # Source: a quarter or longer, on a beat (in compound metres the dotted beat); by hand.
    assert " ".join(str(place) for place in arrivals(Metre.parse(metre))) == expected


@pytest.mark.parametrize(
    "figure", ["in thirds", "in fourths", "in triads", "in groups of four", "in octaves"]
)
@pytest.mark.parametrize("inside", ["", ", inside the span"])
def test_the_tonic_is_not_struck_twice(figure: str, inside: str) -> None:
    for name in ("flute", "trumpet in B-flat", "cello"):
        for exercise in expand.exercises(
            [f"all keys, major {figure}, one octave{inside}"], player_named(name)
        ).exercises:
            assert not list(ending_faults(exercise)), exercise.phrase
            begun = [pieces[0].pitch for _, pieces in attacks(exercise)]
            assert begun[-1] is not None
            assert begun[-1].note.name == exercise.key


@pytest.mark.parametrize("rhythm", ["sixteenths", "triplets", "eighths in six-eight", "dotted rhythm"])
@pytest.mark.parametrize("line", ["one octave", "two octaves", "in thirds, one octave, inside the span"])
def test_every_key_has_the_same_values(line: str, rhythm: str) -> None:
    # A player who goes round all keys expects one shape (common practice, no source).
    made = expand.exercises([f"all keys, major {line}, {rhythm}"], player_named("violin")).exercises
    assert len({values(exercise) for exercise in made if exercise.span == made[0].span}) == 1
