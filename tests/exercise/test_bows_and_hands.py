"""Bowings, stickings and strokes: what each family is told to do, and the signs that show it."""

from itertools import pairwise

import pytest

from generator.catalogue.tables import Catalogue
from generator.errors import DoesNotFitError
from generator.exercise.articulation import UNSLURRED
from generator.exercise.records import Exercise, Note
from generator.exercise.suiting import suits
from tests.exercise.conftest import MakeOne

LETTERS = {"C", "D", "E", "F", "G", "A", "B"}


def notes(exercise: Exercise) -> list[Note]:
    return [note for bar in exercise.bars for note in bar.notes if note.pitch is not None]


# Source: sticking letters of drum rudiments (Percussive Arts Society, forty rudiments: double stroke roll RRLL, single
# paradiddle RLRR LRLL), from memory.
@pytest.mark.parametrize(("asked", "hands"), [
    ("alternating sticking", "RLRLRLRL"), ("alternating sticking, left first", "LRLRLRLR"),
    ("double strokes", "RRLLRRLL"), ("paradiddles", "RLRRLRLL"),
])  # fmt: skip
@pytest.mark.parametrize("instrument", ["marimba", "glockenspiel", "timpani", "snare drum"])
def test_hands_follow_one_another_over_every_beat(
    make: MakeOne, asked: str, hands: str, instrument: str
) -> None:
    for rhythm in ("quarters", "triplets", "sixteenths"):
        phrase = f"F major arpeggio, a fifth, {rhythm}, {asked}"
        made = notes(make(phrase, instrument=instrument))
        begun = [made[0], *(note for before, note in pairwise(made) if not before.tie)]
        # A drum rolls what is held, which has no letter.
        letters = "".join(note.syllable or "-" for note in begun if "roll" not in note.marks)
        assert letters == (hands * 8)[: len(letters)], (rhythm, letters)
        assert len(letters) >= 4


def test_letters_of_the_hands_are_nobodys_tonguing_syllables(make: MakeOne) -> None:
    made = make("C major, one octave, alternating sticking", instrument="xylophone", syllables=("du", "gu"))
    assert {note.syllable for note in notes(made)} == {"R", "L"}


# Common practice, no source: two notes in one bow, the second stopped, which a dot under the slur says; down-bow first.
def test_hooked_bowing_has_its_dot_under_the_slur_and_begins_down(make: MakeOne) -> None:
    made = notes(make("D major, one octave, hooked bowing", instrument="violin"))
    assert [(note.slur, note.marks) for note in made[:4]] == [
        ("start", ("down-stroke",)), ("stop", ("staccato",)), ("start", ("up-stroke",)), ("stop", ("staccato",)),
    ]  # fmt: skip
    assert not any("stroke" in mark for note in made[4:] for mark in note.marks)
    assert made[0].value.dots == 1


@pytest.mark.parametrize(("instrument", "asked", "first"), [
    ("violin", "separate bows, up-bow first", ["up-stroke", "down-stroke"]),
    ("bass guitar", "down and up strokes", ["down-stroke", "up-stroke"]),
    ("classical guitar", "down strokes", ["down-stroke", "down-stroke"]),
])  # fmt: skip
def test_the_first_strokes_carry_their_signs(
    make: MakeOne, instrument: str, asked: str, first: list[str]
) -> None:
    made = notes(make(f"G major, one octave, {asked}", instrument=instrument))
    assert [note.marks[0] for note in made[:2]] == first
    assert asked in make(f"G major, one octave, {asked}", instrument=instrument).heading


@pytest.mark.parametrize("instrument", ["marimba", "tubular bells", "timpani", "harp", "snare drum"])
def test_what_is_struck_or_plucked_for_itself_has_no_slur(
    make: MakeOne, names: Catalogue, instrument: str
) -> None:
    wind = names.instruments.find(instrument).wind
    assert wind in UNSLURRED
    for row in names.articulations.rows:
        if row.slurs:
            assert not suits(row, 4, wind)
            assert not row.words_for(wind) or (row.drum and wind == "unpitched")
            try:
                made = make(f"F major arpeggio, a fifth, quarters, {row.name}", instrument=instrument)
            except DoesNotFitError:
                continue  # a bowing, or a cell that needs other beats
            assert not any(note.slur for note in notes(made))
            assert row.name not in made.heading


@pytest.mark.parametrize(("instrument", "words"), [
    ("violin", "bow"), ("marimba", "sticking"), ("classical guitar", "strokes"), ("harp", "plucked"),
    ("alto voice", "vowel"), ("piano", "touch"),
])  # fmt: skip
def test_a_refusal_says_what_the_family_would_ask_for(make: MakeOne, instrument: str, words: str) -> None:
    with pytest.raises(DoesNotFitError) as refused:
        make("C major, double tongue, one on each, sixteenths", instrument=instrument)
    said, _, offered = str(refused.value).partition("; ask for ")
    assert said.startswith("double tongue, one on each is for flutes, reeds and brass, not for ")
    assert words in offered
    assert "tongue" not in offered


@pytest.mark.parametrize("instrument", ["violin", "viola", "cello", "double bass"])
def test_every_articulation_of_strings_holds_the_bowings(names: Catalogue, instrument: str) -> None:
    wind = names.instruments.find(instrument).wind
    worn = {row.words_for(wind) for row in names.articulations.rows if suits(row, 4, wind)}
    assert {
        "separate bows", "two notes to a bow", "four notes to a bow", "hooked bowing", "separate bows, up-bow first",
    } <= worn  # fmt: skip
    assert not [words for words in worn if "tongu" in words]


def test_harp_pedals_set_each_letter_once(make: MakeOne) -> None:
    for asked in ("chromatic on C", "bebop dominant on G"):
        with pytest.raises(DoesNotFitError, match="pedals of a harp set each letter once"):
            make(asked, instrument="harp")
    with pytest.raises(DoesNotFitError, match="a harp has no F double-sharp"):
        make("G-sharp harmonic minor, one octave", instrument="harp")
    # Between the halves there is time for the pedals.
    made = make("A melodic minor, two octaves", instrument="harp")
    assert {"F#", "F", "G#", "G"} <= {pitch.note.name for pitch in made.pitches}


# Source: J. Papastefan, timpani sizes and ranges: a pair has F2 to F3; four drums 32, 29, 26, 23 inches.
def test_quick_notes_need_a_drum_each_and_quarters_do_not(make: MakeOne) -> None:
    with pytest.raises(DoesNotFitError, match=r"four timpani do not hold .* ask for quarters"):
        make("C major, one octave, eighths", instrument="timpani")
    made = make("F major, one octave, inside the span, quarters", instrument="timpani")
    assert len({pitch.height for pitch in made.pitches}) == 8
    chord = make("F major arpeggio, one octave, sixteenths", instrument="timpani")
    assert [pitch.name for pitch in chord.pitches[:4]] == ["F2", "A2", "C3", "F3"]
    with pytest.raises(DoesNotFitError, match="two timpani do not hold"):
        make("F major arpeggio, one octave, eighths", instrument="timpani", level="first notes")
