"""Phrases as musicians say them, in many styles, and wrong ones with the help they get.

Wording from exam boards and audition lists where a comment says so; the rest is common practice, no source.
"""

from dataclasses import replace

import pytest

from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError, UnknownNameError
from generator.exercise.records import Tempo
from generator.exercise.request import EVERY, IN_TURN, Request
from generator.phrase.read import parse
from generator.theory.duration import Value
from generator.theory.pitch import NoteName

NAMES = shared_catalogue()


def asked(form: str, keys: str = "", **rest: object) -> Request:
    """A request in short: keys as note names with spaces between."""
    forms = {**NAMES.sets.index, **NAMES.routines.index, **NAMES.forms.index}
    request = Request(forms[fold(form)], keys=tuple(NoteName.parse(k) for k in keys.split()))
    return replace(request, **{kind: row(kind, value) for kind, value in rest.items()})


def row(kind: str, value: object) -> object:
    """The row that a name stands for, or the value itself."""
    kinds = {"figure": NAMES.figures, "span": NAMES.spans, "rhythm": NAMES.rhythms}
    table = kinds.get(kind, NAMES.articulations if kind.startswith("articulation") else None)
    if table is None or value in (EVERY, IN_TURN):
        return value
    return table.index.get(fold(str(value))) or NAMES.sets.find(str(value))


def quarter(bpm: int) -> Tempo:
    return Tempo(Value(4), bpm)


