"""Line breaks: everything is printed once, no line holds more than it can, lines are even."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.catalogue.players import player_named
from generator.exercise.records import Exercise
from generator.pages.capacity import note_width, prefix_width
from generator.pages.lines import Layout, break_lines
from generator.pages.paper import Paper
from generator.phrase import expand

PHRASES = [
    "C major",
    "E-flat harmonic minor in thirds",
    "chromatic on F, thirty-seconds",
    "C-sharp major in seventh chords, sextuplets",
    "G major, whole notes",
    "B-flat major in triads",
    "D major, 6/8 and 4/4",
    "long tones on G",
    "A major, a fifth",
    "F-sharp melodic minor, septuplets",
    "G-flat major in octaves, siciliano",
    "D-flat major, a twelfth, double tongue",
]
PAPERS = [Paper.of(name, size) for name in ("letter", "a4") for size in ("small", "normal", "large")]


def exercise(phrase: str, instrument: str = "flute") -> Exercise:
    return expand.exercises([phrase], player_named(instrument)).exercises[0]


def lines_of(one: Exercise, paper: Paper) -> Layout:
    return break_lines(one.bars, one.signature, paper.line, one.clefs, one.unit, long=one.long)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda p: f"{p.name}-{p.staff:g}")
@pytest.mark.parametrize("phrase", PHRASES)
def test_every_note_is_printed_once_and_in_order(phrase: str, paper: Paper) -> None:
    one = exercise(phrase)
    printed = [n for line in lines_of(one, paper).lines for piece in line for n in piece.notes]
    assert printed == [n for bar in one.bars for n in bar.notes]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda p: f"{p.name}-{p.staff:g}")
@pytest.mark.parametrize("phrase", PHRASES)
def test_no_line_holds_more_than_it_can(phrase: str, paper: Paper) -> None:
    one = exercise(phrase)
    for number, line in enumerate(lines_of(one, paper).lines):
        room = paper.line - prefix_width(one.signature, first=number == 0)
        # A beat that is itself wider than a line cannot be parted further; the data has none that wide on normal print.
        assert sum(p.width for p in line) <= room or (paper.large and len(line) == 1)


def test_a_fifth_bar_is_not_left_alone() -> None:
    # Five bars of which four fit a line become three and two (common practice, no source).
    one = exercise("C major in thirds, two octaves, eighths")
    assert len(one.bars) > 5
    sizes = [len(line) for line in lines_of(one, PAPERS[1]).lines]
    assert max(sizes) - min(sizes) <= 1


def test_lines_of_one_exercise_are_even() -> None:
    # Forty-eight sixteenths in three bars of four: twice twenty-four, not sixteen and thirty-two.
    (bar,) = {len(one.bars[0].notes) for one in [exercise("C major, two octaves")]}
    assert bar == 16
    one = exercise("C major in sixths, two octaves")
    for length in (80.0, 90.0, 100.0, 118.0):
        layout = break_lines(one.bars, one.signature, length, one.clefs)
        fills = [sum(p.width for p in line) for line in layout.lines]
        assert min(fills) > 0.75 * max(fills), (length, fills)


def test_a_bar_is_parted_at_a_beat_at_which_no_beam_or_tie_goes_on() -> None:
    for phrase in PHRASES:
        one = exercise(phrase)
        for length in (60.0, 75.0, 90.0, 118.0):
            pieces = [
                p for line in break_lines(one.bars, one.signature, length, one.clefs).lines for p in line
            ]
            for piece in pieces:
                if not piece.closes and sum(n.length for n in piece.notes) < piece.metre.length:
                    assert not piece.notes[-1].tie or length == 60.0
                    opened = sum((n.beam == "[") - (n.beam == "]") for n in piece.notes)
                    assert opened == 0


def test_a_score_keeps_its_bars_whole() -> None:
    one = exercise("C major in sixths, two octaves")
    layout = break_lines(one.bars, one.signature, 80.0, one.clefs, whole=True)
    assert all(p.closes for line in layout.lines for p in line)


def test_a_short_last_line_is_spaced_as_those_above_it() -> None:
    one = exercise("long tones on G")
    layout = next(
        found
        for length in range(60, 140)
        if (found := break_lines(one.bars, 0, float(length), one.clefs, one.unit, long=True)).short_end
    )
    assert layout.spread > 1
    assert all(
        not lines_of(exercise(phrase), paper).short_end or lines_of(exercise(phrase), paper).spread >= 1
        for phrase in PHRASES
        for paper in PAPERS
    )


def test_eighths_close_up_by_a_tenth_where_that_saves_a_line() -> None:
    one = exercise("G major, two octaves, eighths")
    natural = sum(p.width for line in break_lines(one.bars, 1, 1000.0).lines for p in line)
    tight = natural + 12.0 - 6.0
    assert len(break_lines(one.bars, 1, tight).lines) == 2
    assert len(break_lines(one.bars, 1, tight, close=True).lines) == 1
    short = exercise("G major, two octaves")
    natural = sum(p.width for line in break_lines(short.bars, 1, 1000.0).lines for p in line)
    assert len(break_lines(short.bars, 1, natural + 6.0, close=True).lines) == 2


def test_a_short_exercise_is_printed_short() -> None:
    layout = lines_of(exercise("A major, a fifth"), PAPERS[1])
    assert len(layout.lines) == 1
    assert layout.length < PAPERS[1].line / 2


def test_long_tones_keep_each_note_on_one_line() -> None:
    one = exercise("long tones on G")
    assert one.unit == 3
    for line in lines_of(one, PAPERS[1]).lines[:-1]:
        assert len(line) % one.unit == 0


def test_a_bar_too_long_for_a_line_is_parted_at_a_beat() -> None:
    one = exercise("chromatic on C, thirty-seconds")
    pieces = [p for line in break_lines(one.bars, one.signature, 50.0).lines for p in line]
    assert any(not p.closes for p in pieces)
    for piece in pieces:
        length = sum((n.length for n in piece.notes), Fraction(0))
        assert length % Fraction(1, 4) == 0


def test_widths_are_those_measured() -> None:
    # Natural widths measured with LilyPond 2.24 at the house spacing, in staff spaces, barline included.
    measured = {
        (16, Fraction(1, 16)): 36,
        (12, Fraction(1, 12)): 33,
        (8, Fraction(1, 8)): 27.5,
        (4, Fraction(1, 4)): 19,
    }
    for (count, length), width in measured.items():
        assert count * note_width(length) + 1 == pytest.approx(width, abs=0.6)


@settings(max_examples=60, deadline=None)
@given(st.floats(min_value=40, max_value=200), st.sampled_from(PHRASES))
def test_any_line_length_prints_everything(room: float, phrase: str) -> None:
    one = exercise(phrase)
    layout = break_lines(one.bars, one.signature, room, one.clefs, one.unit, long=one.long)
    assert [n for line in layout.lines for p in line for n in p.notes] == [
        n for b in one.bars for n in b.notes
    ]
    assert all(layout.lines)
