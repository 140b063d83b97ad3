"""Scales as they were printed: Clementi 1801, Hanon 1873, full-range scales, and the counts of the boards."""

import itertools
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from generator.catalogue.tables import Catalogue
from generator.exercise.figure import Figure
from generator.exercise.fit import FitRequest, Fitted, fit
from generator.exercise.instrument import Compass
from generator.exercise.records import Exercise
from generator.exercise.span import Span
from generator.theory.form import Ladder
from generator.theory.interval import Interval
from generator.theory.pitch import NoteName, Pitch


def words(text: str) -> list[str]:
    return text.split()


Make = Callable[..., Exercise]
Heard = Callable[[Exercise], list[str]]
CLEMENTI: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "clementi_op42.toml").read_text("utf-8")
)["scale"]


def fitted(
    names: Catalogue, key: str, form: str, figure: str, span: Span, low: str, high: str
) -> tuple[Ladder, Fitted]:
    ladder = Ladder(names.forms.find(form), NoteName.parse(key))
    row: Figure = names.figures.find(figure)
    compass = Compass(Pitch.parse(low), Pitch.parse(high))
    return ladder, fit(FitRequest(ladder, row, span, exact=True), compass, names.spans.rows)


@pytest.mark.parametrize("row", CLEMENTI, ids=lambda r: f"{r['key']} {r['form']}")
def test_scales_of_clementi(row: dict[str, Any], names: Catalogue) -> None:
    # Source: tests/data/clementi_op42.toml. The dip to the raised leading note is his, and a figure of its own.
    printed = row["notes"].split()
    figure = "straight with a dip" if row["dip"] else "straight"
    span = Span("printed", Interval.parse(row["top"]))
    ladder, found = fitted(names, row["key"], row["form"], figure, span, row["low"], "F6")
    assert [ladder.pitch(d, g.way).name for g in found.groups for d in g.degrees] == printed


def test_counts_of_the_printed_lists_are_those_of_the_treatise() -> None:
    # Source: the same edition: 29 notes in two octaves, 25 when it turns on the twelfth with a dip or the thirteenth.
    counts = {(r["key"], r["form"]): len(r["notes"].split()) for r in CLEMENTI}
    assert counts["C", "major"] == counts["A", "melodic minor"] == counts["B", "melodic minor"] == 29
    assert (
        counts["F#", "melodic minor"] == counts["G#", "melodic minor"] == counts["D#", "melodic minor"] == 25
    )
    assert counts["F#", "major"] == 25
    assert counts["Ab", "major"] == 33


@pytest.mark.parametrize(
    ("phrase", "count"),
    [
        # Source: top note once; 15, 29 (as Clementi prints) and 43 notes in one to three octaves, 23 in a twelfth.
        ("C major, one octave", 15),
        ("C major, a twelfth", 23),
        ("C major, two octaves", 29),
        ("C major, three octaves", 43),
        ("C harmonic minor, two octaves", 29),
        ("C melodic minor, three octaves", 43),
        # Chromatic one octave 25, two octaves 49; whole-tone 13; a fifth C D E F G F E D C = 9.
        ("chromatic on C, one octave", 25),
        ("chromatic on C, two octaves", 49),
        ("whole-tone on C, one octave", 13),
        ("C major, a fifth", 9),
    ],
)
def test_counts_of_notes(phrase: str, count: int, make: Make, heard: Heard) -> None:
    exercise = make(phrase, "C4", "C7")
    assert exercise.span == exercise.asked_span
    assert len(heard(exercise)) == count


def test_two_octaves_in_sixteenths_fill_two_bars(make: Make) -> None:
    # Source: Clementi's 28 sixteenths and a quarter.
    bars = make("C major, two octaves").bars
    assert [b.metre.name for b in bars] == ["4/4", "4/4"]
    assert [str(n.value) for b in bars for n in b.notes] == ["16"] * 28 + ["4"]


def test_the_trumpet_fifth_of_the_preliminary_grade(make: Make, heard: Heard) -> None:
    # Source: New Zealand Music Examinations Board, trumpet preliminary: C major to a fifth.
    exercise = make("C major to a fifth, quarters, tongued", instrument="trumpet in B-flat")
    assert heard(exercise) == words("C4 D4 E4 F4 G4 F4 E4 D4 C4")


FULL_RANGE = [
    # Source: worked out from the rule of B. Pimentel (tonic, up, down to the lowest note, tonic) for Bb3 to F6; F-sharp
    # and B end on notes that only sound like the limit.
    ("C", "B3", "F6", "C4"),
    ("G", "B3", "E6", "G4"),
    ("D", "B3", "E6", "D4"),
    ("A", "B3", "E6", "A4"),
    ("E", "B3", "E6", "E4"),
    ("B", "A#3", "E6", "B3"),
    ("F#", "A#3", "E#6", "F#4"),
    ("Db", "Bb3", "F6", "Db4"),
    ("Ab", "Bb3", "F6", "Ab4"),
    ("Eb", "Bb3", "F6", "Eb4"),
    ("Bb", "Bb3", "F6", "Bb3"),
    ("F", "Bb3", "F6", "F4"),
]


