"""Key signatures and the choice of readable key names."""

import itertools

import pytest
from mido.midifiles.meta import _key_signature_decode
from music21 import key as music21_key

from generator.theory.key import both_names, circle_place, readable, signature_alter, signature_of, usual_name
from generator.theory.pitch import LETTERS, NoteName


def words(text: str) -> list[str]:
    return text.split()


FIFTHS = range(-7, 8)
# Source: the fifteen signatures, agreed by mido 1.3.3 and music21 10.5.1.
MAJORS = words("Cb Gb Db Ab Eb Bb F C G D A E B F# C#")
MINORS = words("Ab Eb Bb F C G D A E B F# C# G# D# A#")


@pytest.mark.parametrize(("fifths", "major", "minor"), list(zip(FIFTHS, MAJORS, MINORS, strict=True)))
def test_signature_of_the_fifteen_major_and_minor_keys(fifths: int, major: str, minor: str) -> None:
    assert signature_of(NoteName.parse(major), 0) == fifths
    assert signature_of(NoteName.parse(minor), -3) == fifths


@pytest.mark.parametrize("fifths", FIFTHS)
def test_signature_agrees_with_music21(fifths: int) -> None:
    # Source: music21 KeySignature, run here.
    theirs = music21_key.KeySignature(fifths)
    altered = {p.step: int(p.accidental.alter) for p in theirs.alteredPitches if p.accidental is not None}
    for step, letter in enumerate(LETTERS):
        assert signature_alter(fifths, step) == altered.get(letter, 0)
    assert NoteName.from_fifths(fifths).name == theirs.asKey("major").tonic.name.replace("-", "b")
    assert NoteName.from_fifths(fifths + 3).name == theirs.asKey("minor").tonic.name.replace("-", "b")


def test_signature_agrees_with_the_midi_table() -> None:
    # Source: mido's table of the MIDI key-signature event, thirty entries.
    assert len(_key_signature_decode) == 30
    for (fifths, minor), name in _key_signature_decode.items():
        tonic = NoteName.parse(name.removesuffix("m"))
        assert signature_of(tonic, -3 if minor else 0) == fifths


def test_order_of_sharps_and_flats() -> None:
    # Source: Integrated Musicianship: sharps F C G D A E B, flats the other way round.
    added = [{LETTERS[s] for s in range(7) if signature_alter(n, s)} for n in range(8)]
    assert [(b - a).pop() for a, b in itertools.pairwise(added)] == list("FCGDAEB")
    added = [{LETTERS[s] for s in range(7) if signature_alter(-n, s)} for n in range(8)]
    assert [(b - a).pop() for a, b in itertools.pairwise(added)] == list("BEADGCF")


@pytest.mark.parametrize(
    ("asked", "offset", "read"),
    [
        # Source: G-sharp major has eight signs (Busby 1840 by way of Simple Wikipedia); the rest by twelve fifths.
        ("G#", 0, "Ab"),
        ("D#", 0, "Eb"),
        ("A#", 0, "Bb"),
        ("Fb", 0, "E"),
        ("E#", -3, "F"),
        # G-sharp minor is an ordinary key of five sharps and A-flat minor one of seven flats.
        ("G#", -3, "G#"),
        ("Ab", -3, "Ab"),
        ("Db", -3, "C#"),
        ("Gb", -3, "F#"),
        ("C#", 0, "C#"),
        ("Cb", 0, "Cb"),
    ],
)
def test_keys_of_more_than_seven_signs_are_respelt(asked: str, offset: int, read: str) -> None:
    assert readable(NoteName.parse(asked), offset).name == read


@pytest.mark.parametrize(
    ("asked", "read"),
    [
        # Without a signature nothing is counted, and a name stays as asked unless its first note is E-sharp, B-sharp,
        # F-flat, C-flat or has a double accidental (common practice, no source).
        *[(name, name) for name in words("C C# D D# E F F# G G# A A# B Db Eb Gb Ab Bb")],
        ("E#", "F"),
        ("B#", "C"),
        ("Cb", "B"),
        ("Fb", "E"),
        ("F##", "G"),
        ("Bbb", "A"),
    ],
)
def test_names_of_forms_without_a_signature_stay_as_asked(asked: str, read: str) -> None:
    assert readable(NoteName.parse(asked), None).name == read


def test_of_two_names_with_six_signs_the_flat_one_is_usual() -> None:
    # Wind bands meet flats more often (common practice, no source).
    assert [usual_name(6, 0).name, usual_name(3, -3).name] == ["Gb", "Eb"]


@pytest.mark.parametrize(
    ("sharps", "flats", "offset"),
    # Source: the enharmonic pairs within seven signs, majors then minors.
    [
        ("B", "Cb", 0),
        ("F#", "Gb", 0),
        ("C#", "Db", 0),
        ("G#", "Ab", -3),
        ("D#", "Eb", -3),
        ("A#", "Bb", -3),
    ],
)
def test_both_names_of_a_readable_pair(sharps: str, flats: str, offset: int) -> None:
    pitch_class = NoteName.parse(sharps).pitch_class
    assert {n.name for n in both_names(pitch_class, offset)} == {sharps, flats}
    assert usual_name(pitch_class, offset, "sharps").name == sharps
    assert usual_name(pitch_class, offset, "flats").name == flats


@pytest.mark.parametrize("offset", [0, -3])
def test_only_three_pairs_have_two_readable_names(offset: int) -> None:
    # Source: fifteen readable keys (senior list of Orange County, New York) for twelve sounds.
    names = [n.name for pc in range(12) for n in both_names(pc, offset)]
    assert sorted(names) == sorted(MAJORS if offset == 0 else MINORS)


def test_usual_names_agree_with_a_treatise_but_for_the_readable_pairs() -> None:
    # Source: Clementi op. 42 (1801), the twenty-four keys he prints; either name of a pair is accepted.
    majors = {n.name for pc in range(12) for n in [usual_name(pc, 0)]}
    minors = {n.name for pc in range(12) for n in [usual_name(pc, -3)]}
    assert majors ^ set(words("C G D A E B F# Db Ab Eb Bb F")) <= {"F#", "Gb"}
    assert minors ^ set(words("A E B F# C# G# D# Bb F C G D")) <= {"D#", "Eb"}


@pytest.mark.parametrize("offset", [0, -1, -2, -3, -4, -5, 1, None])
@pytest.mark.parametrize("preference", ["usual", "sharps", "flats"])
def test_no_key_name_needs_more_than_seven_signs(offset: int | None, preference: str) -> None:
    for pitch_class in range(12):
        name = usual_name(pitch_class, offset, preference)  # type: ignore[arg-type]
        assert name.pitch_class == pitch_class
        assert abs(name.alter) <= 1
        assert abs(signature_of(name, offset or 0)) <= (7 if offset is not None else 10)


def test_relative_keys_share_a_place_on_the_circle() -> None:
    # Source: Integrated Musicianship: the relative minor is three half steps below and has the same signature.
    for major, minor in zip(MAJORS, MINORS, strict=True):
        assert circle_place(NoteName.parse(major), 0) == circle_place(NoteName.parse(minor), -3)
        assert (NoteName.parse(major).pitch_class - NoteName.parse(minor).pitch_class) % 12 == 3
