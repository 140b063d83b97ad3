"""Help for the hand, against charts and rules from outside."""

from collections.abc import Iterator
from itertools import pairwise
from math import log2

import pytest

from generator.catalogue.fingerings import chart_for
from generator.catalogue.tables import Catalogue
from generator.exercise.finger_charts import Bore, BrassChart
from generator.exercise.fingering import Hint, with_fingers
from generator.exercise.records import Exercise, Note
from generator.theory.pitch import NoteName, Pitch
from tests.exercise.conftest import MakeOne


def begun(exercise: Exercise) -> Iterator[Note]:
    tied = False
    for note in (note for bar in exercise.bars for note in bar.notes):
        if note.pitch is not None and not tied:
            yield note
        tied = note.tie


@pytest.fixture
def told(names: Catalogue, make: MakeOne):
    """What is printed at the notes of an exercise."""

    def of(phrase: str, instrument: str, level: str = "standard", *, left: bool = False) -> list[str]:
        row = names.instruments.find(instrument)
        made = make(phrase, instrument=instrument, level=level)
        made = made.left if left and made.left else made
        return [note.finger for note in begun(with_fingers(made, chart_for(row, names, left=left)))]

    return of


def usual(names: Catalogue, instrument: str, notes: str) -> list[str]:
    chart = chart_for(names.instruments.find(instrument), names)
    assert isinstance(chart, BrassChart)
    pitches = [Pitch.parse(note) for note in notes.split()]
    return [next(filter(None, (bore.usual(p.height) for bore in chart.bores)), "") for p in pitches]


# Source: J. B. Arban, Grande méthode complète pour cornet à pistons (1864), table of fingerings, from memory; the
# same for every three-valved instrument that reads treble clef.
TABLE = """F#3 1-2-3 G3 1-3 Ab3 2-3 A3 1-2 Bb3 1 B3 2 C4 0 C#4 1-2-3 D4 1-3 Eb4 2-3 E4 1-2 F4 1 F#4 2 G4 0
    Ab4 2-3 A4 1-2 Bb4 1 B4 2 C5 0 C#5 1-2 D5 1 Eb5 2 E5 0 F5 1 F#5 2 G5 0 Ab5 2-3 A5 1-2 Bb5 1 B5 2 C6 0"""
ARBAN = TABLE.split()


@pytest.mark.parametrize("instrument", [
    "trumpet in B-flat", "cornet", "flugelhorn", "tenor horn", "mellophone", "euphonium in treble clef",
    "B-flat bass in treble clef", "E-flat bass in treble clef",
])  # fmt: skip
def test_valves_are_those_of_arbans_table(names: Catalogue, instrument: str) -> None:
    assert usual(names, instrument, " ".join(ARBAN[::2])) == ARBAN[1::2]


# The same tube reads other notes: a bass-clef euphonium a ninth lower, a tuba two octaves and a tone (memory).
@pytest.mark.parametrize(("instrument", "down"), [("euphonium", 14), ("baritone horn", 14), ("tuba", 26)])
def test_bass_clef_has_the_fingers_of_treble_clef(names: Catalogue, instrument: str, down: int) -> None:
    chart = chart_for(names.instruments.find(instrument), names)
    assert isinstance(chart, BrassChart)
    heights = [Pitch.parse(note).height - down for note in ARBAN[::2]]
    assert [chart.bores[0].usual(height) for height in heights] == ARBAN[1::2]


# Common charts of the trombone, from memory: the first of the positions each gives.
@pytest.mark.parametrize(("notes", "positions"), [
    ("E2 F2 F#2 G2 Ab2 A2 Bb2", "7 6 5 4 3 2 1"), ("B2 C3 C#3 D3 Eb3 E3 F3", "7 6 5 4 3 2 1"),
    ("F#3 G3 Ab3 A3 Bb3", "5 4 3 2 1"), ("B3 C4 C#4 D4", "4 3 2 1"), ("Eb4 E4 F4", "3 2 1"),
    ("F#4 G4 Ab4 A4 Bb4", "+3 +2 3 2 1"), ("Eb2 D2 C#2 C2", "T3 T4 T5 T6"),
])  # fmt: skip
def test_positions_of_the_trombone(names: Catalogue, notes: str, positions: str) -> None:
    assert usual(names, "trombone", notes) == positions.split()
    assert usual(names, "bass trombone", notes) == positions.split()
    # Alto trombone: the same a fourth higher, without an attachment.
    if "T" not in positions:
        chart = chart_for(names.instruments.find("alto trombone"), names)
        assert isinstance(chart, BrassChart)
        heights = [Pitch.parse(note).height + 5 for note in notes.split()]
        assert [chart.bores[0].usual(height) for height in heights] == positions.split()