SAID = [
    ("G major", asked("major", "G")),
    ("g MAJOR", asked("major", "G")),
    ("the scale of G major", asked("major", "G")),
    ("a G major scale", asked("major", "G")),
    ("G-major", asked("major", "G")),
    ("E♭ major, 2 octaves", asked("major", "Eb", span="two octaves")),
    ("Eb major over two octaves", asked("major", "Eb", span="two octaves")),
    ("a two-octave E flat major scale", asked("major", "Eb", span="two octaves")),
    ("3 octaves of E-flat major", asked("major", "Eb", span="three octaves")),
    ("F♯ harmonic minor in thirds", asked("harmonic minor", "F#", figure="thirds")),
    ("f sharp minor, harmonic, in 3rds", asked("harmonic minor", "F#", figure="thirds")),
    ("F-SHARP HARMONIC MINOR: BROKEN THIRDS", asked("harmonic minor", "F#", figure="thirds")),
    (
        "all keys, harmonic minor in thirds, full range",
        asked("harmonic minor", key_set="all keys", figure="thirds"),
    ),
    ("harmonic minor in all keys, in thirds", asked("harmonic minor", key_set="all keys", figure="thirds")),
    ("all major scales", asked("major", key_set="all keys")),
    ("every major scale, one octave", asked("major", key_set="all keys", span="one octave")),
    ("all twelve majors", asked("major", key_set="all keys")),
    # Orange County (New York), senior list: all fifteen major scales.
    ("all fifteen major scales", asked("major", key_set="all keys", names="both")),
    ("all flat keys, natural minor", asked("natural minor", key_set="all flat keys")),
    (
        "Eb melodic minor, 2 octaves, slur 2 tongue 2, quarter = 84",
        asked(
            "melodic minor", "Eb", span="two octaves", articulation="slur two tongue two", tempo=quarter(84)
        ),
    ),
    (
        "crotchet = 84, slur two tongue two, two octaves of E flat melodic minor",
        asked(
            "melodic minor", "Eb", span="two octaves", articulation="slur two tongue two", tempo=quarter(84)
        ),
    ),
    (
        "E♭ melodic minor (two octaves; ♩=84; slur 2, tongue 2)",
        asked(
            "melodic minor", "Eb", span="two octaves", articulation="slur two tongue two", tempo=quarter(84)
        ),
    ),
    (
        "A minor melodic, crotchets, crotchet 60",
        asked("melodic minor", "A", rhythm="quarters", tempo=quarter(60)),
    ),
    (
        "whole-tone on C and D-flat, every articulation",
        asked("whole-tone", "C Db", articulation="every"),
    ),
    ("whole tone scales on C & C sharp", asked("whole-tone", "C C#")),
    (
        "wholetone on C, quavers, slurred",
        asked("whole-tone", "C", rhythm="eighths", articulation="all slurred"),
    ),
    (
        "concert B-flat major in fourths, a twelfth, triplets",
        asked("major", "Bb", concert=True, figure="fourths", span="a twelfth", rhythm="triplets"),
    ),
    ("concert E flat, A flat and D flat majors", asked("major", "Eb Ab Db", concert=True)),
    ("B flat major, concert pitch", asked("major", "Bb", concert=True)),
    ("written C major", asked("major", "C")),
    ("majors on C, F and Bb, semiquavers", asked("major", "C F Bb", rhythm="sixteenths")),
    # NZMEB trumpet preliminary, trombone grade 7 and saxophone grade 8.
    ("C major to a fifth, all tongued", asked("major", "C", span="a fifth", articulation="all tongued")),
    (
        "G major, double tonguing, 2 semiquavers on each note",
        asked("major", "G", articulation="double tongue"),
    ),
    ("C major, triple-tongued, a triplet on each note", asked("major", "C", articulation="triple tongue")),
    ("dominant 7th in the key of G, 2 octaves", asked("dominant seventh", "G", span="two octaves")),
    ("diminished seventh starting on B", asked("diminished seventh", "B")),
    ("diminished 7ths on B, B flat and C", asked("diminished seventh", "B Bb C")),
    # FBA all-state: tongued up, slurred down, quarter = 120.
    (
        "A flat major, tongued up, slurred down, crotchet = 120",
        asked("major", "Ab", articulation="all tongued", articulation_down="all slurred", tempo=quarter(120)),
    ),
    (
        "A♭ major, tongued up and slurred down",
        asked("major", "Ab", articulation="all tongued", articulation_down="all slurred"),
    ),
    # MMEA: chromatic slurred in quaver triplets. OCMEA: a crotchet and six quavers.
    (
        "chromatic from low octave F, slurred, quaver triplets".replace("low octave ", ""),
        asked("chromatic", "F", rhythm="triplets", articulation="all slurred"),
    ),
    (
        "B♭ major, quarter and six eighths, minim = 60",
        asked("major", "Bb", rhythm="quarter and six eighths", tempo=Tempo(Value(2), 60)),
    ),
    # ABRSM draft 2015, flute grade 2.
    (
        "C major, one octave, starting an octave above the lowest tonic, tongued",
        asked("major", "C", span="one octave", register="second octave", articulation="all tongued"),
    ),
    (
        "F major to a 12th, slurred in pairs",
        asked("major", "F", span="a twelfth", articulation="slurred pairs"),
    ),
    ("D major up to the fifth, minims", asked("major", "D", span="a fifth", rhythm="half notes")),
    ("D dorian mode in triads, descending", asked("dorian", "D", figure="triads", direction="down")),
    ("B♭ blues, swing", asked("blues", "Bb", rhythm="swung eighths")),
    ("G half-whole diminished, up and down", asked("octatonic, half-whole", "G")),
    ("C major, seventh chords", asked("major", "C", figure="seventh chords")),
    (
        "C major in groups of 4 from every degree",
        asked("major", "C", figure="groups of four", degree="every"),
    ),
    (
        "G major starting on the third degree, going nowhere".removesuffix(", going nowhere"),
        asked("major", "G", degree=2),
    ),
    (
        "G major, dotted crotchet = 60-80, in 6/8",
        asked("major", "G", metre="6/8", tempo=Tempo(Value(4, 1), 60), goal=80),
    ),
    (
        "G major in 3/4 time, quavers, staccato",
        asked("major", "G", metre="3/4", rhythm="eighths", articulation="staccato"),
    ),
    (
        "G major, ascending, inside the span, top octave",
        asked("major", "G", direction="up", inside=True, register="top octave"),
    ),
    ("C double-sharp major", asked("major", "C##")),
    ("whole-tone on B double flat", asked("whole-tone", "Bbb")),
    ("whole-tone on E, flat names", asked("whole-tone", "E", names="flats")),
    ("G, D, A & E majors; alternating thirds", asked("major", "G D A E", figure="alternating thirds")),
    (
        "F major arpeggio, two octaves, groups of three",
        asked("major arpeggio", "F", span="two octaves", figure="groups of three"),
    ),
]


