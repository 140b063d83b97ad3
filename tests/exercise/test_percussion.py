"""The parts of percussion: sticking and rolls, beats, time on a set of drums.

Sources: positions on five lines and crosses, LilyPond's tables of drum styles (ly/drumpitch-init.ly);
keys, the General MIDI percussion map; rudiments, the forty international drum rudiments, from memory. What each
instrument plays is common practice, no source.
"""

from fractions import Fraction

import pytest

from generator.engraving.music import syllable_texts
from generator.exercise.kit import AT, KIT, PARTS
from generator.exercise.records import Exercise, Note
from tests.exercise.conftest import MakeOne


def notes(exercise: Exercise) -> list[Note]:
    return [note for bar in exercise.bars for note in bar.notes]


def letters(exercise: Exercise) -> str:
    return "".join(n.syllable or "" for n in notes(exercise) if n.pitch and not n.grace)


def struck(exercise: Exercise) -> list[dict[Fraction, set[str]]]:
    """What sounds in each bar, by place."""
    found: list[dict[Fraction, set[str]]] = []
    for bar in exercise.bars:
        place, here = Fraction(0), {}
        for note in bar.notes:
            if note.pitch:
                here[place] = {AT[p].name for p in (note.pitch, *note.also)}
            place += note.length
        found.append(here)
    return found


def test_every_bar_of_every_part_is_full(make: MakeOne) -> None:
    phrases = (
        "C major, one octave", "G major, triplets", "F major in thirds, 6/8", "C major, quarters in 3/4",
        "D major in 7/8", "C major long tones", "C major, swing eighths, slurs of three", "C major, whole notes",
        "A minor, half notes, crescendo up, diminuendo down", "C major, a fifth, double tongue",
        "C major, dotted eighth and sixteenth, two octaves", "C major in 5/4, eighths",
        "C major, in 12/8", "C major, 6/8 and 4/4, beat = beat", "C major in 2/4, eighth and two sixteenths",
    )  # fmt: skip
    players = (
        "snare drum", "bass drum", "cymbals", "drum set", "triangle", "tambourine", "wood block", "practice pad",
        "unpitched percussion",
    )  # fmt: skip
    for phrase in phrases:
        flute = make(phrase)
        for player in players:
            for level in ("standard", "first notes"):
                made = make(phrase, instrument=player, level=level)
                assert [b.filled for b in made.bars] == [b.filled for b in made.bars if b.metre]
                assert all(b.incomplete or b.filled == b.metre.length for b in made.bars), (phrase, player)
                assert level != "standard" or [b.metre for b in made.bars] == [b.metre for b in flute.bars]
                assert not any(n.slur or "breath" in n.marks or "staccato" in n.marks for n in notes(made))


@pytest.mark.parametrize(("asked", "hands"), [
    ("slurred pairs", "RRLL"), ("tongue two slur two", "RLRRLRLL"), ("slur two tongue two", "RRLRLLRL"),
    ("slurs of six", "RLRRLL"), ("slurs of eight", "RLRLRLRRLRLRLRLL"), ("slurs of four", "RL"), ("staccato", "RL"),
])  # fmt: skip
def test_what_others_slur_is_a_rudiment(make: MakeOne, asked: str, hands: str) -> None:
    made = make(f"C major arpeggio, two octaves, eighths, {asked}", instrument="snare drum")
    # The last note is held, and rolled.
    own = letters(made)[:12]
    assert own == (hands * 6)[: len(own)]
    assert len(own) == 12


def test_a_flam_is_for_who_has_learnt_it(make: MakeOne) -> None:
    for level, there in (("standard", True), ("first notes", False)):
        made = make("C major, a fifth, slurs of three, triplets", instrument="snare drum", level=level)
        assert any(n.grace for n in notes(made)) is there
        assert any("accent" in n.marks for n in notes(made))


def test_a_long_note_is_a_roll_tied_into_the_stroke_that_ends_it(make: MakeOne) -> None:
    made = make("C major, a fifth, whole notes", instrument="snare drum")
    for bar in made.bars:
        roll, release = bar.notes
        assert (str(roll.value), roll.marks, roll.tie) == ("2.", ("roll",), True)
        assert (str(release.value), release.marks, release.tie) == ("4", (), False)
    beginner = make("C major, a fifth, whole notes", instrument="snare drum", level="first notes")
    assert {len(bar.notes) for bar in beginner.bars} == {8}
    assert letters(beginner)[:8] == "RLRLRLRL"


def test_unequal_notes_lie_in_the_same_hands(make: MakeOne) -> None:
    dotted = make("C major, dotted eighth and sixteenth", instrument="snare drum")
    assert letters(dotted)[:8] == "RLRLRLRL"
    gallop = make("C major, eighth and two sixteenths", instrument="snare drum")
    assert letters(gallop)[:6] == "RRLRRL"


