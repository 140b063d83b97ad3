"""Instruments: what is written and what is heard, against books, a table and music21."""

import tomllib
from pathlib import Path

import pytest
from music21 import instrument as music21_instrument

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError, UnknownNameError
from generator.exercise.build import written_tonic
from generator.exercise.instrument import Instrument
from generator.exercise.request import Request
from generator.phrase import expand
from generator.theory.interval import Interval
from generator.theory.pitch import NoteName, Pitch

NAMES = shared_catalogue()
INSTRUMENTS = NAMES.instruments
PITCHED = NAMES.pitched
BOOKS = tomllib.loads((Path(__file__).parents[1] / "data" / "transpositions.toml").read_text("utf-8"))

# Classes of music21 10.5.1 for our instruments.
MUSIC21 = {
    "piccolo": "Piccolo",
    "flute": "Flute",
    "alto recorder": "Recorder",
    "oboe": "Oboe",
    "cor anglais": "EnglishHorn",
    "bassoon": "Bassoon",
    "clarinet in B-flat": "Clarinet",
    "bass clarinet": "BassClarinet",
    "soprano saxophone": "SopranoSaxophone",
    "alto saxophone": "AltoSaxophone",
    "tenor saxophone": "TenorSaxophone",
    "baritone saxophone": "BaritoneSaxophone",
    "trumpet in B-flat": "Trumpet",
    "horn in F": "Horn",
    "trombone": "Trombone",
    "bass trombone": "BassTrombone",
    "tuba": "Tuba",
    "marimba": "Marimba",
    "piano": "Piano",
    "harp": "Harp",
    "timpani": "Timpani",
    "mezzo-soprano voice": "MezzoSoprano",
    "baritone voice": "Baritone",
    "piano right hand": "Piano",
    "piano left hand": "Piano",
    "vibraphone": "Vibraphone",
    "tubular bells": "TubularBells",
    "soprano voice": "Soprano",
    "alto voice": "Alto",
    "bass voice": "Bass",
    "violin": "Violin",
    "viola": "Viola",
    "cello": "Violoncello",
    "double bass": "Contrabass",
}
# Where music21 10.5.1 leaves an octave out, against every book; what it should say.
GAPS = {
    "contrabassoon": ("Contrabassoon", "-P8"),
    "classical guitar": ("AcousticGuitar", "-P8"),
    "bass guitar": ("ElectricBass", "-P8"),
    "glockenspiel": ("Glockenspiel", "P15"),
    "xylophone": ("Xylophone", "P8"),
    "tenor voice": ("Tenor", "-P8"),
}
# Instruments that music21 10.5.1 does not know at all.
MISSING = """AltoFlute BassFlute AltoClarinet ContraAltoClarinet ContrabassClarinet SopraninoSaxophone BassSaxophone
    PiccoloTrumpet Cornet Flugelhorn Mellophone Euphonium BaritoneHorn SopranoRecorder TenorRecorder BassRecorder"""


@pytest.mark.parametrize("name", sorted(BOOKS))
def test_transposition_agrees_with_the_books(name: str) -> None:
    # Source: tests/data/transpositions.toml, which names the books.
    assert INSTRUMENTS.find(name).sounds == Interval.parse(BOOKS[name]["sounds"])


def test_only_a_few_instruments_stand_in_no_book() -> None:
    # Brass-band and orchestral tubas and the bass-clef bass clarinet follow from their pitch and clef (section below);
    # piano, harp, timpani and two voices sound as written and so are in no list of transposing instruments.
    assert {row.name for row in PITCHED} - set(BOOKS) == {
        "piano",
        "piano right hand",
        "piano left hand",
        "harp",
        "timpani",
        "mezzo-soprano voice",
        "baritone voice",
        "bass clarinet in bass clef",
        "tuba in E-flat",
        "tuba in C",
        "B-flat bass in treble clef",
    }
    # Source: bass-clef brass does not transpose even when it is "in B-flat" (IM, GC, SS); brass-band treble clef does.
    assert (
        INSTRUMENTS.find("tuba in E-flat").sounds
        == INSTRUMENTS.find("tuba in C").sounds
        == Interval.parse("P1")
    )
    assert INSTRUMENTS.find("B-flat bass in treble clef").sounds == Interval.parse("-M16")
    # Source: bass-clef (German) notation sounds a major second lower (MuseScore has both notations).
    assert INSTRUMENTS.find("bass clarinet in bass clef").sounds == Interval.parse("-M2")


@pytest.mark.parametrize("name", sorted(MUSIC21))
def test_transposition_agrees_with_music21(name: str) -> None:
    # Source: music21, run here.
    theirs = getattr(music21_instrument, MUSIC21[name])().transposition
    ours = INSTRUMENTS.find(name).sounds
    assert ours.semitones == (theirs.chromatic.semitones if theirs else 0)
    assert ours.steps == (theirs.diatonic.generic.staffDistance if theirs else 0)


