"""How an exercise is played: dynamics over the line, bars and wholes played again, lines over the break.

Dynamics, repeat signs and echoes as players know them: common practice, no source.
"""

import json
from fractions import Fraction

import pytest

from generator.api.sheets import exercises
from generator.catalogue.players import player_named
from generator.catalogue.tables import Catalogue
from generator.engraving.music import line_texts
from generator.errors import DoesNotFitError
from generator.exchange.json_contract import as_json
from generator.exchange.musicxml import XmlPart, as_musicxml
from generator.exchange.performance import perform
from generator.exchange.playback import Playback
from generator.exercise.records import Exercise
from generator.pages.lines import break_lines

CLARINET = player_named("clarinet in B-flat")


def one(phrase: str, instrument: str = "clarinet in B-flat") -> Exercise:
    (made,) = exercises(phrase, player=player_named(instrument))
    return made


def signs(made: Exercise) -> list[tuple[str, ...]]:
    """Each note that has dynamics: its name and the signs."""
    notes = [note for bar in made.bars for note in bar.notes]
    return [(note.pitch.name, *note.dynamic) for note in notes if note.pitch and note.dynamic]


@pytest.mark.parametrize(
    ("clause", "found"),
    [
        ("mf", [("C4", "mf")]),
        ("softly", [("C4", "p")]),
        ("pp to ff", [("C4", "pp", "<"), ("C4", "ff")]),
        ("ff to pp", [("C4", "ff", ">"), ("C4", "pp")]),
        ("pp to ff and back", [("C4", "pp", "<"), ("C5", "ff", ">"), ("C4", "pp")]),
        ("crescendo", [("C4", "p", "<"), ("C4", "f")]),
    ],
)
def test_a_dynamic_stands_where_it_begins_and_where_it_leads(
    clause: str, found: list[tuple[str, ...]]
) -> None:
    assert signs(one(f"C major, one octave, quarters, {clause}")) == found


def test_an_echo_is_loud_and_then_soft() -> None:
    made = one("C major, one octave, quarters, echo")
    plain = one("C major, one octave, quarters")
    assert [len(bar.notes) for bar in made.bars] == [len(b.notes) for b in plain.bars for _ in range(2)]
    assert [bar.notes[0].dynamic for bar in made.bars] == [("f",), ("p",)] * 4


@pytest.mark.parametrize("strokes", ["all tongued", "all slurred", "slurred pairs", "off-beat pairs"])
def test_each_bar_comes_twice_with_its_slurs_inside_it(strokes: str) -> None:
    plain = one(f"C major, two octaves, eighths, {strokes}")
    made = one(f"C major, two octaves, eighths, {strokes}, each bar twice")
    alone = len([n for n in plain.bars[-1].notes if not n.tie]) == 1
    pitches = [[n.pitch for n in bar.notes] for bar in plain.bars]
    twice = [bar for k, bar in enumerate(pitches) for _ in range(1 if alone and k == len(pitches) - 1 else 2)]
    assert [[n.pitch for n in bar.notes] for bar in made.bars] == twice
    for bar in made.bars:
        open_slur = False
        for note in bar.notes:
            assert (note.slur in ("stop", "inside", "stop start")) == open_slur
            open_slur = note.slur in ("start", "inside", "stop start")
        assert not open_slur
        assert bar.filled == bar.metre.length


def test_a_bar_that_cannot_be_parted_is_not_repeated() -> None:
    with pytest.raises(DoesNotFitError, match="held over the barline"):
        one("long tones along the scale on C, each bar twice, fermatas")
    with pytest.raises(DoesNotFitError, match="brings its own dynamics; leave out mf"):
        one("C major, crescendo up, diminuendo down, mf")
    with pytest.raises(DoesNotFitError, match="goes over several bars"):
        one("C major, crescendo up, diminuendo down, each bar twice")


def test_long_tones_take_the_dynamic_that_is_asked_for() -> None:
    assert signs(one("long tones on F, ff")) == [("F4", "ff")]


def test_a_repeat_sign_reaches_every_format(names: Catalogue) -> None:
    made, plain = one("C major, one octave, twice"), one("C major, one octave")
    assert (made.repeats, made.details, made.bars) == (2, "one octave, twice", plain.bars)
    lines = break_lines(made.bars, made.signature, 180.0, made.clefs, made.unit).lines
    assert line_texts(lines, made.repeats)[-1].endswith(r"\again")
    sounds = CLARINET.instrument.sounds
    data = json.loads(as_json("", [made], [sounds]))["exercises"][0]
    assert data["repeats"] == 2
    assert "repeats" not in json.loads(as_json("", [plain], [sounds]))["exercises"][0]
    text = as_musicxml("", [XmlPart(CLARINET.instrument, (made,))]).decode()
    assert '<repeat direction="backward" times="2"' in text
    once, twice = (
        perform("", CLARINET.instrument, [exercise], Playback(count_in=0)) for exercise in (plain, made)
    )
    assert len(twice.tones) == 2 * len(once.tones)
    assert twice.end == 2 * once.end == 2 * sum((b.metre.length for b in made.bars), Fraction(0))


@pytest.mark.parametrize(
    "key", ["C", "D-flat", "D", "E-flat", "E", "F", "G-flat", "G", "A-flat", "A", "B-flat", "B"]
)
def test_a_line_over_the_break_stays_on_both_sides_of_it(key: str) -> None:
    # The break of the clarinet lies between B-flat 4, the last throat note, and B4 with the register key.
    made = one(f"{key} major, over the break")
    heights = [pitch.height for pitch in made.pitches]
    assert made.details == "over the break"
    assert min(heights) <= 70 < max(heights)
    assert 64 <= min(heights) <= max(heights) <= 72


def test_over_the_break_needs_an_instrument_that_has_one_and_no_span() -> None:
    with pytest.raises(DoesNotFitError, match="the trombone has no break"):
        one("C major, over the break", "trombone")
    with pytest.raises(DoesNotFitError, match="leave out one octave"):
        one("C major, one octave, over the break")
    low = player_named("clarinet in B-flat", low="E3", high="G4")
    with pytest.raises(DoesNotFitError, match="does not go over the break"):
        exercises("C major, over the break", player=low)


def test_tenths_and_ninths_by_degrees() -> None:
    # By hand: a third over the octave, 1 3' 2 4' ..., as string players practise them.
    made = one("C major in tenths, one octave, eighths, up", "violin")
    assert [pitch.name for pitch in made.pitches][:4] == ["C4", "E5", "D4", "F5"]


def test_a_figure_of_ones_own_moves_like_any_other() -> None:
    # By hand: 1 3 5 3 4 2 7, 1 in C, then a step higher.
    made = one("C major in 1 3 5 3 4 2 7, 1, one octave, sixteenths")
    first = ["C4", "E4", "G4", "E4", "F4", "D4", "B3", "C4", "D4", "F4", "A4", "F4", "G4", "E4", "C4", "D4"]
    assert [pitch.name for pitch in made.pitches][:16] == first
    assert made.pitches[-1].name == "C4"
    assert made.heading == "C major in 1 3 5 3 4 2 low 7 1, one octave, sixteenths"
