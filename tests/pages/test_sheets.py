"""Sheets: numbers, headings, page breaks, reading modes."""

from dataclasses import replace

import pytest

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout, Show, Words, lay_out, without_breaks, without_last_page
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


def test_pages_are_filled_in_order() -> None:
    laid = sheet("all keys, harmonic minor in thirds", "all keys, major in thirds")
    starts = [n for n, item in enumerate(laid.items) if item.new_page]
    sizes = [b - a for a, b in zip([0, *starts], [*starts, len(laid.items)], strict=True)]
    assert laid.pages == len(sizes) > 1
    # The title takes room from the first page.
    assert sizes[-1] <= min(sizes[1:])


def test_an_exercise_longer_than_a_page_is_parted_and_others_follow_it_on_its_page() -> None:
    laid = sheet(
        "C major", "C major in seventh chords, whole notes", "C major", paper=Paper.of("letter", "large")
    )
    assert [i.may_part for i in laid.items] == [False, True, False]
    assert laid.items[1].page_starts
    assert laid.pages == 1 + len(laid.items[1].page_starts) + sum(i.new_page for i in laid.items)
    # Whoever leaves the breaks to LilyPond still lets it part that one.
    loose = without_breaks(laid)
    assert [i.may_part for i in loose.items] == [False, True, False]
    assert not any(i.page_starts for i in loose.items)


def test_a_sheet_of_a_few_pages_is_closed_up_where_that_saves_one() -> None:
    who = player_named("trumpet")
    made = expand.exercises(["whole-tone on C, two octaves, usual articulations"], who).exercises
    words = Words("Whole-tone on C", who.instrument.label)
    # Ten one-line exercises stand on a page, as a method book prints them, on staves a tenth smaller at most.
    assert lay_out(made, words, LETTER).pages == 2
    closer = lay_out(made, words, LETTER, closer=True)
    assert closer.pages == 1
    assert 0.9 * LETTER.staff <= closer.paper.staff <= LETTER.staff
    large = Paper.of("letter", "large")
    assert lay_out(made, words, large, closer=True).paper == large


def test_ten_articulations_over_all_notes_of_a_saxophone_stand_on_a_page() -> None:
    who = player_named("alto saxophone")
    made = expand.exercises(["whole-tone on C, usual articulations"], who).exercises
    closer = lay_out(made, Words("Whole-tone on C", who.instrument.label), LETTER, closer=True)
    # 16 points is the size that holds ten one-line exercises to a page; below 5.5 mm a staff is hard to read on a
    # stand (common practice, no source).
    assert (len(made), closer.pages, closer.paper.staff) == (10, 1, 16.0)


def test_twenty_four_outlines_stand_on_a_page_in_two_columns() -> None:
    who = player_named("trumpet")
    made = expand.exercises(["all keys, major", "all keys, harmonic minor"], who).exercises
    laid = lay_out(made, Words("Sheet", who.instrument.label), LETTER, "outline", closer=True)
    assert len(laid.items) == 24
    assert (laid.columns, laid.pages) == (2, 1)
    assert not any(i.new_page for i in laid.items)
    assert sheet("all keys, major", show="outline", paper=Paper.of("letter", "large")).columns == 1


def test_a_sheet_that_goes_on_leaves_its_last_page_to_the_next() -> None:
    laid = sheet("all keys, harmonic minor in thirds", "all keys, major in thirds")
    full = without_last_page(laid)
    assert full is not None
    assert full.pages == laid.pages - 1
    assert laid.items[len(full.items)].new_page
    assert full.stretched
    assert without_last_page(sheet("G major")) is None


def test_the_title_says_what_all_exercises_share() -> None:
    laid = sheet("G major, usual articulations", title="G major")
    assert [i.heading for i in laid.items][:3] == ["All tongued", "All slurred", "Slur two tongue two"]
    assert laid.words.subtitle == "Concert B-flat"


def test_a_title_of_ones_own_leaves_the_headings_whole() -> None:
    laid = sheet("G major, usual articulations", title="Monday")
    assert laid.items[0].heading == "G major, all tongued"
    # One concert key for all stands once, under the title.
    assert (laid.items[0].concert, laid.words.subtitle) == ("", "Concert B-flat")


def test_concert_keys_that_differ_stand_beside_their_headings() -> None:
    laid = sheet("G and D major", title="Monday")
    assert [item.concert for item in laid.items] == ["concert B-flat", "concert F"]
    assert laid.words.subtitle == ""


def test_outline_and_answers() -> None:
    laid = sheet("G major", "D major", show="both")
    assert [i.outline for i in laid.items] == [True, True, False, False]
    assert [i.section for i in laid.items] == ["", "", "In notes", ""]
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
