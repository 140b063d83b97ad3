"""Drills by their definitions: overlapping chunks, bursts, rhythms, articulations, skeleton, all keys."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from random import Random

import pytest

from generator.catalogue.players import player_named
from generator.exercise.instrument import Compass
from generator.exercise.records import Bar
from generator.passage.all_keys import ORDER, best_interval, through_keys, transposed
from generator.passage.chunks import bursts, chunk_bars, chunk_numbers, chunks, join_rows, segments
from generator.passage.drill import drilled
from generator.passage.kept import KeptPassage, from_text, spot_of, text_of
from generator.passage.recipe_rows import drill_rows
from generator.passage.records import Passage
from generator.passage.request import DrillRequest, canonical_drill, parse_drill
from generator.passage.source import read_line
from generator.passage.variations import rhythm_bars, skeleton_bars, stroke_bars
from generator.theory.interval import Interval
from generator.theory.pitch import Pitch
from tests.passage.passages import random_passage

WIDE = Compass(Pitch.parse("C1"), Pitch.parse("C8"))


def passage(text: str) -> Passage:
    return read_line(text).passage


def said(bar: Bar) -> str:
    return " ".join(f"{n.pitch.name if n.pitch else 'z'}:{n.value}" for n in bar.notes)


def test_a_chunk_stops_on_the_first_note_of_the_next_beat() -> None:
    # Flute Talk's overlapping chunks, by hand: the landing is the note after, one beat long.
    bars = chunk_bars(passage("[K:C][M:2/4][L:1/16] cdef gabc' | d'c'ba g4"))
    assert [bar.label for bar in bars] == ["1", "2", "3"]
    assert said(bars[0]) == "C5:16 D5:16 E5:16 F5:16 G5:4"
    assert said(bars[2]) == "D6:16 C6:16 B5:16 A5:16 G5:4"
    assert {bar.metre.length for bar in bars} == {Fraction(1, 2)}
    assert {bar.ends for bar in bars} == {"repeat"}


def test_two_notes_join_the_chunk_before_and_the_first_joins_the_next() -> None:
    found = passage("[K:C][M:4/4][L:1/16] c2d2 efga b4 c'bag | f8 z8")
    assert [(str(a), str(b)) for a, b in segments(found)] == [("0", "3/4"), ("3/4", "2")]


def test_equal_chunks_print_once() -> None:
    bars = chunk_bars(passage("[K:C][M:4/4][L:1/16] cdec cdec cdec cdec"))
    assert [bar.label for bar in bars] == ["1, 2, 3", "4"]  # the last one lands on nothing


def test_a_beat_of_more_than_six_notes_is_halved() -> None:
    assert len(chunks(passage("[K:C][M:1/4][L:1/32] cdefgabc' | c8"))) == 2
    assert len(chunks(passage("[K:C][M:3/8][L:1/16] cdefga | c6"))) == 1


def test_where_no_beat_holds_three_notes_beats_are_gathered() -> None:
    # By hand: eighths in 4/4, two to a beat; two beats are four notes and a chunk.
    bars = chunk_bars(passage("[K:C][M:4/4][L:1/8] cdef gabc' | d'c'ba gfed | c8"))
    assert [said(bar) for bar in bars[:2]] == ["C5:8 D5:8 E5:8 F5:8 G5:4", "G5:8 A5:8 B5:8 C6:8 D6:4"]
    assert [bar.label for bar in bars] == ["1", "2", "3", "4"]


def test_rests_one_after_another_are_one_silence() -> None:
    # Two eighth rests are a beat, and what stands before them goes; one eighth rest is less and stays.
    (first, *_) = chunks(passage("[K:C][M:4/4][L:1/16] c2 z2 z2 defg a4 b2 | c'16"))
    assert [n.pitch.name for n in first.notes if n.pitch] == ["D5", "E5"]
    (first, *_) = chunks(passage("[K:C][M:2/4][L:1/16] c2 z2 defg | c'8"))
    assert [n.pitch.name if n.pitch else "z" for n in first.notes] == [
        "C5",
        "z",
        *("D5", "E5", "F5", "G5", "C6"),
    ]


def test_rests_at_the_ends_and_long_notes_keep_their_place() -> None:
    (first, *_) = chunks(passage("[K:C][M:4/4][L:1/16] c8 defg a4 | b4 z12"))
    # The half note keeps one beat, at its end.
    assert [str(n.length) for n in first.notes][:2] == ["1/4", "1/16"]
    (only,) = chunks(passage("[K:C][M:4/4][L:1/16] cdef z4 z8"))
    assert [n.pitch.name for n in only.notes if n.pitch] == ["C5", "D5", "E5", "F5"]


def test_a_slur_cut_at_the_border_is_dropped_there() -> None:
    first, second = chunk_bars(passage("[K:C][M:2/4][L:1/16] (cdef gfed)"))
    assert [n.slur for n in first.notes] == ["start", "inside", "inside", "stop", None]
    assert second.notes[0].slur == "start"


def test_the_rows_to_join_name_at_most_eight_places() -> None:
    text = "[K:C][M:4/4][L:1/16] " + "cdef gfed efga bagf | " * 3
    assert join_rows(passage(text))[0] == "From 1, stop on the first note of:|3|5|7|9|11|end"
    assert join_rows(passage(text))[1] == "To the end, start at:|11|9|7|5|3|1"


def test_a_burst_grows_by_a_note_and_its_last_note_falls_on_a_beat() -> None:
    found = passage("[K:C][M:2/4][L:1/16] cdef gabc'")
    bars = bursts(found, spot_of(found, "1.2"))
    assert [bar.label for bar in bars] == ["2", "3", "4"]
    assert said(bars[0]) == "G5:16 A5:4"
    assert said(bars[2]) == "G5:16 A5:16 B5:16 C6:4"
    long = bursts(passage("[K:C][M:4/4][L:1/16] cdef gabc' bagf edcB"), Fraction(0))
    assert [bar.label for bar in long] == list("23456789")


@pytest.mark.parametrize(
    ("text", "labels", "first"),
    [
        (
            "[K:C][M:2/4][L:1/16] cdef gfed",
            ["long first", "long second", "long third", "long fourth", "long short", "short long"],
            "C5:8. D5:16 E5:16 F5:16 G5:8. F5:16 E5:16 D5:16",
        ),
        (
            "[K:C][M:6/8][L:1/16] cdefga gfedcB",
            ["long first", "long second", "long third"],
            "C5:8 D5:16 E5:16 F5:8 G5:16 A5:16 G5:4",
        ),
        (
            "[K:C][M:2/4][L:1/8] (3cde (3fga",
            ["long first", "long second", "long third"],
            "C5:4 D5:8 E5:8 F5:4 G5:8 A5:8",
        ),
    ],
)
def test_rhythms_of_fours_and_threes(text: str, labels: list[str], first: str) -> None:
    # L = 3 in fours (6/8), L = 2 in threes: arithmetic of note values; custom in five methods and studios.
    bars = rhythm_bars(passage(text), drill_rows())
    assert [bar.label for bar in bars] == labels
    assert said(bars[0]) == first


def test_no_run_of_two_groups_no_rhythms() -> None:
    assert rhythm_bars(passage("[K:C][M:4/4][L:1/16] c4 d2e2 f3g c'4"), drill_rows()) == ()


def test_rhythms_written_out_go_on_to_the_end() -> None:
    text = "[K:C][M:4/4][L:1/16] cdef gfed cdef gfed | c16"
    bars = rhythm_bars(passage(text), drill_rows(), written_out=True)
    assert [bar.label for bar in bars[:3]] == ["long first", "", "long second"]
    assert sum(n.pitch is not None for bar in bars[:2] for n in bar.notes) == 17


def test_articulations_keep_pitches_and_change_slurs() -> None:
    bars = {b.label: b for b in stroke_bars(passage("[K:C][M:2/4][L:1/16] (cd)ef gfed"), drill_rows())}
    assert list(bars) == ["slurred", "tongued", "slur 2, tongue 2", "slurs moved by one"]
    assert [n.slur for n in bars["slur 2, tongue 2"].notes][:4] == ["start", "stop", None, None]
    assert [n.slur for n in bars["slurs moved by one"].notes][:4] == [None, "start", "stop", "start"]
    assert not any(n.slur for n in bars["tongued"].notes)
    # The note it lands on is begun anew.
    lands = stroke_bars(passage("[K:C][M:2/4][L:1/16] cdef gfed | c8"), drill_rows())[0].notes
    assert [n.slur for n in lands] == ["start", *["inside"] * 6, "stop", None]


def test_the_skeleton_is_what_sounds_on_each_beat() -> None:
    (bar,) = skeleton_bars(passage("[K:C][M:4/4][L:1/16] cdef g8 z4"))
    assert said(bar) == "C5:4 G5:4 G5:4 z:4"
    assert [n.tie for n in bar.notes] == [False, True, False, False]


def test_all_keys_by_named_interval_nearest_first() -> None:
    found = through_keys(passage("[K:F][M:2/4][L:1/8] F=Bc^f"), WIDE)
    firsts = [[n.pitch.name for n in key.bars[0].notes if n.pitch] for key in found.keys]
    # By hand: a minor second up from F is G-flat, with six flats; spelling as written.
    assert firsts[:4] == [
        ["F4", "B4", "C5", "F#5"], ["Gb4", "C5", "Db5", "G5"], ["E4", "A#4", "B4", "E#5"], ["G4", "C#5", "D5", "G#5"],
    ]  # fmt: skip
    assert [key.offset for key in found.keys] == list(ORDER)
    assert [key.signature for key in found.keys] == [-1, -6, 4, 1, -3, -4, 2, 3, -5, -2, 0, 5]
    assert found.keys[1].bars[0].label == "up a half step"


def test_a_key_moves_by_an_octave_to_fit_and_is_told_where_none_does() -> None:
    narrow = Compass(Pitch.parse("C5"), Pitch.parse("D6"))
    found = through_keys(passage("[K:C][M:2/4][L:1/8] cdgc'"), narrow)
    assert [key.offset for key in found.keys] == [0, 1, 2]
    assert "down a half step (B 4)" in found.missing
    up = {
        key.offset: key.interval.semitones
        for key in through_keys(passage("[K:C][L:1/8][M:2/4] cdcd"), narrow).keys
    }
    assert up[-1] == 11


def test_as_written_stays_as_written() -> None:
    # G flat has as many signs as F sharp, and D flat fewer than C sharp; the first one is what the player has.
    for key, first in (("F#", "F#5"), ("C#", "C#5"), ("Gb", "Gb5")):
        keys = through_keys(passage(f"[K:{key}][M:2/4][L:1/8] {first[0].lower()}gag"), WIDE).keys
        assert keys[0].bars[0].notes[0].pitch is not None
        assert keys[0].bars[0].notes[0].pitch.name == first


def test_ties_go_to_fewer_double_accidentals_then_flats() -> None:
    assert best_interval(6, 0, [Pitch.parse("C5")]).name == "d5"  # G-flat and F-sharp have six signs each
    assert best_interval(6, 0, [Pitch.parse("Bb4"), Pitch.parse("Eb4")]).name == "A4"


@pytest.mark.parametrize("seed", [*range(150), 215])
def test_random_passages_lose_nothing(seed: int) -> None:
    whole = random_passage(Random(seed))
    spans = segments(whole)
    assert spans[0][0] == whole.attacks[0].onset
    assert spans[-1][1] == whole.end
    assert all(before[1] == after[0] for before, after in pairwise(spans))
    assert set(chunk_numbers(whole).values()) == {str(n) for n in range(1, len(spans) + 1)}
    kept = KeptPassage("random", whole, instrument="flute")
    assert from_text(text_of(kept)) == kept
    player = replace(player_named("flute"), compass=WIDE)
    for exercise in drilled(kept, DrillRequest("random"), player).exercises:
        for bar in exercise.bars:
            assert bar.filled == bar.length
            opened = 0
            for note in bar.notes:
                opened += note.tuplet_start
                assert opened == (note.value.tuplet is not None)
                opened -= note.tuplet_stop
            assert opened == 0
        if exercise.recipe == "all keys":
            for bar in exercise.bars:
                assert bar.signature is None or abs(bar.signature) <= 7
        if exercise.recipe in ("rhythms", "articulations"):
            mine = {p.height for p in (*(n.pitch for n in whole.attacks), whole.landing) if p}
            assert {p.height for p in exercise.pitches} <= mine


def test_the_phrase_is_written_as_it_is_read() -> None:
    for text in (
        "drill scherzo", "drill scherzo, chunks", "drill the gigue, every recipe, quarter = 72 to 120",
        "drill run, rhythms, written out, dotted quarter = 96", "drill run, add a note, all keys",
    ):  # fmt: skip
        request = parse_drill(text)
        assert canonical_drill(request) == text
        assert parse_drill(canonical_drill(request)) == request


def test_articulations_speak_to_whoever_reads_them_and_slur_nothing_that_is_struck() -> None:
    # Words for strings, keyboards and mallets are those of shared/articulations.toml, with their sources there.
    music = passage("[K:C][M:2/4][L:1/16] cdef gfed | c8")
    violin = stroke_bars(music, drill_rows(), "string")
    assert [bar.label for bar in violin][:3] == ["slurred", "separate bows", "slur two, separate two"]
    (mallets,) = stroke_bars(music, drill_rows(), "mallet")
    assert mallets.label == "single strokes"
    together = stroke_bars(music, drill_rows(), "mallet", every=True)
    assert len(together) == len(violin)
    assert not any(note.slur for bar in together for note in bar.notes)


def test_a_note_that_would_need_three_signs_is_called_by_its_other_name() -> None:
    # B double-flat up a diminished third would be D triple-flat, which nobody reads.
    music = passage("[K:Gb][M:2/4][L:1/8] __BAGA | G4")
    moved = transposed(music, Interval.parse("d3"))
    assert next(note.pitch.name for note in moved.attacks if note.pitch) == "Cb5"
    assert all(abs(note.pitch.alter) <= 2 for note in moved.attacks if note.pitch)