# Charts of the double horn, from memory: the F side up to the second-line G, the thumb from A-flat.
@pytest.mark.parametrize(("notes", "valves"), [
    ("F#2 G2 C3 E3 G3 A3 C4 D4 F4 G4", "1-2-3 1-3 0 1-2 0 1-2 0 1 1 0"),
    ("G#4 A4 Bb4 B4 C5 C#5 D5 Eb5 E5 F5", "T-2-3 T-1-2 T-1 T-2 T T-2-3 T-1-2 T-1 T-2 T"),
    ("F#5 G5 Ab5 A5 Bb5 B5 C6", "T-2 T T-2-3 T-1-2 T-1 T-2 T"),
    ("F2 E2 Eb2 D2", "T T-2 T-1 T-1-2"),
])  # fmt: skip
def test_valves_of_the_double_horn(names: Catalogue, notes: str, valves: str) -> None:
    assert usual(names, "horn in F", notes) == valves.split()


def test_every_combination_gives_its_note_by_the_harmonic_series(names: Catalogue) -> None:
    # Source: partial n lies 12 log2 n half steps above the fundamental; valves lower 1, 2, 3 and 5 half steps.
    lowers = {"1": 2, "2": 1, "3": 3, "4": 5}
    seen = 0
    for row in names.pitched:
        chart = chart_for(row, names) if row.wind == "brass" else None
        if chart is None:
            continue
        assert isinstance(chart, BrassChart)
        for compass in (compass for _, compass in row.levels):
            for height in range(compass.low.height, compass.high.height + 1):
                bore, label = next((b, b.usual(height)) for b in chart.bores if b.usual(height))
                plain = label.replace("T", "").lstrip("-+") or "0"
                down = int(plain) - 1 if bore.slide else sum(lowers.get(one, 0) for one in plain.split("-"))
                number, open_height = bore.partials[0]
                root = open_height - round(12 * log2(number))
                wanted = height + down - root
                assert any(abs(12 * log2(n) - wanted) < 0.6 for n, _ in bore.partials), (row.name, height)
                seen += 1
    assert seen > 2000


def test_all_brass_are_covered_in_every_note_of_every_level(names: Catalogue) -> None:
    brass = [row for row in names.pitched if row.wind == "brass"]
    assert len(brass) >= 25
    for row in brass:
        chart = chart_for(row, names)
        assert isinstance(chart, BrassChart), row.name
        for level, compass in row.levels:
            bare = [
                height
                for height in range(compass.low.height, compass.high.height + 1)
                if not any(bore.usual(height) for bore in chart.bores)
            ]
            assert not bare, (row.name, level, bare)


# Source: R. T. Kelley, guide to learning piano, scale fingering chart, right hand, majors (and the minors in which
# method books agree with it). Keys as written, fingers by degree with the tonic of the next octave.
KELLEY = {
    "C major": "12312341", "G major": "12312341", "D major": "12312341", "A major": "12312341", "E major": "12312341",
    "B major": "12312341", "F-sharp major": "23412312", "C-sharp major": "23123412", "A-flat major": "34123123",
    "E-flat major": "31234123", "F major": "12341231", "A natural minor": "12312341", "B harmonic minor": "12312341",
    "F-sharp harmonic minor": "34123123", "F-sharp melodic minor": "23123412", "C-sharp harmonic minor": "34123123",
    "C-sharp melodic minor": "23123412", "G-sharp harmonic minor": "34123123", "E-flat harmonic minor": "31234123",
    "B-flat harmonic minor": "41231234", "F harmonic minor": "12341231",
}  # fmt: skip


@pytest.mark.parametrize("key", sorted(KELLEY))
def test_right_hand_scales_agree_with_a_chart(told, key: str) -> None:
    fingers = told(f"{key}, two octaves, eighths", "piano right hand")
    # The first tonic may begin on another finger (B-flat: 2); the second is within the scale.
    assert fingers[1:8] == list(KELLEY[key][1:])


# Source: R. T. Kelley, general rules: the thumb stays on white keys, the fourth finger once an octave.
@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("form", ["major", "natural minor", "harmonic minor", "melodic minor"])
def test_no_thumb_on_a_black_key_and_one_fourth_finger_an_octave(
    names: Catalogue, make: MakeOne, hand: str, form: str
) -> None:
    row = names.instruments.find(f"piano {hand} hand")
    keys = "C G D A E B F F# Db Ab Eb Bb" if form == "major" else "A E B F# C# G# D G C F Bb Eb"
    for key in keys.split():
        made = make(f"{key} {form}, two octaves, eighths", instrument=row.name)
        made = with_fingers(made, chart_for(row, names))
        notes = list(begun(made))
        assert all(note.finger in "12345" and note.finger for note in notes)
        for note in notes:
            assert note.pitch is not None
            black = note.pitch.height % 12 in (1, 3, 6, 8, 10)
            assert not (black and note.finger == "1"), (key, form, note.pitch.name)
        up = [note.finger for note in notes[1:8]]
        assert up.count("4") == 1, (key, form, up)
        assert all(a.finger != b.finger for a, b in pairwise(notes))


