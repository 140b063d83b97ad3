"""Chapters, page numbers and contents of a book, before anything is engraved."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.catalogue.players import player_named
from generator.pages.book import STRETCH, ContentsEntry, entries_of, index, parted, told_apart
from generator.pages.paper import Paper
from generator.pages.sheet import Words, lay_out
from generator.phrase import expand

WHO = player_named("oboe")
PAPER = Paper.of("a4", "normal")


@given(st.integers(1, 3000), st.integers(1, 100))
def test_stretches_hold_all_and_none_is_much_shorter(count: int, most: int) -> None:
    sizes = parted(count, most)
    assert sum(sizes) == count
    assert max(sizes) <= most
    assert max(sizes) - min(sizes) <= 1
    assert len(sizes) == -(-count // most)


def test_a_chapter_of_few_is_one_stretch() -> None:
    assert parted(STRETCH) == [STRETCH]
    assert parted(STRETCH + 1) == [18, 19]


def test_pages_follow_the_page_breaks_and_numbers_run_on() -> None:
    exercises = expand.exercises(["all keys, major in thirds"], WHO).exercises
    sheet = lay_out(exercises, Words("Major in thirds", ""), PAPER, first=41)
    entries = entries_of(sheet, 7)
    assert [one.number for one in entries] == list(range(41, 41 + len(exercises)))
    assert entries[0].page == 7
    assert entries[-1].page == 7 + sheet.pages - 1
    steps = [b.page - a.page for a, b in pairwise(entries)]
    assert steps == [int(item.new_page) for item in sheet.items[1:]]


def test_pages_that_turned_out_too_full_are_filled_less() -> None:
    exercises = expand.exercises(["all keys, major in thirds", "all keys, major"], WHO).exercises
    words = Words("Scales", "")
    assert lay_out(exercises, words, PAPER, filled=0.6).pages > lay_out(exercises, words, PAPER).pages


def test_a_stretch_without_a_title_has_more_room() -> None:
    exercises = expand.exercises(["all keys, major"], WHO).exercises
    counts = []
    for titled in (True, False):
        sheet = lay_out(exercises, Words("Major scales", "", remark="x" * 300), PAPER, titled=titled)
        counts.append(next((n for n, i in enumerate(sheet.items) if n and i.new_page), len(sheet.items)))
    assert counts[1] >= counts[0]


def entry(number: int, head: str, details: str, key: str, page: int) -> ContentsEntry:
    return ContentsEntry(number, f"{head}, {details}", head, details, key, page)


def test_the_contents_list_keys_once_each_with_the_page_of_the_first() -> None:
    entries = [
        entry(1, "C major in thirds", "slurred", "C", 3),
        entry(2, "C major in thirds", "tongued", "C", 3),
        entry(3, "B-flat major in thirds", "slurred", "B-flat", 3),
        entry(4, "B-flat major in thirds", "tongued", "B-flat", 4),
    ]
    assert index(entries) == [("C", 3), ("B-flat", 3)]


def test_one_key_is_listed_by_what_tells_its_exercises_apart() -> None:
    entries = [entry(1, "C major", "slurred", "C", 3), entry(2, "C major", "tongued", "C", 4)]
    assert index(entries) == [("slurred", 3), ("tongued", 4)]


@pytest.mark.parametrize(
    ("head", "key"), [("A natural minor", "A"), ("Overtones", "B-flat"), ("Long tones", "")]
)
def test_forms_that_differ_are_listed_by_form(head: str, key: str) -> None:
    entries = [entry(1, "C major", "", "C", 3), entry(2, head, "", key, 4)]
    assert index(entries) == [("C major", 3), (head, 4)]


def test_chapters_of_one_name_are_told_apart_by_their_phrase() -> None:
    titles = [
        ("Major scales", "all keys, major"),
        ("Major scales", "all keys, major, triplets"),
        ("Blues", "x"),
    ]
    assert told_apart(titles) == [
        "Major scales: all keys, major",
        "Major scales: all keys, major, triplets",
        "Blues",
    ]


def test_chapters_of_one_name_and_phrase_are_numbered() -> None:
    assert told_apart([("Mixed", ""), ("Mixed", ""), ("Blues", "x"), ("Mixed", "")]) == [
        "Mixed", "Mixed (2)", "Blues", "Mixed (3)",
    ]  # fmt: skip


def test_an_exercise_that_is_printed_twice_is_listed_once() -> None:
    exercises = expand.exercises(["all keys, major"], WHO).exercises
    sheet = lay_out(exercises, Words("Major scales", ""), PAPER, "both")
    entries = entries_of(sheet, 1)
    assert [one.number for one in entries] == list(range(1, len(exercises) + 1))
    assert entries[-1].page < sheet.pages