def test_a_bass_drum_has_beats_and_no_sixteenths(make: MakeOne) -> None:
    for phrase, beats in (("C major, sixteenths", [0, 2]), ("C major, sixteenths in 3/4", [0])):
        made = make(phrase, instrument="bass drum")
        for bar in made.bars[:-1]:
            place, found = Fraction(0), []
            for note in bar.notes:
                found += [place * 4] if note.pitch else []
                place += note.length
            assert found == beats
        assert all(n.length >= Fraction(1, 8) for n in notes(made))


def test_cymbals_have_dynamics(make: MakeOne) -> None:
    made = make("C major, two octaves, quarters", instrument="cymbals")
    assert [sign for n in notes(made) for sign in n.dynamic] == ["mf", "f"]
    assert notes(make("C major long tones, swells", instrument="cymbals"))[0].dynamic == ("p", "<")


@pytest.mark.parametrize(("asked", "style", "bar"), [
    ("eighths", "Rock, straight eighths", {
        0: {"hi-hat", "bass drum"}, 1: {"hi-hat"}, 2: {"hi-hat", "snare drum"}, 3: {"hi-hat"},
        4: {"hi-hat", "bass drum"}, 5: {"hi-hat"}, 6: {"hi-hat", "snare drum"}, 7: {"hi-hat"},
    }),
    ("swing eighths", "Time", {
        0: {"ride cymbal", "bass drum"}, 2: {"ride cymbal", "hi-hat pedal"}, 3: {"ride cymbal"},
        4: {"ride cymbal", "bass drum"}, 6: {"ride cymbal", "hi-hat pedal"}, 7: {"ride cymbal"},
    }),
    ("eighths in 3/4", "Waltz", {
        0: {"ride cymbal", "bass drum"}, 2: {"ride cymbal", "hi-hat pedal"}, 4: {"ride cymbal", "hi-hat pedal"},
    }),
    ("in 6/8", "March in 6/8", {
        0: {"ride cymbal", "bass drum"}, 2: {"ride cymbal"}, 3: {"ride cymbal", "snare drum"}, 5: {"ride cymbal"},
    }),
])  # fmt: skip
def test_a_drum_set_keeps_time_in_style_and_metre(
    make: MakeOne, asked: str, style: str, bar: dict[int, set[str]]
) -> None:
    made = make(f"C major, two octaves, {asked}", instrument="drum set")
    assert made.head == style
    assert struck(made)[0] == {Fraction(at, 8): parts for at, parts in bar.items()}
    assert {"crash cymbal", "bass drum"} in struck(made)[-1].values()


def test_the_set_stands_where_lilypond_has_it_and_sounds_as_general_midi() -> None:
    # ly/drumpitch-init.ly, the style after the guide of the Percussive Arts Society: half spaces from the middle line.
    places = {
        "bass drum": -3, "snare drum": 1, "hi-hat": 5, "hi-hat pedal": -5, "ride cymbal": 4, "crash cymbal": 6,
    }  # fmt: skip
    middle = 34  # B4, the middle line of the treble clef, in letters from C0
    assert {name: PARTS[name].place.place - middle for name in places} == places
    keys = {
        "bass drum": 36, "snare drum": 38, "hi-hat": 42, "hi-hat pedal": 44, "crash cymbal": 49, "ride cymbal": 51,
    }  # fmt: skip
    assert {piece.name: piece.key for piece in KIT} == keys
    assert {piece.name for piece in KIT if piece.cross} == {n for n in keys if "hat" in n or "cymbal" in n}


@pytest.mark.parametrize("level", ["first notes", "standard"])
@pytest.mark.parametrize(
    "asked", ["half notes, crescendo up, diminuendo down", "long tones, swells", "p, eighths"]
)
def test_a_hairpin_that_begins_ends(make: MakeOne, level: str, asked: str) -> None:
    for player in ("snare drum", "bass drum", "cymbals", "triangle", "tambourine", "wood block"):
        made = make(
            f"C major, a fifth, {asked}" if "tones" not in asked else f"C major {asked}",
            instrument=player,
            level=level,
        )
        signs = [sign for n in notes(made) for sign in (*n.dynamic, *n.dynamic_end)]
        flute = [sign for n in notes(make(made.phrase, level=level)) for sign in (*n.dynamic, *n.dynamic_end)]
        assert signs == flute or player == "cymbals", (player, signs, flute)


def test_the_letters_of_a_flam_stand_under_its_stroke(make: MakeOne) -> None:
    made = make("C major, a fifth, slurs of three, triplets", instrument="snare drum")
    strokes = [note for note in notes(made) if note.pitch and not note.grace]
    # LilyPond gives no syllable to a small note: one word for each of the others.
    text = syllable_texts(notes(made))
    assert text is not None
    assert [word.strip('"') for word in text.split()] == [note.syllable or "" for note in strokes]