def test_hands_together_each_have_their_own_and_arpeggios_none(told) -> None:
    assert "".join(told("C major, one octave, eighths", "piano")) == "123123454321321"
    # The same scale where the left hand turns at the bottom: Hanon, part two, no. 39, from memory.
    assert "".join(told("C major, one octave, eighths", "piano", left=True)) == "543213212312345"
    assert not any(told("C major arpeggio, one octave", "piano"))
    assert not any(told("C major in thirds, one octave", "piano"))


# Source: first position of string methods (Kendor's grade 1; common practice): open strings, a finger to each letter.
@pytest.mark.parametrize(("phrase", "instrument", "fingers"), [
    ("D major, one octave, quarters", "violin", "D0 1 2 3 A0 1 2 3"),
    ("G major, one octave", "violin", "G0 1 2 3 D0 1 2 3"),
    ("B-flat major, one octave", "violin", "G2 3 D0 1 2 3 A0 1"),
    ("A-flat major, one octave", "violin", "G1 2 3 4 D1 2 3 4"),
    ("C major, one octave", "viola", "C0 1 2 3 G0 1 2 3"), ("C major, one octave", "cello", "C0 1 3 4 G0 1 3 4"),
    ("D major, one octave", "cello", "C1 3 4x G0 1 3 4x D0"),
    ("E major, one octave", "classical guitar", "E0 2 4 A0 2 4 D1 2"),
])  # fmt: skip
def test_strings_in_first_position(told, phrase: str, instrument: str, fingers: str) -> None:
    assert told(phrase, instrument)[:8] == fingers.split()


def test_above_first_position_nothing_is_guessed(told) -> None:
    found = told("C major, three octaves", "violin", "extended")
    assert "" in found
    assert found[0]


# Sources: planzmusic, left/right fingering choices: C right and so B left. J. Linder-Gaulin, clarinet basics: C and G
# major with left B and right C, D and A major with left B and right C-sharp; no little finger lifts while one falls.
def test_two_little_fingers_in_a_row_take_turns_where_both_sides_have_the_key(
    names: Catalogue, make: MakeOne
) -> None:
    row = names.instruments.find("clarinet in B-flat")
    chart = chart_for(row, names)
    assert chart is not None
    dummy = make("C major, one octave", instrument="clarinet in B-flat")

    def sides(notes: str) -> str:
        return " ".join(chart.fingers([Pitch.parse(note) for note in notes.split()], dummy))

    assert sides("B4 C5") == "L R"
    assert sides("A4 B4 C#5 D5") == " /L R "
    assert sides("C5 Eb5 C5") == "L R L"  # E-flat has its key on the right alone
    assert sides("B4 C5 C#5 C5 B4") == "L R L R L"
    assert sides("E3 F3 F#3 E3") == "L R L R"
    assert sides("Bb4 B4 Bb4") == " /L /"


def test_a_players_own_hint_wins_and_the_last_of_two(names: Catalogue, make: MakeOne) -> None:
    made = make("C major, one octave, quarters", instrument="trumpet in B-flat")
    chart = chart_for(names.instruments.find("trumpet in B-flat"), names)
    hints = (
        Hint(NoteName.parse("E"), 4, "3"), Hint(NoteName.parse("E"), None, "a", ("trumpet in B-flat",)),
        Hint(NoteName.parse("D"), 4, "x", ("flute",)), Hint(NoteName.parse("G"), 4, "y", (), "F"),
    )  # fmt: skip
    fingers = [note.finger for note in begun(with_fingers(made, chart, hints))]
    assert fingers[:5] == ["0", "1-3", "a", "1", "0"]


def test_a_tied_note_is_helped_once(make: MakeOne) -> None:
    made = make("C major, a fifth, four counts and a rest", instrument="trumpet in B-flat")
    bore = Bore(((4, 60), (6, 67)), (("0", 0), ("2", 1), ("1", 2), ("1-2", 3), ("2-3", 4), ("1-3", 5)))
    helped = with_fingers(made, BrassChart((bore,)))
    tied = False
    for note in (note for bar in helped.bars for note in bar.notes):
        assert not (tied and note.finger)
        tied = note.tie
