"""Required lists against their source notes: ranges, triads, broken chords, sustained notes, and who plays what."""

from pathlib import Path

import pytest

from generator.catalogue.players import player_named
from generator.phrase import expand
from generator.practice.required_sheet import required_sheet


def built(name, instrument, level="standard"):
    who = player_named(instrument, level)
    sheet = required_sheet(name, who, Path())
    return [made for phrase in sheet.phrases for made in expand.exercises([phrase], who).exercises]


# City of Reykjavik, learning objectives: the range of each level, octaves explicit.
RANGES = [
    ("reykjavik-saxophone-2", ["alto saxophone", "baritone saxophone"], 62, 84),
    ("reykjavik-trumpet-2", ["trumpet", "cornet"], 55, 74),
    ("reykjavik-horn-2", ["horn"], 55, 72),
    ("reykjavik-trombone-2", ["trombone"], 43, 60),
    ("reykjavik-trombone-3", ["trombone"], 41, 63),
    ("reykjavik-tuba-2", ["tuba", "tuba in C", "tuba in F"], 34, 51),
]


@pytest.mark.parametrize("level", ["standard", "extended"])
@pytest.mark.parametrize(("name", "instruments", "low", "high"), RANGES)
def test_a_list_stays_within_its_range(name, instruments, low, high, level):
    for instrument in instruments:
        for made in built(name, instrument, level):
            heights = [pitch.height for pitch in made.pitches]
            assert low <= min(heights), made.heading
            assert max(heights) <= high, made.heading


@pytest.mark.parametrize("name", [name for name, *_ in RANGES if name.endswith("-2")])
def test_triads_are_asked_for_with_their_scales(name):
    instrument = {n: i[0] for n, i, *_ in RANGES}[name]
    made = built(name, instrument)
    for mode in ("major", "minor"):
        scales = [one.key for one in made if mode in one.form and "arpeggio" not in one.form]
        assert [one.key for one in made if one.form == f"{mode} arpeggio"] == scales


def test_the_chromatic_scale_of_the_third_level_is_a_ninth():
    # Reykjavik, trombone level 3: chromatic C3 to D4, tongued.
    (chromatic,) = [one for one in built("reykjavik-trombone-3", "trombone") if one.form == "chromatic"]
    assert (chromatic.pitches[0].name, max(chromatic.pitches, key=lambda p: p.height).name) == ("C3", "D4")


@pytest.mark.parametrize(
    ("name", "instrument", "keys"),
    [
        ("nzmeb-trombone-7", "trombone", "E A Bb B"),
        ("nzmeb-trombone-8", "trombone", "Bb C E"),
        ("nzmeb-saxophone-8", "tenor saxophone", "Bb E G"),
    ],
)
def test_boards_ask_for_broken_chords_of_both_modes(name, instrument, keys):
    chords = [one for one in built(name, instrument) if one.figure == "broken chord"]
    assert [one.key for one in chords] == [*keys.split(), *keys.split()]


def test_a_broken_chord_is_the_chord_in_groups():
    # C E G | E G C, as boards print it (common practice, no source).
    who = player_named("flute")
    (made,) = expand.exercises(["C major broken chord, one octave"], who).exercises
    assert [pitch.name for pitch in made.pitches][:6] == ["C4", "E4", "G4", "E4", "G4", "C5"]
    assert made.heading == "C major broken chord, one octave"
    assert {pitch.height for pitch in made.pitches} <= {60, 64, 67, 72}


def test_one_note_is_sustained_and_swells_for_fourteen_seconds():
    # NZMEB, trombone grade 7: F-sharp, pp to ff to pp, at least 14 seconds.
    (made,) = [one for one in built("nzmeb-trombone-7", "trombone") if one.figure == "sustained note"]
    notes = [note for bar in made.bars for note in bar.notes]
    assert {note.pitch.note.name for note in notes} == {"F#"}
    assert [note.tie for note in notes] == [True, True, True, False]
    assert (notes[0].dynamic, notes[2].dynamic, notes[-1].dynamic_end) == (("pp", "<"), ("ff", ">"), ("pp",))
    seconds = sum(note.length for note in notes) * 4 * 60 / made.tempo.bpm
    assert seconds >= 14


def test_a_sustained_scale_goes_up_the_upper_octave_in_half_notes():
    # NZMEB, saxophone grade 8: upper octave, ascending only, tongued, one note for two beats at 60.
    rows = [one for one in built("nzmeb-saxophone-8", "alto saxophone") if "half notes" in one.heading]
    assert [one.key for one in rows] == ["Bb", "E", "G"]
    for one in rows:
        heights = [pitch.height for pitch in one.pitches]
        assert one.tempo.bpm == 60
        assert max(heights) + 12 > player_named("alto saxophone").compass.high.height
        assert [a.height < b.height for a, b in zip(one.pitches[:7], one.pitches[1:8], strict=True)] == [
            True
        ] * 7


def test_clarinets_play_from_low_f_to_high_c():
    # Orange County, New York, junior: clarinet low F to high C.
    (chromatic,) = [one for one in built("orange-county-junior", "clarinet") if one.form == "chromatic"]
    heights = sorted(pitch.height for pitch in chromatic.pitches)
    assert (heights[0], heights[-1]) == (53, 84)


@pytest.mark.parametrize(
    ("name", "instrument"),
    [
        ("abrsm-draft-flute-1", "flute"),
        ("leinster-clarinet-1", "clarinet"),
        ("rockschool-alto-saxophone-1", "alto saxophone"),
        ("hong-kong-trumpet-e2", "trumpet"),
        ("nzmeb-trumpet-preliminary", "trumpet"),
    ],
)
def test_first_grades_are_in_quarters_or_eighths(name, instrument):
    # A first-year player reads no sixteenths (common practice, no source).
    for made in built(name, instrument):
        assert min(note.length for bar in made.bars for note in bar.notes).denominator <= 8
