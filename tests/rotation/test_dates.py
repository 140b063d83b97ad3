"""Required lists with a date."""

import calendar
import datetime as dt
import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import DatedList, Item, Lane, Theme, Topic, best_floor, lengths_of
from generator.rotation.dates import countdowns
from generator.rotation.promise import floor_at

EXAMPLES = settings.get_profile("rotation")


def list_on(book, days, ids, name="audition"):
    return DatedList(name, book.day + dt.timedelta(days=days), frozenset(ids))


@EXAMPLES
@given(
    st.lists(st.integers(1, 6), min_size=2, max_size=16),
    st.integers(6, 20),
    st.integers(1, 8),
    st.integers(10, 60),
    st.randoms(use_true_random=False),
)
def test_each_required_item_comes_twice_in_the_window_and_late_enough(
    diary, minutes, budget, required, days, chance
):
    items = [Item(f"item {one}", length, catalogue=one) for one, length in enumerate(minutes)]
    book = diary(items, budget)
    asked = list_on(book, days, (item.id for item in items[-required:]))
    floor = best_floor(lengths_of(minutes), budget)
    alone = lengths_of(item.minutes for item in items[-required:])
    promise = floor_at(alone, budget, floor.minutes).promise
    played = {item.id: [] for item in items}
    outside_waits, last = 0, {item.id: 0 for item in items}
    open_days = 0
    for day in range(1, days + 1):
        sheet = book.sheet(lists=[asked])
        left = (asked.day - book.day).days
        floor_rows = [row.item_id for row in sheet.rows if row.lane is Lane.FLOOR]
        # Practising every day is counted on for at most 34 days in 35, so the window opens early enough.
        open_days = open_days + 1 if int(left * sheet.attendance) <= 2 * promise or left <= 3 else 0
        chosen = floor_rows + [
            row.item_id for row in sheet.rows if row.lane is Lane.NEED and chance.random() < 0.5
        ]
        outside_waits = max(outside_waits, *(day - since for since in last.values()))
        for one in chosen:
            book.play(one, chance.randint(1, 4))
            played[one].append(day)
            last[one] = day
        book.sleep()
    assert book.day == asked.day
    window = open_days
    for item in items[-required:]:
        times = [day for day in played[item.id] if day > days - window]
        if window >= promise:
            assert days - max(times) < promise
        if window >= 2 * promise:
            assert len(times) >= 2
    assert outside_waits <= floor.promise + window


def test_the_window_opens_twice_the_promise_before_the_date():
    # Once within the promise, and once more within it again: so each item comes twice.
    items = [Item(f"item {one}") for one in range(6)]
    floor = floor_at(lengths_of([1] * 12), budget=4, minutes=2)
    today = dt.date(2027, 3, 5)

    def seen(days):
        asked = DatedList("audition", today + dt.timedelta(days=days), frozenset(item.id for item in items))
        (ahead,) = countdowns([asked], items, floor, today, Fraction(1))
        return ahead

    assert seen(30).promise == 3  # two a day of six
    assert [days for days in range(1, 30) if seen(days).open] == [1, 2, 3, 4, 5, 6]


def test_until_the_window_the_list_is_wanted_five_times_in_the_days_left(diary, keys_by_figures):
    items = keys_by_figures(10)
    book = diary(items, 12)
    asked = list_on(book, 70, (item.id for item in items[:4]))
    sheet = book.sheet(lists=[asked])
    # 70 days at 6 in 7 are 60 practice days: every 12 at most, so the 7 of a new item stands.
    assert sheet.attendance == Fraction(6, 7)
    assert {row.gap for row in sheet.rows} == {7}
    book.sleep(50)
    near = book.sheet(lists=[asked])
    # 20 days at 3 in 10, the least that is counted on: 6 practice days, so every 2.
    assert near.attendance == Fraction(3, 10)
    assert {row.gap for row in near.rows if row.item_id in asked.item_ids} == {2}
    assert {row.gap for row in near.rows if row.item_id not in asked.item_ids} == {7}


def test_in_the_window_the_floor_goes_to_the_list_and_says_so(diary, keys_by_figures):
    items = keys_by_figures(10)
    book = diary(items, 12)
    book.practise()
    asked = list_on(book, 4, (item.id for item in items[-20:]))
    sheet = book.sheet(lists=[asked])
    floor_rows = [row for row in sheet.rows if row.lane is Lane.FLOOR]
    assert len(floor_rows) == 6
    assert all(row.item_id in asked.item_ids for row in floor_rows)
    assert {row.gap for row in sheet.rows} == {7}  # the floor does what shorter gaps did until now
    assert all(row.reason.startswith("audition in 4 days") for row in floor_rows)
    # 120 over a floor of 6, and every day to the date may be a practice day.
    assert sheet.promise == 20 + 4 + 1
    assert notes(sheet)[-1].endswith(f"can wait up to {sheet.promise} practice days.")


@pytest.mark.parametrize("days", [1, 2, 3])
def test_the_last_three_days_belong_to_the_list_alone(diary, keys_by_figures, days):
    items = keys_by_figures(10)
    book = diary(items, 12)
    book.practise()
    asked = list_on(book, days, (item.id for item in items[-10:]))
    sheet = book.sheet(lists=[asked], theme=Theme.DAY, gently=True)
    assert {row.item_id for row in sheet.rows} == set(asked.item_ids)
    assert sheet.given_to == "audition"
    when = "tomorrow" if days == 1 else f"in {days} days"
    assert all(row.reason.startswith(f"audition {when}: slowly") for row in sheet.rows)