def test_there_are_more_than_fifty() -> None:
    assert len({phrase for phrase, _ in SAID}) >= 50


@pytest.mark.parametrize(("phrase", "request_"), SAID, ids=[p for p, _ in SAID])
def test_a_phrase_is_understood(phrase: str, request_: Request) -> None:
    assert parse(phrase, NAMES) == request_


WRONG = [
    # phrase, place of the word that is not understood, a name that must be offered
    ("G majr", 3, "major"),
    ("G mjaor, two octaves", 3, "major"),
    ("C harmonic minr", 3, "harmonic minor"),
    ("C melodick minor", 3, "melodic minor"),
    ("hexatonik on C", 1, "hexatonic"),
    ("C major in thrids", 12, "thirds"),
    ("C major in sixts", 12, "sixths"),
    ("C major, groops of four", 10, "groups of four"),
    ("C major, two octavs", 10, "two octaves"),
    ("C major, four octaves", 10, "two octaves"),
    ("C major, a twelvth", 12, "twelfth"),
    ("C major, slur two tong two", 10, "slur two tongue two"),
    ("C major, staccatto", 10, "staccato"),
    ("C major, tripletts", 10, "triplets"),
    ("C major, semiquaver", 10, "semiquavers"),
    ("C major, quarter = 80, double tounge", 24, "double tongue"),
    ("C major from the thrid degree", 18, "from the third degree"),
    ("C major, upp", 10, "up"),
    ("all kays, major", 1, "all keys"),
    ("C major, dotted rythm", 10, "dotted rhythm"),
    ("C major, interloking", 10, "interlocking"),
    ("domninant seventh in G", 1, "dominant seventh"),
    ("whole-tome on C", 1, "whole-tone"),
]


@pytest.mark.parametrize(("phrase", "place", "near"), WRONG, ids=[p for p, _, _ in WRONG])
def test_a_wrong_word_is_shown_with_its_place_and_the_nearest_names(
    phrase: str, place: int, near: str
) -> None:
    with pytest.raises(UnknownNameError) as caught:
        parse(phrase, NAMES)
    error = caught.value
    assert error.position == place
    assert near in error.nearest
    assert f"character {place} of" in str(error)
    assert near in str(error)
    assert len(error.nearest) <= 3
    assert "\n" not in str(error)


CONTRADICTIONS = [
    ("", "the phrase is empty; write a key and a form"),
    (" , ", "the phrase is empty"),
    ("all keys", "names no form; after the key say which, like G major"),
    ("all keys, two octaves", "names no form.* like G major"),
    ("major", "names no key; write one, like major on C"),
    ("G and G major", "G is named twice"),
    ("G major, all keys", "names keys and all keys as well; choose one"),
    ("G major, one octave, two octaves", r"names two of one kind \(span\): one octave and two octaves"),
    ("G major, quarter = 80, quarter = 90", r"two of one kind \(tempo\)"),
    ("G major, quarter = 10", "from 20 to 400, not '10'"),
    ("G major, quarter = fast", "from 20 to 400, not 'fast' .character 20"),
    ("G major, quarter =", "from 20 to 400, not nothing"),
    ("G major, quarter = 100 to 60", "slower one to the goal; say 60 to 100"),
    ("G major, quarter = 60 to 900", "from 20 to 400, not '900'"),
    ("G minor pentatonic from the seventh degree", "has 5 degrees; there is no seventh degree"),
    ("G major, in 4/5", "'4/5' is no metre"),
]


@pytest.mark.parametrize(
    ("phrase", "reason"), CONTRADICTIONS, ids=[p or "nothing" for p, _ in CONTRADICTIONS]
)
def test_what_lacks_something_or_contradicts_itself_is_refused(phrase: str, reason: str) -> None:
    with pytest.raises(RequestError, match=reason) as caught:
        parse(phrase, NAMES)
    assert "\n" not in str(caught.value)


def test_a_symmetric_form_without_a_key_means_all_its_collections() -> None:
    assert parse("whole-tone", NAMES) == asked("whole-tone", key_set="all keys")
    assert parse("diminished sevenths, two octaves", NAMES).key_set == "all keys"
