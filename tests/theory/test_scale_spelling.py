"""Spelling of major and minor scales against a frozen table and against music21, run here."""

import itertools
import json
from pathlib import Path
from typing import Any

import pytest
from music21 import scale

from generator.catalogue.tables import load
from generator.files.resources import data_folder
from generator.theory.form import Ladder, Way
from generator.theory.pitch import NoteName

FORMS = load(data_folder("shared")).forms
TABLE = json.loads((Path(__file__).parents[1] / "data" / "scale_spellings.json").read_text("utf-8"))["scales"]
SCALES = [(form, tonic) for form, tonics in TABLE.items() for tonic in tonics]
# music21 names the melodic minor's two halves itself; its scales are built from a tonic.
MUSIC21: dict[str, Any] = {
    "major": scale.MajorScale,
    "natural minor": scale.MinorScale,
    "harmonic minor": scale.HarmonicMinorScale,
    "melodic minor": scale.MelodicMinorScale,
}


def our_octave(form: str, tonic: str, way: Way) -> list[str]:
    ladder = Ladder(FORMS.find(form), NoteName.parse(tonic))
    degrees = range(8) if way == "up" else range(7, -1, -1)
    return [ladder.pitch(d, way).note.name for d in degrees]


def test_the_table_holds_fifteen_tonics_of_each_form() -> None:
    assert {form: len(tonics) for form, tonics in TABLE.items()} == dict.fromkeys(MUSIC21, 15)


@pytest.mark.parametrize(("form", "tonic"), SCALES)
def test_spelling_up_and_down_agrees_with_the_table(form: str, tonic: str) -> None:
    # Source: tests/data/scale_spellings.json (music21, mingus and tonal agree on all sixty).
    row = TABLE[form][tonic]
    assert our_octave(form, tonic, "up") == row["up"].split()
    assert our_octave(form, tonic, "down") == row["down"].split()


@pytest.mark.parametrize(("form", "tonic"), SCALES)
def test_spelling_up_and_down_agrees_with_music21(form: str, tonic: str) -> None:
    # Source: music21, run here. Its old string directions raise; the enumeration is needed.
    theirs = MUSIC21[form](tonic.replace("b", "-"))
    for way, direction in (("up", scale.Direction.ASCENDING), ("down", scale.Direction.DESCENDING)):
        low, high = (f"{tonic.replace('b', '-')}{octave}" for octave in (4, 5))
        pitches = theirs.getPitches(low, high, direction=direction)
        names = [p.name.replace("-", "b") for p in pitches]
        assert our_octave(form, tonic, way) == names  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("form", "tonic", "up", "down"),
    [
        # Source: LilyPond text of the Wikipedia article on G-sharp minor, transliterated.
        ("harmonic minor", "G#", "G# A# B C# D# E F## G#", "G# F## E D# C# B A# G#"),
        ("melodic minor", "G#", "G# A# B C# D# E# F## G#", "G# F# E D# C# B A# G#"),
        # Source: three programs, table of worked spellings; the hardest of the sixty.
        ("melodic minor", "A#", "A# B# C# D# E# F## G## A#", "A# G# F# E# D# C# B# A#"),
        ("harmonic minor", "Ab", "Ab Bb Cb Db Eb Fb G Ab", "Ab G Fb Eb Db Cb Bb Ab"),
    ],
)
def test_hard_minor_scales_keep_one_letter_each(form: str, tonic: str, up: str, down: str) -> None:
    assert our_octave(form, tonic, "up") == up.split()
    assert our_octave(form, tonic, "down") == down.split()


@pytest.mark.parametrize(
    ("form", "steps"),
    [
        # Source: Integrated Musicianship: Theory (Univ. of Idaho); W a whole step, H a half step.
        ("major", "W W H W W W H"),
        ("natural minor", "W H W W H W W"),
    ],
)
def test_steps_of_a_scale(form: str, steps: str) -> None:
    ladder = Ladder(FORMS.find(form), NoteName.parse("E"))
    heights = [ladder.pitch(d).height for d in range(8)]
    assert [b - a for a, b in itertools.pairwise(heights)] == [{"W": 2, "H": 1}[s] for s in steps.split()]


# Steps on the white keys of a piano from D, E, F, G, B: the usual definition of the modes (from memory).
@pytest.mark.parametrize(
    ("mode", "tonic"),
    [
        ("ionian", "C"),
        ("dorian", "D"),
        ("phrygian", "E"),
        ("lydian", "F"),
        ("mixolydian", "G"),
        ("aeolian", "A"),
        ("locrian", "B"),
    ],
)
def test_a_mode_on_its_white_key_has_no_accidental_and_no_signature(mode: str, tonic: str) -> None:
    form = FORMS.find(mode)
    ladder = Ladder(form, NoteName.parse(tonic))
    assert all(ladder.pitch(d, way).alter == 0 for d in range(8) for way in ("up", "down"))
    assert form.signature_on(NoteName.parse(tonic)) == 0