def test_the_day_itself_is_a_light_warm_up_of_the_list(diary, keys_by_figures):
    items = keys_by_figures(4)
    book = diary(items, 12)
    for _ in range(12):
        book.practise(lambda one: 4 if one.endswith("key 3") else 2)
    asked = list_on(book, 0, (item.id for item in items[:24]))
    sheet = book.sheet(lists=[asked])
    assert len(sheet.rows) == 6  # half of the usual
    assert all(row.item_id in asked.item_ids for row in sheet.rows)
    assert {f"figure {figure} key 3" for figure in (0, 1)} <= {
        row.item_id for row in sheet.rows
    }  # what is secure
    assert all(row.reason.startswith("audition today: once, lightly") for row in sheet.rows)
    book.sleep()
    assert book.sheet(lists=[asked]).given_to == ""


def test_after_the_date_the_sheet_is_not_all_new(diary, keys_by_figures):
    items = keys_by_figures(6)
    book = diary(items, 12)
    asked = list_on(book, 14, (item.id for item in items[:12]))
    while book.day <= asked.day:
        book.practise(lists=[asked], gently=True)
    for one in items[:12]:
        book.leave(one.id)
    new = [row for row in book.sheet(lists=[asked], gently=True).rows if row.new]
    assert len(new) <= 4


@pytest.mark.parametrize(
    ("days", "ids"),
    [(-1, ["figure 0 key 3"]), (-5, ["figure 0 key 3"]), (3, []), (3, ["unknown"]), (3, ["too long"])],
    ids=["yesterday", "past", "empty", "unknown", "too long"],
)
def test_a_list_that_is_over_or_empty_changes_nothing(diary, keys_by_figures, days, ids):
    book = diary([*keys_by_figures(3), Item("too long", 60)], 6)
    for _ in range(5):
        book.practise()
    assert book.sheet(lists=[list_on(book, days, ids)]) == book.sheet()


@pytest.mark.parametrize("days", [1, 2, 3])
def test_the_day_before_still_counts_as_a_practice_day(diary, keys_by_figures, days):
    """Someone who hardly practises has less than one practice day left, and the list still has the floor."""
    book = diary(keys_by_figures(3), 6)
    book.sleep(28)
    asked = list_on(book, days, ["figure 2 key 7"])
    assert int(days * book.sheet().attendance) == 0
    first = [row.item_id for row in book.sheet(lists=[asked]).rows if row.lane is Lane.FLOOR]
    assert "figure 2 key 7" in first
    far = list_on(book, days + 3, (item.id for item in book.items))
    assert "1 practice day of 6 minutes can be expected" in notes(book.sheet(lists=[far]))[0]


def notes(sheet):
    return [note.text for note in sheet.notes if note.topic is Topic.DATED_LIST]


def test_a_list_too_long_for_the_time_is_told_how_much_is_sure(diary):
    items = [Item(f"item {one}", 4, catalogue=one) for one in range(26)]
    book = diary(items, 15)
    for _ in range(28):
        book.play("item 0")
        book.sleep()
    asked = list_on(book, 10, (item.id for item in items))
    # 10 days at 34 in 35 are 9 practice days of a floor of 8 minutes: 18 of 26 fours.
    (text,) = notes(book.sheet(lists=[asked]))
    assert "104 minutes, and 9 practice days of 15 minutes" in text
    assert text.endswith("18 of 26 exercises are sure to come once more.")
    sooner = list_on(book, 21, (item.id for item in items))
    assert "each exercise once more, not twice" in notes(book.sheet(lists=[sooner]))[0]
    assert notes(book.sheet(lists=[list_on(book, 40, (item.id for item in items))])) == []


def test_a_list_that_was_there_in_time_is_never_called_too_long(diary, keys_by_figures):
    items = keys_by_figures(5)
    book = diary(items, 12)
    asked = list_on(book, 60, (item.id for item in items[:20]))
    chance = random.Random(7)
    while book.day < asked.day:
        sheet = book.practise(lambda _: chance.randint(1, 4), lists=[asked])
        assert not any("can be expected" in text for text in notes(sheet))


def test_two_lists_the_nearer_has_the_floor(diary, keys_by_figures):
    items = keys_by_figures(6)
    book = diary(items, 12)
    concert = list_on(book, 2, (item.id for item in items[:12]), "concert")
    exam = list_on(book, 3, (item.id for item in items[-12:]), "examination")
    rows = book.sheet(lists=[exam, concert]).rows
    assert all(row.item_id in concert.item_ids for row in rows if row.lane is Lane.FLOOR)


def test_leap_day_and_new_year_count_as_the_calendar_says(diary, keys_by_figures):
    book = diary(keys_by_figures(3), 6)
    for year in (2027, 2028, 2100):
        book.day = dt.date(year, 2, 27)
        asked = DatedList("audition", dt.date(year, 3, 2), frozenset({"figure 0 key 0"}))
        days = 4 if calendar.isleap(year) else 3
        rows = book.sheet(lists=[asked]).rows
        reason = next(row.reason for row in rows if row.item_id == "figure 0 key 0")
        assert reason.startswith(f"audition in {days} days")
    book.day = dt.date(2027, 12, 30)
    over = DatedList("audition", dt.date(2028, 1, 2), frozenset({"figure 0 key 0"}))
    assert any(row.reason.startswith("audition in 3 days") for row in book.sheet(lists=[over]).rows)