@pytest.mark.parametrize(("key", "lowest", "highest", "start"), FULL_RANGE)
@pytest.mark.parametrize("figure", ["straight", "thirds", "groups of four"])
def test_full_range_limits(
    key: str, lowest: str, highest: str, start: str, figure: str, make: Make, heard: Heard
) -> None:
    exercise = make(f"{key} major in {figure}, full range", "Bb3", "F6", "alto saxophone")
    notes = heard(exercise)
    by_height = sorted(notes, key=lambda n: Pitch.parse(n).height)
    assert (by_height[0], by_height[-1]) == (lowest, highest)
    assert notes[0] == notes[-1] == start
    assert set(exercise.pitches) == {p for p in exercise.pitches if 58 <= p.height <= 89}


@pytest.mark.parametrize(("key", "lowest", "highest", "start"), FULL_RANGE)
def test_full_range_is_the_three_legs_and_nothing_else(
    key: str, lowest: str, highest: str, start: str, names: Catalogue, make: Make, heard: Heard
) -> None:
    ladder = Ladder(names.forms.find("major"), NoteName.parse(key))
    at = {ladder.pitch(d).name: d for d in range(60)}
    legs = [
        *range(at[start], at[highest]),
        *range(at[highest], at[lowest], -1),
        *range(at[lowest], at[start] + 1),
    ]
    line = [ladder.pitch(d).name for d in legs]
    if at[start] == at[lowest]:
        line = [
            ladder.pitch(d).name
            for d in (*range(at[start], at[highest]), *range(at[highest], at[start] - 1, -1))
        ]
    assert heard(make(f"{key} major", "Bb3", "F6", "alto saxophone")) == line


def test_thirds_of_oneill_stay_between_his_limits(make: Make, heard: Heard) -> None:
    # Source: J. O'Neill, scales in thirds, exercise 3, saxophone: G major, "low B to high E", from G to G; with a high
    # F-sharp key B3 to F#6.
    for top, expected in (("F6", "E6"), ("F#6", "F#6")):
        notes = heard(make("G major in thirds", "Bb3", top, "alto saxophone"))
        heights = sorted(notes, key=lambda n: Pitch.parse(n).height)
        assert (heights[0], heights[-1]) == ("B3", expected)
        assert notes[0] == notes[-1] == "G4"


def test_the_first_exercise_of_hanon(names: Catalogue) -> None:
    # Source: Hanon, The Virtuoso Pianist no. 1 (1873; Schirmer 1900, Mutopia edition), right hand: 14 groups rising
    # from C to B, 15 falling from G to G, and a last C: 233 notes.
    ladder, found = fitted(
        names, "C", "major", "turning figures", names.spans.find("two octaves"), "B3", "C7"
    )
    rising = [g for g in found.groups if g.way == "up"]
    falling = [g for g in found.groups if g.way == "down" and len(g.degrees) == 8]
    assert (len(rising), len(falling)) == (14, 15)
    assert [ladder.pitch(g.degrees[0]).name for g in rising] == (
        words("C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5")
    )
    assert [ladder.pitch(g.degrees[0]).note.name for g in falling] == words("G F E D C B A G F E D C B A G")
    assert all([d - g.degrees[0] for d in g.degrees] == [0, 2, 3, 4, 5, 4, 3, 2] for g in rising)
    assert all([g.degrees[0] - d for d in g.degrees] == [0, 2, 3, 4, 5, 4, 3, 2] for g in falling)
    assert [ladder.pitch(d).name for d in found.groups[-1].degrees] == ["C4"]
    assert sum(len(g.degrees) for g in found.groups) == 233


def test_the_dominant_seventh_stands_on_the_fifth_and_resolves(make: Make, heard: Heard) -> None:
    # Source: ABRSM consultation draft 2015, flute grade 4: in the key of G, two octaves, resolving on the tonic.
    notes = heard(make("dominant seventh in the key of G, two octaves"))
    assert notes == words("D4 F#4 A4 C5 D5 F#5 A5 C6 D6 C6 A5 F#5 D5 C5 A4 F#4 D4 G4")


def test_whole_tone_from_the_lowest_note_of_the_saxophone(make: Make, heard: Heard) -> None:
    # Source: New Zealand Music Examinations Board, saxophone grade 8: whole tone on the lowest C and C-sharp.
    for key, low in (("C", "C4"), ("C#", "C#4")):
        notes = heard(make(f"whole-tone on {key}, one octave", instrument="alto saxophone"))
        assert notes[0] == notes[-1] == low
        assert {Pitch.parse(b).height - Pitch.parse(a).height for a, b in itertools.pairwise(notes[:7])} == {
            2
        }


def test_scales_of_a_melodic_minor_turn_once_and_use_each_form_in_its_half(make: Make, heard: Heard) -> None:
    # Source: Integrated Musicianship: sixth and seventh raised going up, natural coming down.
    notes = heard(make("F# melodic minor, two octaves", "F#3", "G6", "clarinet in B-flat"))
    half = len(notes) // 2
    assert notes[half] == "F#5"
    assert {"D#4", "E#4", "D#5", "E#5"} <= set(notes[:half])
    assert {"D4", "E4", "D5", "E5"} <= set(notes[half:])
    assert not {"D4", "E4", "D5", "E5"} & set(notes[:half])
