"""Which key each chair reads, against the tables that band teachers print."""

from collections.abc import Callable

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.section.rehearsal import Rehearsal
from generator.theory.interval import UNISON
from generator.theory.pitch import NoteName
from generator.theory.written_key import KEYS, Keys, written_key

# Written note for a concert note; a 12-row table (store.musicbasics.com), agreed by the Idiot's Guide, chapter 18,
# and bandnotes.info for the keys they name. Columns: concert, B-flat, E-flat and F instruments.
TABLE = """
C D A G | Db Eb Bb Ab | D E B A | Eb F C Bb | E F# C# B | F G D C
Gb Ab Eb Db | G A E D | Ab Bb F Eb | A B F# E | Bb C G F | B C# G# F#
""".replace("\n", "|")
ROWS = [tuple(NoteName.parse(n) for n in row.split()) for row in TABLE.split("|") if row.strip()]
# Who reads which column, by the name of the instrument in the same sources and in general use.
PITCH_OF = {
    "B-flat": [
        "clarinet in B-flat", "bass clarinet", "bass clarinet in bass clef", "contrabass clarinet",
        "soprano saxophone", "tenor saxophone", "bass saxophone", "trumpet in B-flat", "piccolo trumpet in B-flat",
        "cornet", "flugelhorn", "trombone in treble clef", "baritone horn in treble clef",
        "euphonium in treble clef", "B-flat bass in treble clef",
    ],
    "E-flat": [
        "clarinet in E-flat", "alto clarinet", "contra-alto clarinet", "sopranino saxophone", "alto saxophone",
        "baritone saxophone", "trumpet in E-flat", "soprano cornet", "tenor horn", "E-flat bass in treble clef",
    ],
    "F": ["horn in F", "cor anglais", "basset horn", "mellophone"],
}  # fmt: skip
# The rest by the interval the same books give for their pitch: A-type a minor third up, D-type a tone down, G a fourth.
OTHERS = {
    "clarinet in A": 3, "oboe d'amore": 3, "piccolo trumpet in A": 3, "clarinet in D": -2, "trumpet in D": -2,
    "alto flute": 5,
}  # fmt: skip
COLUMN = {"B-flat": 1, "E-flat": 2, "F": 3}
MAJOR = shared_catalogue().forms.find("major")


@pytest.mark.parametrize("keys", KEYS)
def test_every_instrument_reads_the_note_of_the_table(keys: Keys) -> None:
    pitch_of = {name: pitch for pitch, names in PITCH_OF.items() for name in names}
    for instrument in shared_catalogue().pitched:
        for row in ROWS:
            read = written_key(row[0], MAJOR, instrument.sounds, keys)
            if instrument.name in pitch_of:
                expected = row[COLUMN[pitch_of[instrument.name]]].pitch_class
            else:
                expected = (row[0].pitch_class + OTHERS.get(instrument.name, 0)) % 12
            assert read.pitch_class == expected, f"{instrument.name} on concert {row[0].words}"


# The seven audition keys (Florida, middle school); written keys derived from the sources named above.
@pytest.mark.parametrize(
    ("concert", "read"),
    [
        ("G", "A E D"), ("C", "D A G"), ("F", "G D C"), ("Bb", "C G F"), ("Eb", "F C Bb"), ("Ab", "Bb F Eb"),
        ("Db", "Eb Bb Ab"),
    ],
)  # fmt: skip
def test_the_seven_audition_keys_as_they_are_printed(
    pages: Callable[..., Rehearsal], concert: str, read: str
) -> None:
    found = pages("clarinet, alto saxophone, horn", f"concert {concert} major").parts
    assert [part.exercises[0].key for part in found] == read.split()


def test_the_named_lists_hold_the_audition_keys_in_their_order(pages: Callable[..., Rehearsal]) -> None:
    # Florida Bandmasters Association: G, C, F, Bb, Eb, Ab, Db; Northeastern Music Publications: Bb, Eb, F, Ab.
    flute = pages("flute, tuba", "seven audition keys, major").parts[0]
    assert [e.key for e in flute.exercises] == ["G", "C", "F", "Bb", "Eb", "Ab", "Db"]
    flute = pages("flute, tuba", "concert usual band keys, harmonic minor").parts[0]
    assert [e.key for e in flute.exercises] == ["Bb", "Eb", "F", "G#"]


@pytest.mark.parametrize("form", ["major", "harmonic minor", "dorian", "lydian", "locrian"])
@pytest.mark.parametrize("keys", KEYS)
def test_nobody_reads_more_than_seven_signs(form: str, keys: Keys) -> None:
    row = shared_catalogue().forms.find(form)
    for instrument in shared_catalogue().pitched:
        for fifths in range(-9, 10):
            read = written_key(NoteName.from_fifths(fifths), row, instrument.sounds, keys)
            assert abs(row.signature_on(read)) <= 7


def test_fewest_signs_sharps_and_flats() -> None:
    clarinet = player_named("clarinet").instrument.sounds
    # Concert B: clarinets read seven sharps or five flats.
    names = {k: written_key(NoteName.parse("B"), MAJOR, clarinet, k).name for k in KEYS}
    assert names == {"fewest": "Db", "sharps": "C#", "flats": "Db"}
    # Six of each: the name that is spelled like the concert key (the table above prints F-sharp for concert E).
    assert written_key(NoteName.parse("E"), MAJOR, clarinet).name == "F#"
    assert written_key(NoteName.parse("Gb"), MAJOR, UNISON).name == "Gb"
    assert written_key(NoteName.parse("F#"), MAJOR, UNISON).name == "F#"
    assert [written_key(NoteName.parse("Db"), MAJOR, UNISON, k).name for k in KEYS] == ["Db", "C#", "Db"]


def test_the_concert_key_itself_is_named_by_its_friendlier_name(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages("flute, horn", "concert A-flat harmonic minor")
    assert rehearsal.headings[0].startswith("Concert G-sharp harmonic minor")
    flute, horn = rehearsal.parts
    assert flute.exercises[0].key == "G#"
    assert (horn.exercises[0].key, horn.exercises[0].concert_heading) == ("Eb", "concert G-sharp")


def test_written_keys_are_the_same_for_everyone(pages: Callable[..., Rehearsal]) -> None:
    found = pages("alto saxophone, tenor saxophone, trombone", "written G major in thirds").parts
    assert {part.exercises[0].key for part in found} == {"G"}
    alto, tenor, _ = found
    assert alto.exercises[0].pitches == tenor.exercises[0].pitches
    assert alto.exercises[0].concert_heading == "concert B-flat"


def test_both_keys_stand_on_the_part(pages: Callable[..., Rehearsal]) -> None:
    horn, tuba = pages("horn, tuba", "concert B-flat major in thirds").parts
    assert horn.exercises[0].heading.startswith("F major in thirds")
    assert horn.exercises[0].concert_heading == "concert B-flat"
    assert tuba.exercises[0].concert_heading == ""
