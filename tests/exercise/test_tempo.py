"""Metronome marks, rows of tempi, and what a metronome counts."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.exercise.records import Tempo
from generator.exercise.tempo import MARKS, beat_value, in_quarters, row
from generator.theory.duration import Metre, Value

# Source: the mechanical metronome after Maelzel, as six published source files list it.
MECHANICAL = """40 42 44 46 48 50 52 54 56 58 60 63 66 69 72 76 80 84 88 92 96 100 104 108 112 116 120 126 132 138 144
    152 160 168 176 184 192 200 208"""


def test_the_thirty_nine_marks() -> None:
    assert tuple(int(m) for m in MECHANICAL.split()) == MARKS
    # One published copy leaves out 56 and has 38 marks.
    assert 56 in MARKS
    assert len(MARKS) == 39


def test_the_steps_of_the_series() -> None:
    # Source: counted from the list: ten steps of 2, four of 3, twelve of 4, four of 6, eight of 8.
    steps = [b - a for a, b in itertools.pairwise(MARKS)]
    assert steps == [2] * 10 + [3] * 4 + [4] * 12 + [6] * 4 + [8] * 8


def test_from_80_to_160_the_marks_are_twice_those_from_40_to_80() -> None:
    # Source: S. in the Horn List, May 2009.
    assert [2 * m for m in MARKS if m <= 80] == [m for m in MARKS if 80 <= m <= 160]


@given(st.integers(20, 300), st.integers(20, 300), st.integers(2, 9))
def test_rows_of_tempi_lead_from_start_to_goal(start: int, goal: int, most: int) -> None:
    found = row(start, goal, most=most)
    assert found[0] == start
    assert found == tuple(sorted(set(found)))
    assert len(found) <= most
    if start < goal:
        assert found[-1] == goal
        assert set(found[1:-1]) <= set(MARKS)
        between = [m for m in MARKS if start < m < goal]
        assert len(found) == min(most, len(between) + 2)
    else:
        assert found == (start,)


@given(st.integers(20, 200), st.integers(20, 300), st.integers(4, 9))
def test_a_row_that_climbs_goes_two_up_and_one_down_and_ends_at_the_goal(
    start: int, goal: int, most: int
) -> None:
    # Source: a teacher's list, "up two marks, down one" (study lists for practice tempi).
    straight, climbing = row(start, goal, most=most), row(start, goal, most=most, climb=True)
    assert (climbing[0], climbing[-1]) == (straight[0], straight[-1])
    assert set(climbing) == set(straight)
    if len(straight) >= 4:
        steps = [straight.index(tempo) for tempo in climbing]
        assert [b - a for a, b in itertools.pairwise(steps)] == [2, -1] * (len(straight) - 3) + [2]
    else:
        assert climbing == straight


def test_rows_in_steps_of_ones_own() -> None:
    assert row(60, 84, step=8) == (60, 68, 76, 84)
    assert row(60, 85, step=8, most=9) == (60, 68, 76, 84, 85)


@pytest.mark.parametrize(
    ("metre", "beat"),
    # Source: compound metres are counted in dotted notes, uneven ones in their unit (common practice, no source).
    [
        ("4/4", "4"),
        ("3/4", "4"),
        ("2/2", "2"),
        ("6/8", "4."),
        ("9/8", "4."),
        ("7/8", "8"),
        ("5/8", "8"),
        ("3/8", "4."),
    ],
)
def test_what_a_metronome_counts(metre: str, beat: str) -> None:
    assert str(beat_value(Metre.parse(metre))) == beat


def test_tempi_in_quarters() -> None:
    assert in_quarters(Tempo(Value(4), 84)) == 84
    assert in_quarters(Tempo(Value(4, 1), 60)) == 90
    assert in_quarters(Tempo(Value(2), 60)) == 120
    assert in_quarters(Tempo(Value(8, 1), 100)) == Fraction(75)
