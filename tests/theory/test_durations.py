"""Note values, metres, and how long notes are split over the beats of a bar."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import duration as music21_duration

from generator.errors import RequestError
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of


def words(text: str) -> list[str]:
    return text.split()


METRES = words("2/4 3/4 4/4 5/4 3/8 6/8 9/8 12/8 7/8 5/8 2/2 3/2")
values = st.builds(Value, st.sampled_from([1, 2, 4, 8, 16, 32, 64]), st.integers(0, 2))


@given(values, st.sampled_from([None, Tuplet(3, 2), Tuplet(5, 4), Tuplet(7, 4)]))
def test_the_value_of_a_length_has_that_length(value: Value, tuplet: Tuplet | None) -> None:
    inside = Value(value.base, value.dots, tuplet)
    assert value_of(inside.length, tuplet) == inside
    assert inside.length == value.written * (Fraction(tuplet.normal, tuplet.actual) if tuplet else 1)


@pytest.mark.parametrize(("base", "dots"), [(1, 0), (2, 1), (4, 2), (8, 1), (16, 0), (32, 1), (64, 0)])
def test_lengths_agree_with_music21(base: int, dots: int) -> None:
    # Source: music21 durations, in quarters.
    names = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th"}
    theirs = music21_duration.Duration(names[base], dots=dots)
    assert Value(base, dots).length * 4 == Fraction(theirs.quarterLength)


@pytest.mark.parametrize("text", METRES)
def test_beats_fill_the_bar(text: str) -> None:
    metre = Metre.parse(text)
    assert sum(metre.beats) == metre.length
    assert metre.name == text
    assert len(metre.beat_starts) == len(metre.beats)


@pytest.mark.parametrize(
    ("text", "beats"),
    [
        # Source: compound metres are felt in dotted beats, 7/8 in 2+2+3 (common practice, no source).
        ("6/8", ["3/8", "3/8"]),
        ("12/8", ["3/8"] * 4),
        ("7/8", ["1/4", "1/4", "3/8"]),
        ("7/8 3+2+2", ["3/8", "1/4", "1/4"]),
        ("8/8 3+3+2", ["3/8", "3/8", "1/4"]),
        ("3/8", ["3/8"]),
        ("5/4", ["1/4"] * 5),
    ],
)
def test_how_a_metre_is_felt(text: str, beats: list[str]) -> None:
    assert [str(b) for b in Metre.parse(text).beats] == beats


@pytest.mark.parametrize("text", ["4", "4/5", "0/4", "25/8", "4/4 2+1", "a/b", "", "4/4/4", "-3/4"])
def test_no_such_metre(text: str) -> None:
    with pytest.raises(RequestError):
        Metre.parse(text)


@given(st.sampled_from(METRES), st.data())
def test_split_values_add_up_and_show_the_beats(text: str, data: st.DataObject) -> None:
    metre = Metre.parse(text)
    sixteenths = int(metre.length * 16)
    start = data.draw(st.integers(0, sixteenths - 1))
    length = data.draw(st.integers(1, sixteenths - start))
    found = split_length(Fraction(start, 16), Fraction(length, 16), metre)
    assert sum((v.length for v in found), Fraction(0)) == Fraction(length, 16)
    # A value that begins off the beat never runs over the next one.
    borders = [*metre.beat_starts, metre.length]
    place = Fraction(start, 16)
    for value in found:
        if place not in borders:
            assert place + value.length <= min(b for b in borders if b > place)
        place += value.length


@pytest.mark.parametrize(
    ("start", "length", "metre", "written"),
    [
        # Source: notation practice as in any rudiments book (from memory).
        ("0", "3/4", "4/4", ["2."]),
        ("3/4", "1/4", "4/4", ["4"]),
        ("1/8", "3/8", "4/4", ["8", "4"]),
        ("0", "5/8", "6/8", ["4.", "4"]),
        ("1/16", "15/16", "4/4", ["8.", "2."]),
        ("0", "5/4", "5/4", ["1", "4"]),
    ],
)
def test_written_values_of_long_notes(start: str, length: str, metre: str, written: list[str]) -> None:
    found = split_length(Fraction(start), Fraction(length), Metre.parse(metre))
    assert [str(v) for v in found] == written


def test_a_third_of_a_beat_needs_a_tuplet() -> None:
    with pytest.raises(RequestError, match="without a tuplet"):
        split_length(Fraction(0), Fraction(1, 12), Metre.parse("4/4"))
