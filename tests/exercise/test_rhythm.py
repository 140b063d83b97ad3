"""Every rhythm fills its bars, whatever the number of notes."""

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from generator.catalogue.tables import load
from generator.errors import RequestError
from generator.exercise.pour import into_bars, pour
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.rhythm import Rhythm, parse_cell
from generator.files.resources import data_folder
from generator.theory.duration import Metre
from generator.theory.pitch import Pitch

RHYTHMS = load(data_folder("shared")).rhythms.rows
Make = Callable[..., Exercise]


def run(count: int) -> tuple[Pitch, ...]:
    return tuple(Pitch(k % 7, 0, 4 + k // 7) for k in range(count))


def sounding(pieces: tuple[Note, ...]) -> Fraction:
    return sum((n.length for n in pieces if n.pitch is not None), Fraction(0))


def tuplets_of(bar: Bar) -> list[list[Note]]:
    """The bracketed stretches of a bar; fails where a bracket is left open or a tuplet note stands outside."""
    found: list[list[Note]] = []
    opened: list[Note] | None = None
    for note in bar.notes:
        if note.tuplet_start:
            assert opened is None
            opened = []
        assert (note.value.tuplet is not None) == (opened is not None)
        if opened is not None:
            opened.append(note)
        if note.tuplet_stop:
            assert opened is not None
            found.append(opened)
            opened = None
    assert opened is None
    return found


@pytest.mark.parametrize("rhythm", RHYTHMS, ids=lambda r: r.name)
def test_bars_are_full_for_every_number_of_notes(rhythm: Rhythm) -> None:
    brackets = {
        sum((s.value.length for s in rhythm.cell[a : b + 1]), Fraction(0))
        for a, slot in enumerate(rhythm.cell)
        if slot.opens
        for b in [next(k for k in range(a, len(rhythm.cell)) if rhythm.cell[k].closes)]
    }
    for count in range(2, 61):
        pitches = run(count)
        poured = pour(pitches, rhythm)
        assert [next(n.pitch for n in pieces if n.pitch) for pieces in poured] == list(pitches)
        bars = into_bars(tuple(n for pieces in poured for n in pieces), rhythm)
        assert all(bar.filled == bar.metre.length for bar in bars)
        assert sounding(poured[-1]) >= Fraction(1, 4)
        # The cell comes back exactly as it is written, up to the beat before the closing note.
        goal = sum((n.length for pieces in poured[:-1] for n in pieces), Fraction(0))
        # A note that is tied over a beat leaves two beats to the notes before the last.
        beats = 2 if any(slot.tie for slot in rhythm.cell) else 1
        beat = beats * max(b for m in rhythm.metres for b in m.beats) + max(
            s.value.length for s in rhythm.cell
        )
        place = Fraction(0)
        for note, slot in zip(
            (n for p in poured[:-1] for n in p), itertools.cycle(rhythm.cell), strict=False
        ):
            if goal - place > beat:
                assert (note.value, note.pitch is None, note.tie) == (slot.value, slot.rest, slot.tie)
            place += note.length
        assert all(
            sum((n.length for n in group), Fraction(0)) in brackets
            for bar in bars
            for group in tuplets_of(bar)
        )
        # The last note is one note: all its pieces but the last are tied on.
        ties = [n.tie for n in poured[-1] if n.pitch]
        assert ties == [True] * (len(ties) - 1) + [False]


@pytest.mark.parametrize("metre", ["4/4", "3/4", "2/4", "6/8", "5/4", "7/8", "3/8", "12/8", "2/2"])
@pytest.mark.parametrize(
    "cell", ["4", "8", "16", "8. 16", "3:2[8 8 8]", "4 8 8", "r8 8", "8 r8", "2~ 8 8", "16 8 16"]
)
def test_any_cell_that_a_metre_takes_fills_its_bars(cell: str, metre: str) -> None:
    try:
        rhythm = Rhythm("any", Metre.parse(metre), parse_cell(cell))
    except RequestError as error:
        assert re.search("divides nor fills|crosses a barline", str(error))  # noqa: PT017
        return
    for count in (2, 3, 7, 15, 16, 29):
        poured = pour(run(count), rhythm)
        bars = into_bars(tuple(n for pieces in poured for n in pieces), rhythm)
        assert all(bar.filled == bar.metre.length for bar in bars)
        assert sounding(poured[-1]) >= Fraction(1, 4)
        for bar in bars:
            tuplets_of(bar)


def test_a_quarter_and_six_eighths_take_an_octave_to_the_barline(make: Make) -> None:
    # Source: Orange County (New York) junior list: major scales in a quarter and six eighths for each octave.
    up = make("C major, one octave, up, quarter and six eighths")
    assert [[str(n.value) for n in bar.notes] for bar in up.bars] == [["4"] + ["8"] * 6, ["1"]]
    both = make("C major, one octave, quarter and six eighths")
    assert [len(bar.notes) for bar in both.bars] == [7, 7, 1]
    two = make("C major, two octaves, quarter and six eighths")
    assert [len(bar.notes) for bar in two.bars] == [7, 7, 7, 7, 1]


def test_an_arpeggio_in_a_quarter_and_two_eighths(make: Make) -> None:
    # Source: a player's report of the Florida list: "4-8-8-4" for an arpeggio of one octave up.
    bars = make("C major arpeggio, one octave, up, quarter and two eighths").bars
    assert [str(n.value) for n in bars[0].notes] == ["4", "8", "8", "2"]


def test_one_note_to_a_beat_and_one_to_two_beats(make: Make) -> None:
    # Source: New Zealand Music Examinations Board: 60, one note to a beat; sustained scale, one note to two beats.
    assert {str(n.value) for b in make("C major, one octave, crotchets").bars[:-1] for n in b.notes} == {"4"}
    assert {str(n.value) for b in make("C major, one octave, minims").bars[:-1] for n in b.notes} == {"2"}


def test_three_three_two_is_beamed_so_in_every_bar(make: Make) -> None:
    # Source: the name of the rhythm, eighths beamed 3+3+2 as in a tresillo (common practice, no source).
    bars = make("C major, two octaves, three three two").bars
    assert len(bars) > 2
    for bar in bars[:-1]:
        assert [note.beam or "-" for note in bar.notes] == ["[", "-", "]", "[", "-", "]", "[", "]"]


@pytest.mark.parametrize("rhythm", ["3/4 and 6/8, eighth = eighth", "6/8 and 3/4, eighth = eighth"])
def test_three_four_beside_six_eight_is_beamed_by_its_beats(rhythm: str, make: Make) -> None:
    # Six eighths of 3/4 are 2+2+2 and not 3+3 beside bars of 6/8 (common practice, no source).
    signs = {"3/4": ["[", "]"] * 3, "6/8": ["[", "-", "]"] * 2}
    for bar in make(f"C major, two octaves, {rhythm}").bars[:4]:
        assert [note.beam or "-" for note in bar.notes] == signs[bar.metre.name]
    assert all(
        n.beam is None for bar in make("C major, two octaves, eighths in three-four").bars for n in bar.notes
    )


@pytest.mark.parametrize(("group", "size"), [("each of five long", 5), ("each of six long", 6)])
def test_each_note_of_a_group_is_the_long_one_in_turn(group: str, size: int) -> None:
    # Source: the names; two beats to a group, every bar with its beats in sight.
    members = next(s for s in load(data_folder("shared")).sets.rows if s.name == group).members
    for place, rhythm in enumerate(members):
        poured = pour(run(4 * size), rhythm)[: 3 * size]
        lengths = [sum((n.length for n in pieces), Fraction(0)) for pieces in poured]
        for start in range(0, len(lengths), size):
            of_group = lengths[start : start + size]
            assert sum(of_group) == Fraction(1, 2)
            assert of_group.index(max(of_group)) == place
            assert sorted(of_group)[:-1] == [Fraction(1, 16)] * (size - 1)
        starts = set(itertools.accumulate((n.length for p in poured for n in p), initial=Fraction(0)))
        assert {Fraction(beat, 4) for beat in range(6)} <= starts


@pytest.mark.parametrize(
    ("rhythm", "values"),
    [
        # What the page says over the barline; 6/8 has eighths, 3/4 and 4/4 quarters, and only the eighth is in both.
        ("6/8 and 3/4, eighth = eighth", {("8", "8")}),
        ("3/4 and 6/8, eighth = eighth", {("8", "8")}),
        ("6/8 and 2/4, beat = beat", {("4.", "4"), ("4", "4.")}),
    ],
)
def test_what_stays_equal_where_the_metre_changes(
    rhythm: str, values: set[tuple[str, str]], make: Make
) -> None:
    bars = make(f"C major, two octaves, {rhythm}").bars
    assert bars[0].equivalence is None
    assert {(str(old), str(new)) for old, new in (bar.equivalence for bar in bars[1:])} == values


def test_chromatic_in_triplets(make: Make) -> None:
    # Source: Western Massachusetts list: chromatic scale in eighth triplets: 24 notes of an octave fill eight beats.
    exercise = make("chromatic on C, one octave, triplets")
    assert [len(tuplets_of(bar)) for bar in exercise.bars] == [4, 4, 0]
    assert all(n.value.tuplet and str(n.value.tuplet) == "3:2" for b in exercise.bars[:2] for n in b.notes)


@pytest.mark.parametrize("text", ["", "5", "4 q", "3:2[8 8 8", "8...x", "3", "r", "~"])
def test_cells_that_cannot_be_read(text: str) -> None:
    with pytest.raises(RequestError, match="rhythm cell"):
        parse_cell(text)


@pytest.mark.parametrize(
    ("cell", "metre", "reason"),
    [
        ("2", "2/8", "crosses a barline of 2/8"),
        ("4.", "4/4", "neither divides nor fills"),
        ("r4", "4/4", "needs notes"),
        ("4 4~", "4/4", "end in a tie"),
    ],
)
def test_rhythms_that_make_no_sense(cell: str, metre: str, reason: str) -> None:
    with pytest.raises(RequestError, match=reason):
        Rhythm("wrong", Metre.parse(metre), parse_cell(cell))


def test_notes_that_do_not_fill_a_bar_are_refused() -> None:
    rhythm = next(r for r in RHYTHMS if r.name == "quarters")
    notes = tuple(n for pieces in pour(run(4), rhythm) for n in pieces)
    with pytest.raises(RequestError, match="not full"):
        into_bars(notes[:-1], rhythm)
    with pytest.raises(RequestError, match="crosses the barline"):
        into_bars(notes, replace(rhythm, metre=Metre.parse("5/8"), cell=parse_cell("8")))
