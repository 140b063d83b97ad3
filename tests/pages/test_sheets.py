"""Sheets: numbers, headings, page breaks, reading modes."""

from dataclasses import replace

import pytest

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout, Show, Words, lay_out, without_breaks
from generator.phrase import expand

LETTER = Paper.of("letter", "normal")


def sheet(
    *phrases: str,
    instrument: str = "alto saxophone",
    title: str = "Sheet",
    show: Show = "notes",
    paper: Paper = LETTER,
) -> SheetLayout:
    who = player_named(instrument)
    built = expand.exercises(phrases, who)
    return lay_out(built.exercises, Words(title, who.instrument.label), paper, show)


def test_exercises_are_numbered_from_one() -> None:
    assert [i.number for i in sheet("all keys, major, one octave").items] == [str(n) for n in range(1, 13)]


def test_pages_share_the_exercises_evenly() -> None:
    laid = sheet("all keys, harmonic minor in thirds")
    starts = [n for n, item in enumerate(laid.items) if item.new_page]
    sizes = [b - a for a, b in zip([0, *starts], [*starts, len(laid.items)], strict=True)]
    assert laid.pages == len(sizes) > 1
    assert max(sizes) - min(sizes) <= 2


def test_an_exercise_longer_than_a_page_may_be_parted_and_stands_alone() -> None:
    laid = sheet(
        "C major", "C major in seventh chords, quarters", "C major", paper=Paper.of("letter", "large")
    )
    assert [i.may_part for i in laid.items] == [False, True, False]
    assert [i.new_page for i in laid.items] == [False, True, True]


def test_the_title_says_what_all_exercises_share() -> None:
    laid = sheet("G major, usual articulations", title="G major")
    assert [i.heading for i in laid.items][:3] == ["All tongued", "All slurred", "Slur two tongue two"]
    assert laid.words.subtitle == "Concert B-flat"


def test_a_title_of_ones_own_leaves_the_headings_whole() -> None:
    laid = sheet("G major, usual articulations", title="Monday")
    assert laid.items[0].heading == "G major, all tongued"
    assert laid.items[0].concert == "concert B-flat"


def test_outline_and_answers() -> None:
    laid = sheet("G major", "D major", show="both")
    assert [i.outline for i in laid.items] == [True, True, False, False]
    assert [i.section for i in laid.items] == ["", "", "Answers", ""]
    assert laid.items[2].new_page
    assert [i.new_page for i in without_breaks(laid).items] == [False, False, True, False]


def test_ticks_name_the_beat_and_the_tempi() -> None:
    assert sheet("G major, quarter = 60 to 108").items[0].ticks == "4 60 69 84 96 108"
    assert sheet("G major, siciliano").items[0].ticks == "4. _"


def test_paper_and_print_size_are_checked() -> None:
    with pytest.raises(RequestError, match="letter or a4"):
        Paper.of("a5", "normal")
    with pytest.raises(RequestError, match="small, normal, large"):
        Paper.of("a4", "huge")


def test_a_row_of_todays_sheet_has_lines_for_the_tempo_reached_and_a_stroke_each_time() -> None:
    # A tempo in the margin, a tally of what was played: what players ask to find on the page (two teachers' lists).
    who = player_named("flute")
    made = expand.exercises(["G major, quarter = 60 to 108", "G major"], who).exercises
    told = [replace(one, reason="Longest waiting") for one in made]
    sheet = lay_out([*told, *made], Words("", ""), Paper.of("letter", "normal"))
    assert [item.tally for item in sheet.items] == [True, False, False, False]
    assert [item.ticks for item in sheet.items][:2] == ["4 60 69 84 96 108", "4 _"]
    outline = lay_out(told, Words("", ""), Paper.of("letter", "normal"), "outline")
    assert not any(item.tally for item in outline.items)