@pytest.mark.parametrize("name", sorted(GAPS))
def test_gaps_of_music21_are_still_gaps(name: str) -> None:
    # Source: OR, IM, GC, SS and WK give the octave. Should this fail, music21 has mended it: move the row up.
    theirs, sounds = GAPS[name]
    assert getattr(music21_instrument, theirs)().transposition is None
    assert INSTRUMENTS.find(name).sounds == Interval.parse(sounds)


def test_what_music21_does_not_know_is_still_missing() -> None:
    assert [n for n in MISSING.split() if hasattr(music21_instrument, n)] == []


@pytest.mark.parametrize(
    ("name", "lowest"),
    [
        # Source: music21's lowestNote and at least one list of ranges agree on these written notes.
        ("piccolo", "D4"),
        ("oboe", "Bb3"),
        ("cor anglais", "B3"),
        ("bassoon", "Bb1"),
        ("clarinet in B-flat", "E3"),
        ("bass clarinet", "Eb3"),
        ("alto saxophone", "Bb3"),
        ("tenor saxophone", "Bb3"),
        ("trumpet in B-flat", "F#3"),
        ("trombone", "E2"),
        ("violin", "G3"),
        ("viola", "C3"),
        ("cello", "C2"),
        ("double bass", "E2"),
    ],
)
def test_lowest_written_note(name: str, lowest: str) -> None:
    ours = INSTRUMENTS.find(name).level("standard").low
    assert ours == Pitch.parse(lowest)
    theirs = getattr(music21_instrument, MUSIC21[name])().lowestNote
    assert theirs.midi == ours.height


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        # Source: Georgia all-state chromatic spans, grades 9-12 (letters; octaves inferred).
        ("flute", "C4", "C7"),
        ("oboe", "Bb3", "D6"),
        ("clarinet in B-flat", "E3", "G6"),
        ("bassoon", "Bb1", "Bb4"),
        ("alto saxophone", "Bb3", "F6"),
        ("horn in F", "F3", "A5"),
        ("trumpet in B-flat", "F#3", "C6"),
        ("trombone", "E2", "Bb4"),
        ("tuba", "E1", "Bb3"),
    ],
)
def test_standard_level_is_what_auditions_ask(name: str, low: str, high: str) -> None:
    compass = INSTRUMENTS.find(name).level("standard")
    assert (compass.low.name, compass.high.name) == (low, high)


@pytest.mark.parametrize("instrument", PITCHED, ids=lambda i: i.name)
def test_levels_widen_and_have_sources(instrument: Instrument) -> None:
    first, standard, extended = (compass for _, compass in instrument.levels)
    assert extended.low.height <= standard.low.height <= first.low.height
    assert first.high.height <= standard.high.height <= extended.high.height
    assert all(compass.source.strip() for _, compass in instrument.levels)
    # A first scale of one octave fits (a few voices and bells have less).
    assert first.high.height - first.low.height >= 12
    assert set(instrument.clefs) <= {"treble", "treble-8", "alto", "tenor", "bass"}


def test_places_in_a_score_are_unique() -> None:
    orders = [i.order for i in PITCHED]
    assert orders == sorted(set(orders))
    assert len({i.short for i in PITCHED}) == len(orders)


# Source: a table of twelve concert notes and what B-flat, E-flat and F instruments write for them
# (store.musicbasics.com), agreed by Idiot's Guide ch. 18 and bandnotes.info; compared by pitch class.
CONCERT = """
C D A G
Db Eb Bb Ab
D E B A
Eb F C Bb
E F# C# B
F G D C
Gb Ab Eb Db
G A E D
Ab Bb F Eb
A B F# E
Bb C G F
B C# G# F#
"""
FAMILIES = {
    1: (
        "clarinet in B-flat",
        "tenor saxophone",
        "trumpet in B-flat",
        "euphonium in treble clef",
        "bass clarinet",
    ),
    2: (
        "alto saxophone",
        "baritone saxophone",
        "tenor horn",
        "E-flat bass in treble clef",
        "clarinet in E-flat",
    ),
    3: ("horn in F", "cor anglais", "mellophone", "basset horn"),
}


@pytest.mark.parametrize("line", [r.split() for r in CONCERT.strip().splitlines()], ids=lambda r: r[0])
@pytest.mark.parametrize("form", ["major", "harmonic minor", "chromatic"])
def test_written_key_for_a_concert_key(line: list[str], form: str) -> None:
    row = NAMES.forms.find(form)
    request = Request(NAMES.forms.find(form), keys=(NoteName.parse(line[0]),), concert=True)
    for column, players in FAMILIES.items():
        for name in players:
            written = written_tonic(request, row, INSTRUMENTS.find(name))
            assert written.pitch_class == NoteName.parse(line[column]).pitch_class
            assert abs(row.signature_on(written)) <= 7
    for name in ("flute", "oboe", "trombone", "tuba", "violin", "piccolo", "double bass"):
        assert written_tonic(request, row, INSTRUMENTS.find(name)).pitch_class == request.keys[0].pitch_class


