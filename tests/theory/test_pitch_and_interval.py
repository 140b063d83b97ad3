"""Pitches and intervals: examples of the trade, round trips, and music21 as a second opinion."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import interval as music21_interval
from music21 import pitch as music21_pitch

from generator.errors import RequestError
from generator.theory.interval import Interval
from generator.theory.pitch import NoteName, Pitch, respelled


def words(text: str) -> list[str]:
    return text.split()


pitches = st.builds(Pitch, st.integers(0, 6), st.integers(-2, 2), st.integers(-1, 9))
notes = st.builds(NoteName, st.integers(0, 6), st.integers(-2, 2))
QUALITIES = {True: ("P", "A", "d", "AA", "dd"), False: ("M", "m", "A", "d", "AA", "dd")}


@st.composite
def interval_names(draw: st.DrawFn) -> str:
    number = draw(st.integers(1, 23))
    quality = draw(st.sampled_from(QUALITIES[(number - 1) % 7 in (0, 3, 4)]))
    # A diminished unison has no place below itself; only its falling twin is written.
    if number == 1 and quality.startswith("d"):
        quality = "P"
    sign = draw(st.sampled_from(["", "-"]))
    return f"{'' if quality + str(number) == 'P1' else sign}{quality}{number}"


@given(pitches)
def test_pitch_name_round_trip(pitch: Pitch) -> None:
    assert Pitch.parse(pitch.name) == pitch
    assert Pitch.parse(pitch.name.lower()) == pitch


@given(notes)
def test_note_name_round_trip(note: NoteName) -> None:
    assert NoteName.parse(note.name) == note
    assert NoteName.from_fifths(note.fifths) == note


@given(interval_names())
def test_interval_name_round_trip(name: str) -> None:
    assert Interval.parse(name).name == name
    back = -Interval.parse(name)
    assert -back == Interval.parse(name)
    assert Interval.parse("+P8") == Interval.parse("P8")


@given(pitches, interval_names())
def test_transposing_up_and_back_gives_the_pitch_again(pitch: Pitch, name: str) -> None:
    interval = Interval.parse(name)
    moved = interval.above(pitch)
    assert (-interval).above(moved) == pitch
    assert moved.height - pitch.height == interval.semitones
    assert moved.place - pitch.place == interval.steps


@given(pitches, st.integers(-3, 3))
def test_octaves_keep_the_note(pitch: Pitch, octaves: int) -> None:
    moved = pitch.octaves_up(octaves)
    assert moved.note == pitch.note
    assert moved.height == pitch.height + 12 * octaves


@given(st.builds(Pitch, st.integers(0, 6), st.integers(-3, 3), st.integers(0, 8)))
def test_respelling_keeps_the_sound_and_drops_double_signs(pitch: Pitch) -> None:
    other = respelled(pitch)
    assert other.height == pitch.height
    assert abs(other.alter) <= 1
    assert other == pitch or abs(pitch.alter) > 1


@settings(max_examples=150)
@given(
    st.builds(Pitch, st.integers(0, 6), st.integers(-1, 1), st.integers(3, 6)),
    st.sampled_from(words("m2 M2 m3 M3 P4 A4 d5 P5 m6 M6 m7 M7 P8 M9 P12 M13 P15 M16")),
    st.booleans(),
)
def test_transposition_agrees_with_music21(pitch: Pitch, name: str, down: bool) -> None:
    # Source: music21 Interval and Pitch.transpose, run here.
    text = f"-{name}" if down else name
    theirs = music21_pitch.Pitch(pitch.name.replace("b", "-"))
    moved = theirs.transpose(music21_interval.Interval(f"{name[0]}{'-' if down else ''}{name[1:]}"))
    ours = Interval.parse(text).above(pitch)
    if abs(ours.alter) > 2:
        return  # Triple signs: music21 respells them.
    assert ours.name.replace("b", "-") == moved.nameWithOctave
    assert ours.height == moved.midi


@pytest.mark.parametrize(
    ("name", "height"),
    # Source: MIDI key numbers, C4 = 60 (common practice); enharmonic octaves change at C.
    [
        ("C4", 60),
        ("B#3", 60),
        ("Cb4", 59),
        ("E#6", 89),
        ("F6", 89),
        ("Bbb3", 57),
        ("F##4", 67),
        ("Fx4", 67),
        ("A0", 21),
        ("C-1", 0),
    ],
)
def test_heights(name: str, height: int) -> None:
    assert Pitch.parse(name).height == height


@pytest.mark.parametrize(
    ("name", "steps", "semitones"),
    # Source: any rudiments book (from memory).
    [
        ("P1", 0, 0),
        ("A4", 3, 6),
        ("d5", 4, 6),
        ("d7", 6, 9),
        ("-M9", -8, -14),
        ("-M13", -12, -21),
        ("-M16", -15, -26),
        ("P22", 21, 36),
        ("A1", 0, 1),
        ("-A1", 0, -1),
    ],
)
def test_intervals(name: str, steps: int, semitones: int) -> None:
    assert Interval.parse(name) == Interval(steps, semitones)


@pytest.mark.parametrize("text", ["P3", "M5", "m8", "M4", "X2", "P0", "5", "", "P", "P-5", "major third"])
def test_no_such_interval(text: str) -> None:
    with pytest.raises(RequestError, match="is no interval"):
        Interval.parse(text)


@pytest.mark.parametrize("text", ["H4", "C", "", "4", "C###4", "Cb#4", "c4x", "C 4", "C4.5"])
def test_no_such_pitch(text: str) -> None:
    with pytest.raises(RequestError, match="is no pitch"):
        Pitch.parse(text)
    if text != "C":
        with pytest.raises(RequestError, match="is no note name"):
            NoteName.parse(text)
