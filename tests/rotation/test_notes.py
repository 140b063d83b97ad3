"""The sentences: that they are said when they are true, with the right figures, and only then."""

import calendar
import datetime as dt
from fractions import Fraction

import pytest

from generator.rotation import Item, Topic, words
from generator.rotation.words import count, day_and_month


def texts(sheet, topic):
    return [note.text for note in sheet.notes if note.topic is topic]


@pytest.fixture
def long_list():
    """412 minutes: 12 of one, 50 of two, 100 of three minutes."""
    lengths = [1] * 12 + [2] * 50 + [3] * 100
    return [Item(f"item {place}", length, place % 12, place) for place, length in enumerate(lengths)]


def test_a_wish_below_what_any_rule_can_keep(diary, long_list):
    first, second = texts(diary(long_list, 15).sheet(wished=14), Topic.WISH)
    assert "412 minutes" in first
    assert "28 practice days" in first
    assert "longest wait is 52 practice days" in second
    assert "For 14 you need 59 minutes a day or a list of at most 112 minutes" in second


def test_a_wish_that_only_the_share_forbids(diary, long_list):
    (only,) = texts(diary(long_list, 15).sheet(wished=40), Topic.WISH)
    assert "For 40 you need" in only


def test_a_wish_that_is_kept_needs_no_word(diary, long_list):
    assert texts(diary(long_list, 15).sheet(wished=52), Topic.WISH) == []


def test_minutes_needed_are_told_with_their_rest(diary, long_list):
    plain, rested = (
        texts(diary(long_list, 15).sheet(wished=14, rest=rest), Topic.WISH)[1] for rest in (0, None)
    )
    assert "you need 59 minutes" in plain
    # 71 minutes leave 59 after 12 of rest.
    assert "12 minutes of playing a day (15 with rest)" in rested
    assert "you need 71 minutes" in rested


def test_following_the_advice_keeps_the_wish(diary, long_list):
    assert diary(long_list, 59).sheet(wished=14).promise <= 14
    assert diary(long_list, 58).sheet(wished=14).promise > 14
    assert diary(long_list, 71).sheet(wished=14, rest=None).promise <= 14


def test_a_load_over_the_budget_is_told(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 6)
    for _ in range(20):
        book.practise(lambda _: 1)
    sheet = book.sheet()
    assert sheet.load > 6
    (text,) = texts(sheet, Topic.LOAD)
    assert f"{round(sheet.load)} minutes a day and gets 6" in text
    assert f"{sheet.load / 6:.1f} times" in text


def test_a_light_load_needs_no_word(diary, keys_by_figures):
    sheet = diary(keys_by_figures(1), 6).sheet()
    assert sheet.load == pytest.approx(12 / 7)
    assert texts(sheet, Topic.LOAD) == []


def test_what_is_still_to_begin_is_told_with_a_day_that_is_met(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 15)
    sheet = book.practise(gently=True)
    (text,) = texts(sheet, Topic.BEGINNING)
    assert text.startswith("60 exercises of the list are still to begin")
    within = int(text.split("within ")[1].split()[0])
    for _ in range(within - 1):
        book.practise(gently=True)
    assert texts(book.sheet(gently=True), Topic.BEGINNING) == []
    assert book.sheet(gently=True).to_begin == 0


def test_short_days_count_in_part_in_the_calendar(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 12)
    for _ in range(28):
        book.practise(minutes=3, usual=12)
    sheet = book.sheet()
    # 28 days of 3 minutes under a floor of 6 are 14 days: (14 + 6) / (28 + 7) = 4/7.
    assert texts(sheet, Topic.DAYS_OFF) == [
        "10 practice days: about 18 calendar days at your pace of the last four weeks (4 days in 7)."
    ]


def test_a_day_of_ten_hours_gets_a_word(diary, keys_by_figures):
    (text,) = texts(diary(keys_by_figures(2), 600).sheet(), Topic.REST)
    assert text.startswith("600 minutes are more than anyone should play in a day")
    assert texts(diary(keys_by_figures(2), 240).sheet(), Topic.REST) == []


def test_days_off_turn_the_promise_into_calendar_days(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 6)
    for _ in range(20):
        book.practise()
        book.sleep(1)
    sheet = book.sheet()
    # 14 of the last 28 days: (14 + 6) / (28 + 7) = 4/7.
    assert sheet.attendance == Fraction(4, 7)
    assert texts(sheet, Topic.DAYS_OFF) == [
        "20 practice days: about 35 calendar days at your pace of the last four weeks (4 days in 7)."
    ]


def test_who_practises_every_day_hears_nothing_of_days_off(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 6)
    for _ in range(40):
        book.practise()
    sheet = book.sheet()
    assert sheet.attendance == Fraction(34, 35)
    assert texts(sheet, Topic.DAYS_OFF) == []


def reason_of(sheet, item_id):
    return next(row.reason for row in sheet.rows if row.item_id == item_id)


def test_each_row_says_why_it_is_there(diary):
    items = [Item("oldest"), Item("due", catalogue=1), Item("early", catalogue=2), Item("new", catalogue=3)]
    book = diary(items[:3], 4, share=Fraction(1, 4))
    book.play("oldest", 3)
    book.sleep(2)
    book.play("due", 1)
    book.sleep(3)
    book.play("early", 4)
    book.enter([items[3]])
    book.sleep()
    sheet = book.sheet()
    assert reason_of(sheet, "oldest") == "last played 6 days ago: at the head of the line"
    assert reason_of(sheet, "due") == "last played 4 days ago; wanted every practice day"
    assert reason_of(sheet, "early") == "last played 1 day ago; there was room to go over it again"
    assert reason_of(sheet, "new") == "new: the next to begin, 1 day on the list"


def test_the_names_of_the_months_are_those_of_the_standard_library():
    assert list(words.MONTHS) == list(calendar.month_name)[1:]
    assert day_and_month(dt.date(2028, 2, 29)) == "29 February"


@pytest.mark.parametrize(("number", "words"), [(0, "0 days"), (1, "1 day"), (2, "2 days")])
def test_one_is_singular(number, words):
    assert count(number, "day") == words


def test_every_note_is_one_line(diary, long_list):
    items = [*long_list[:40], Item("too long", 90), Item("long", 14)]
    book = diary(items, 15)
    for _ in range(12):
        book.practise(lambda _: 1)
        book.sleep(2)
    sheet = book.sheet(wished=2)
    assert {note.topic for note in sheet.notes} >= {Topic.TOO_LONG, Topic.WISH, Topic.LONG_ITEM, Topic.LOAD}
    assert all("\n" not in note.text and note.text.endswith(".") for note in sheet.notes)
