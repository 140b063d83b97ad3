"""Properties of the forms: letters, symmetric collections, accidentals."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.catalogue.tables import load
from generator.files.resources import data_folder
from generator.theory.form import Form, Ladder, Way
from generator.theory.key import both_names, usual_name
from generator.theory.pitch import NoteName


def words(text: str) -> list[str]:
    return text.split()


FORMS = load(data_folder("shared")).forms
WAYS: tuple[Way, Way] = ("up", "down")
HEPTATONIC = [f for f in FORMS.rows if f.size == 7]
SYMMETRIC = [f for f in FORMS.rows if f.distinct < 12]


def octave(form: Form, tonic: NoteName, way: Way = "up") -> list[NoteName]:
    ladder = Ladder(form, tonic)
    return [ladder.pitch(d, way).note for d in range(form.size)]


def tonics(form: Form) -> list[NoteName]:
    """Every tonic that can be asked for and is not respelt."""
    named = [NoteName(step, alter) for step in range(7) for alter in (-1, 0, 1)]
    return [n for n in named if form.readable_tonic(n) == n]


def test_the_forms_a_player_expects_are_there() -> None:
    # Source: the list of forms the boards and method books name (common practice, no source).
    expected = """major; natural minor; harmonic minor; melodic minor; melodic minor both ways; harmonic major; ionian;
        dorian; phrygian; lydian; mixolydian; aeolian; locrian; whole-tone; chromatic; octatonic, half-whole;
        octatonic, whole-half; major pentatonic; minor pentatonic; blues; bebop dominant; bebop major;
        augmented hexatonic; major arpeggio; minor arpeggio; augmented arpeggio; diminished arpeggio;
        dominant seventh; major seventh; minor seventh; half-diminished seventh; diminished seventh"""
    assert {name.strip() for name in expected.split(";")} <= set(FORMS.names())


@pytest.mark.parametrize("form", HEPTATONIC, ids=lambda f: f.name)
def test_seven_note_forms_use_each_letter_once(form: Form) -> None:
    for tonic in tonics(form):
        for way in WAYS:
            notes = octave(form, tonic, way)
            assert [n.step for n in notes] == [(tonic.step + k) % 7 for k in range(7)]
            assert all(abs(n.alter) <= 2 for n in notes)


@pytest.mark.parametrize("form", FORMS.rows, ids=lambda f: f.name)
def test_ladders_rise_and_repeat_at_the_octave(form: Form) -> None:
    for tonic in tonics(form):
        ladder = Ladder(form, tonic)
        for way in WAYS:
            heights = [ladder.pitch(d, way).height for d in range(-form.size, 2 * form.size)]
            assert heights == sorted(set(heights))
            assert [h + 12 for h in heights[: -form.size]] == heights[form.size :]


@pytest.mark.parametrize(
    ("name", "collections"),
    [
        # Source: Integrated Musicianship (whole-tone two, octatonic three); Rangaeinga flute grade 6 (three diminished
        # sevenths, from C, C-sharp and D); four augmented triads (from memory).
        ("whole-tone", 2),
        ("octatonic, half-whole", 3),
        ("octatonic, whole-half", 3),
        ("diminished seventh", 3),
        ("augmented arpeggio", 4),
        ("augmented hexatonic", 4),
        ("chromatic", 1),
    ],
)
def test_symmetric_forms_have_few_collections(name: str, collections: int) -> None:
    form = FORMS.find(name)
    found = {
        frozenset(n.pitch_class for n in octave(form, usual_name(pitch_class, form.signature)))
        for pitch_class in range(12)
    }
    assert len(found) == collections == form.distinct


# The third and seventh of a dominant seventh are those of the one a tritone away; by name there are twelve all the
# same (common practice, no source).
SHARED = ("dominant guide tones",)


@pytest.mark.parametrize(
    "form", [f for f in FORMS.rows if f.distinct == 12 and f.name not in SHARED], ids=lambda f: f.name
)
def test_other_forms_have_twelve_collections(form: Form) -> None:
    # A line resolving elsewhere is told apart by its tonic.
    found = {
        frozenset(n.pitch_class for n in octave(form, usual_name(pitch_class, form.signature)))
        for pitch_class in range(12)
    }
    assert len(found) == 12


@pytest.mark.parametrize(
    ("name", "tonic", "pitch_classes"),
    [
        # Source: Integrated Musicianship and Wikipedia copies, by pitch class (programs differ in spelling).
        ("whole-tone", "C", {0, 2, 4, 6, 8, 10}),
        ("whole-tone", "C#", {1, 3, 5, 7, 9, 11}),
        ("whole-tone", "Db", {1, 3, 5, 7, 9, 11}),
        ("octatonic, half-whole", "G", {7, 8, 10, 11, 1, 2, 4, 5}),
        ("octatonic, whole-half", "G", {7, 9, 10, 0, 1, 3, 4, 6}),
        ("octatonic, whole-half", "D", {2, 4, 5, 7, 8, 10, 11, 1}),
        ("octatonic, half-whole", "Db", {1, 2, 4, 5, 7, 8, 10, 11}),
        ("diminished seventh", "C", {0, 3, 6, 9}),
        ("diminished seventh", "C#", {1, 4, 7, 10}),
        ("diminished seventh", "D", {2, 5, 8, 11}),
        ("chromatic", "F#", set(range(12))),
    ],
)
def test_collections_by_pitch_class(name: str, tonic: str, pitch_classes: set[int]) -> None:
    notes = octave(FORMS.find(name), NoteName.parse(tonic))
    assert {n.pitch_class for n in notes} == pitch_classes
    assert notes[0].pitch_class == NoteName.parse(tonic).pitch_class


@pytest.mark.parametrize("form", SYMMETRIC, ids=lambda f: f.name)
def test_symmetric_forms_have_no_double_accidental(form: Form) -> None:
    for tonic in tonics(form):
        for way in WAYS:
            assert all(abs(n.alter) <= 1 for n in octave(form, tonic, way))


@pytest.mark.parametrize("tonic", tonics(FORMS.find("whole-tone")), ids=str)
def test_whole_tone_has_six_letters_and_one_diminished_third(tonic: NoteName) -> None:
    # Source: six names for six notes leave one step of two letters (Integrated Musicianship prints C D E F# G# Bb).
    form = FORMS.find("whole-tone")
    places: list[list[tuple[int, int]]] = []
    for way in WAYS:
        ladder = Ladder(form, tonic)
        line = [ladder.pitch(d, way) for d in range(7)]
        assert len({p.step for p in line}) == 6
        steps = [b.place - a.place for a, b in itertools.pairwise(line)]
        assert sorted(steps) == [1, 1, 1, 1, 1, 2]
        places.append([(a.step, b.step) for a, b in itertools.pairwise(line) if b.place - a.place == 2])
    assert places[0] == places[1]


def test_whole_tone_keeps_its_diminished_third_in_one_place_for_a_collection() -> None:
    # Source: same; players reading the scale from another note of the collection meet the same six notes.
    form = FORMS.find("whole-tone")
    for tonic in ("C", "D", "E", "F#", "G#", "Bb"):
        assert {n.name for n in octave(form, NoteName.parse(tonic))} == {"C", "D", "E", "F#", "G#", "Bb"}


def test_chromatic_rises_in_sharps_and_falls_in_flats() -> None:
    # Source: Clementi op. 42 (1801), left-hand chromatic scale.
    form = FORMS.find("chromatic")
    up = [n.name for n in octave(form, NoteName.parse("E"), "up")]
    down = [n.name for n in octave(form, NoteName.parse("E"), "down")]
    assert up == words("E F F# G G# A A# B C C# D D#")
    assert down[::-1] == words("Eb D Db C B Bb A Ab G Gb F E")


@pytest.mark.parametrize(
    ("name", "tonic", "notes"),
    [
        # Source: the dominant seventh of a key stands on its fifth (ABRSM draft 2015, "in the key of G").
        ("dominant seventh", "G", "D F# A C"),
        ("dominant seventh", "Eb", "Bb D F Ab"),
        ("dominant seventh", "C#", "G# B# D# F#"),
        # Source: RSL alto saxophone grade 1, G minor pentatonic (its notes from memory).
        ("minor pentatonic", "G", "G Bb C D F"),
        ("major pentatonic", "Eb", "Eb F G Bb C"),
        ("minor seventh", "C", "C Eb G Bb"),
        ("half-diminished seventh", "B", "B D F A"),
        # Stacked thirds that can be read, on whichever name of the root has them (common practice, no source).
        ("half-diminished seventh", "Db", "C# E G B"),
        ("half-diminished seventh", "Gb", "F# A C E"),
        ("half-diminished seventh", "Ab", "G# B D F#"),
        ("half-diminished seventh", "Eb", "Eb Gb A Db"),
        ("half-diminished seventh", "Bb", "Bb Db Fb Ab"),
        ("octatonic, half-whole", "Db", "Db D E F G Ab Bb B"),
        ("octatonic, half-whole", "F", "F Gb Ab A B C D Eb"),
        ("octatonic, half-whole", "Ab", "Ab A B C D Eb F Gb"),
        ("octatonic, whole-half", "Eb", "Eb F Gb Ab A B C D"),
        ("major arpeggio", "F#", "F# A# C#"),
        ("minor arpeggio", "Ab", "Ab Cb Eb"),
        ("harmonic major", "C", "C D E F G Ab B"),
        ("bebop dominant", "G", "G A B C D E F F#"),
        ("augmented hexatonic", "C", "C Eb E G Ab B"),
    ],
)
def test_notes_of_other_forms(name: str, tonic: str, notes: str) -> None:
    form = FORMS.find(name)
    assert [n.name for n in octave(form, form.readable_tonic(NoteName.parse(tonic)))] == notes.split()


def test_blues_raises_its_fourth_going_up_and_lowers_the_fifth_coming_down() -> None:
    # Source: common practice, no source.
    form = FORMS.find("blues")
    assert [n.name for n in octave(form, NoteName.parse("C"), "up")] == words("C Eb F F# G Bb")
    assert [n.name for n in octave(form, NoteName.parse("C"), "down")] == words("C Eb F Gb G Bb")


@pytest.mark.parametrize("form", [f for f in FORMS.rows if f.signature is not None], ids=lambda f: f.name)
def test_signatures_stay_within_seven_signs(form: Form) -> None:
    assert form.signature is not None
    for pitch_class in range(12):
        for tonic in both_names(pitch_class, form.signature):
            assert abs(form.signature_on(tonic)) <= 7


@given(
    st.sampled_from(FORMS.rows),
    st.integers(0, 11),
    st.integers(20, 110),
    st.integers(0, 60),
    st.sampled_from(WAYS),
)
def test_degrees_between_are_exactly_those_in_range(
    form: Form, pitch_class: int, low: int, width: int, way: Way
) -> None:
    ladder = Ladder(form, usual_name(pitch_class, form.signature))
    inside = ladder.degrees_between(low, low + width, way)
    wide = range(-3 * form.size, 13 * form.size)
    assert list(inside) == [d for d in wide if low <= ladder.pitch(d, way).height <= low + width]


@pytest.mark.parametrize(
    ("name", "steps", "semitones", "degree"),
    [
        # Source: what a fifth above the tonic is in each form (rudiments, from memory).
        ("major", 4, 7, 4),
        ("major", 11, 19, 11),
        ("augmented arpeggio", 4, 7, 2),
        ("diminished seventh", 4, 7, 2),
        ("locrian", 4, 7, 4),
        ("minor pentatonic", 5, 9, None),
        ("whole-tone", 7, 12, 6),
        ("chromatic", 4, 7, 7),
        # Of two notes on one letter the perfect or major one is meant.
        ("bebop major", 4, 7, 4),
        ("bebop dominant", 6, 11, 7),
        ("octatonic, half-whole", 2, 4, 3),
        ("octatonic, whole-half", 5, 9, 6),
    ],
)
def test_degree_of_an_interval(name: str, steps: int, semitones: int, degree: int | None) -> None:
    assert FORMS.find(name).degree_at(steps, semitones) == degree