@pytest.mark.parametrize(
    ("concert", "instrument", "written", "signature"),
    [
        # Source: a part's signature added to the concert fifths (B-flat +2, E-flat +3, F +1), respelt beyond seven.
        ("B", "alto saxophone", "Ab", -4),
        ("F#", "clarinet in B-flat", "Ab", -4),
        ("F#", "alto saxophone", "Eb", -3),
        ("C#", "horn in F", "Ab", -4),
        ("C#", "trumpet in B-flat", "Eb", -3),
        ("C#", "baritone saxophone", "Bb", -2),
        # The plain cases: B-flat band scales (bandnotes.info), the seven keys of the Florida list.
        ("Bb", "trumpet in B-flat", "C", 0),
        ("Bb", "alto saxophone", "G", 1),
        ("Bb", "horn in F", "F", -1),
        ("Bb", "trombone", "Bb", -2),
        ("Eb", "clarinet in B-flat", "F", -1),
        ("Ab", "clarinet in B-flat", "Bb", -2),
        ("Ab", "alto saxophone", "F", -1),
        ("Ab", "horn in F", "Eb", -3),
        ("Db", "alto saxophone", "Bb", -2),
        ("G", "alto saxophone", "E", 4),
        ("C", "clarinet in A", "Eb", -3),
        ("C", "alto flute", "F", -1),
        ("C", "trumpet in D", "Bb", -2),
    ],
)
def test_written_key_and_signature(concert: str, instrument: str, written: str, signature: int) -> None:
    row = NAMES.forms.find("major")
    request = Request(NAMES.forms.find("major"), keys=(NoteName.parse(concert),), concert=True)
    tonic = written_tonic(request, row, INSTRUMENTS.find(instrument))
    assert (tonic.name, row.signature_on(tonic)) == (written, signature)


def test_concert_b_for_b_flat_instruments_is_c_sharp_or_d_flat() -> None:
    # Source: Idiot's Guide prints "D-flat (C-sharp)"; both are legal.
    request = Request(NAMES.forms.find("major"), keys=(NoteName.parse("B"),), concert=True)
    tonic = written_tonic(request, NAMES.forms.find("major"), INSTRUMENTS.find("trumpet in B-flat"))
    assert tonic.name in {"C#", "Db"}


def test_a_written_key_is_left_alone() -> None:
    row = NAMES.forms.find("major")
    for name in ("alto saxophone", "flute"):
        assert (
            written_tonic(
                Request(NAMES.forms.find("major"), keys=(NoteName.parse("Bb"),)), row, INSTRUMENTS.find(name)
            ).name
            == "Bb"
        )


def test_what_is_written_for_a_concert_scale_sounds_as_that_scale() -> None:
    for name in (row.name for row in PITCHED):
        # In quarters, which the pedals of timpani follow.
        phrase = "concert E-flat major, a fifth, quarters"
        made = expand.exercises([phrase], player_named(name, "extended")).exercises[0]
        sounds = INSTRUMENTS.find(name).sounds
        heard = {sounds.above(p).note.pitch_class for p in made.pitches}
        assert heard == {3, 5, 7, 8, 10}


@pytest.mark.parametrize(
    ("alias", "name"),
    [
        ("Alto Sax", "alto saxophone"),
        ("english horn", "cor anglais"),
        ("Bb clarinet", "clarinet in B-flat"),
        ("clarinet", "clarinet in B-flat"),
        ("B♭ trumpet", "trumpet in B-flat"),
        ("french horn", "horn in F"),
        ("recorder", "soprano recorder"),
        ("bari sax", "baritone saxophone"),
        ("euphonium TC", "euphonium in treble clef"),
    ],
)
def test_instruments_by_other_names(alias: str, name: str) -> None:
    assert INSTRUMENTS.find(alias).name == name


@pytest.mark.parametrize(
    ("typed", "near"), [("alto saxofone", "alto saxophone"), ("trombon", "trombone"), ("fluet", "flute")]
)
def test_unknown_instruments_bring_the_nearest(typed: str, near: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        INSTRUMENTS.find(typed)
    assert near in caught.value.nearest
    assert near in str(caught.value)


def test_unknown_levels_and_ranges_are_refused() -> None:
    with pytest.raises(RequestError, match="the levels are first notes, standard, extended"):
        player_named("flute", "expert")
    with pytest.raises(RequestError, match="more than an octave beyond"):
        player_named("flute", low="C1")
    with pytest.raises(RequestError, match="is no pitch"):
        player_named("flute", low="H4")
