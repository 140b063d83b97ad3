"""What happens at the edges of lists, logs, days and budgets."""

import calendar
import datetime as dt
import random

import pytest

from generator.errors import RequestError
from generator.rotation import Event, Item, Lane, Topic, list_changes, plan_sheet

DAY = dt.date(2027, 1, 4)


def ids(sheet):
    return [row.item_id for row in sheet.rows]


def texts(sheet, topic):
    return [note.text for note in sheet.notes if note.topic is topic]


def test_an_empty_list_gives_an_empty_sheet_that_says_so():
    sheet = plan_sheet([], [], DAY, 30)
    assert (sheet.rows, sheet.promise, sheet.lower_bound, sheet.load) == ((), 0, 0, 0)
    assert texts(sheet, Topic.NOTHING) == ["The list is empty."]


def test_an_empty_log_gives_the_first_in_the_order_of_ties_in_different_keys(keys_by_figures):
    items = keys_by_figures(4)
    sheet = plan_sheet(items, [], DAY, 6, rest=0)
    assert {row.item_id for row in sheet.rows if row.lane is Lane.FLOOR} == {
        "figure 0 key 0",
        "figure 0 key 5",
        "figure 0 key 10",
    }
    key_of = {item.id: item.key for item in items}
    assert len({key_of[one] for one in ids(sheet)}) == 6
    assert {row.reason for row in sheet.rows} == {"new: the next to begin"}


def test_an_item_longer_than_the_sheet_is_left_out_by_name_and_the_rest_keeps_its_promise(diary):
    short = [Item(f"item {one}", 3, catalogue=one) for one in range(10)]
    with_long = diary([*short, Item("tenths", 20, name="E major in tenths")], 15).sheet()
    assert with_long.too_long == ("tenths",)
    assert "E major in tenths takes 20 minutes" in texts(with_long, Topic.TOO_LONG)[0]
    assert with_long.promise == diary(short, 15).sheet().promise


def test_a_list_of_nothing_but_too_long_items_says_why_it_is_empty(diary):
    sheet = diary([Item("one", 20), Item("two", 30)], 15).sheet()
    assert sheet.rows == ()
    assert sheet.promise == 0
    assert sheet.too_long == ("one", "two")
    assert texts(sheet, Topic.NOTHING) == ["Every exercise of the list takes longer than the sheet."]


def test_an_item_nearly_as_long_as_the_sheet_is_never_passed_over(diary):
    items = [Item("long", 14, catalogue=5), *(Item(f"item {one}", 2, catalogue=one) for one in range(5))]
    book = diary(items, 15)
    promise = book.sheet().promise
    waits = 0
    for _ in range(40):
        sheet = book.practise(lambda _: 1)
        waits = 0 if "long" in ids(sheet) else waits + 1
        assert waits < promise
    assert texts(sheet, Topic.LONG_ITEM)[0].startswith(
        "An exercise of 14 minutes needs a sheet almost to itself"
    )


def test_entries_dated_later_are_counted_and_not_read(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 6)
    book.practise()
    before = book.sheet()
    today = book.day
    book.day += dt.timedelta(days=3)
    book.play("figure 0 key 0", 4)
    book.leave("figure 1 key 0")
    book.items.append(Item("figure 1 key 0", key=0, catalogue=1))
    book.day = today
    after = book.sheet()
    assert after.rows == before.rows
    assert (before.future_entries, after.future_entries) == (0, 2)
    assert texts(after, Topic.LOG) == [
        "2 entries of the log are dated later than this sheet and were not read."
    ]
    book.sleep(4)
    assert "figure 1 key 0" not in ids(book.sheet(minutes=24))
    assert book.sheet().future_entries == 0


def test_a_sheet_for_a_past_date_is_the_sheet_of_that_date(diary, keys_by_figures):
    book = diary(keys_by_figures(3), 6)
    seen = []
    chance = random.Random(5)
    for _ in range(30):
        seen.append((book.day, book.sheet().rows))
        book.practise(lambda _: chance.randint(1, 4))
        book.sleep(chance.randint(0, 2))
    for day, rows in seen:
        book.day = day
        assert book.sheet().rows == rows


@pytest.mark.parametrize("day", ["2027-02-29", "2027-13-01", "2027-1-01", "", "20270101", "2027-01-01 "])
def test_a_day_that_is_none_is_refused(day):
    with pytest.raises(RequestError, match="no day of the calendar"):
        plan_sheet([Item("a")], [Event(1, "item_in", day, "a")], DAY, 10)


def test_waits_over_leap_days_and_year_ends_are_those_of_the_calendar():
    # The standard library's own count of days is the outside check.
    for played, today in [
        ("2028-02-28", "2028-03-01"),
        ("2027-12-31", "2028-01-01"),
        ("2096-02-28", "2104-03-01"),
    ]:
        first, last = dt.date.fromisoformat(played), dt.date.fromisoformat(today)
        sheet = plan_sheet([Item("a")], [Event(1, "play", played, "a", 3)], last, 10)
        days = last.toordinal() - first.toordinal()
        leaps = calendar.leapdays(first.year, last.year + 1)
        assert sheet.rows[0].waited_days == days
        assert leaps == (1 if first.year == 2028 or last.year == 2028 else 2 if first.year == 2096 else 0)
        assert sheet.rows[0].waited_practice_days == 1
    assert plan_sheet([Item("a")], [Event(1, "item_in", "2028-02-29", "a")], dt.date(2028, 2, 29), 10).rows


def test_the_first_and_the_last_day_of_the_calendar_are_days_like_others():
    for day in (dt.date.min, dt.date.max):
        assert ids(plan_sheet([Item("a")], [Event(1, "item_in", day.isoformat(), "a")], day, 10)) == ["a"]


def test_the_second_sheet_of_a_day_has_what_the_first_had_not(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 9)
    first, second, third = (book.sheet(number=number) for number in (1, 2, 3))
    everything = ids(first) + ids(second) + ids(third)
    assert len(first.rows) == len(second.rows) == 9
    assert sorted(everything) == sorted(item.id for item in book.items)
    fourth = book.sheet(number=4)
    assert fourth.rows == ()
    assert texts(fourth, Topic.NOTHING) == ["Everything that fits has been on a sheet today."]
    assert fourth.promise == first.promise
    assert ids(book.sheet(already=ids(first))) == ids(second)


def test_the_first_sheet_printed_again_after_half_of_it_was_logged_is_the_same(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 8)
    book.practise()
    sheet = book.sheet()
    for one in ids(sheet)[:4]:
        book.play(one, 1)
    assert book.sheet() == sheet
    assert ids(book.sheet(number=2)) == ids(book.sheet(already=ids(sheet)))


def test_of_a_half_played_sheet_the_floor_rows_left_come_first_next_time(diary, keys_by_figures):
    book = diary(keys_by_figures(4), 8)
    book.practise()
    floor_rows = [row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR]
    book.play(floor_rows[0])
    book.sleep()
    assert set(floor_rows[1:]) < {row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR}


def test_the_same_item_twice_on_a_date_is_one_practice_day_and_a_wait_of_one(diary):
    book = diary([Item("a"), Item("b", catalogue=1)], 2)
    book.sleep(4)
    book.play("a", 3)
    book.play("a", 4)
    book.sleep()
    waited = {row.item_id: row.waited_practice_days for row in book.sheet().rows}
    gaps = {row.item_id: row.gap for row in book.sheet().rows}
    assert waited == {"a": 1, "b": 2}
    # 7 after the first; the second, easy after a wait of one, adds a day.
    assert gaps["a"] == 8


def test_within_a_date_the_order_of_saving_counts_and_not_the_order_of_reading(diary):
    book = diary([Item("a"), Item("b", catalogue=1)], 2)
    book.sleep(8)
    book.play("b")
    book.sleep()
    book.leave("a")
    book.enter([Item("a")])
    book.play("a", 4)
    book.play("a", 1)
    book.sleep()
    sheet = book.sheet()
    assert {row.item_id: row.gap for row in sheet.rows} == {"a": 1, "b": 7}
    book.events.reverse()
    assert book.sheet() == sheet


def test_a_play_of_something_not_on_the_list_moves_the_day_and_is_remembered(diary, keys_by_figures):
    book = diary(keys_by_figures(1), 4)
    book.play("a march", 1)
    book.sleep()
    assert {row.waited_practice_days for row in book.sheet().rows} == {2}
    book.enter([Item("a march")])
    marched = next(row for row in book.sheet(minutes=13).rows if row.item_id == "a march")
    assert marched.gap == 1
    assert "last played 1 day ago" in marched.reason


def test_removed_and_put_back_goes_to_the_back_and_keeps_its_gap(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 4)
    for _ in range(3):
        book.practise(lambda _: 4)
    gone = next(item for item in book.items if item.id == "figure 0 key 0")
    gap_before = next(row.gap for row in book.sheet(minutes=24).rows if row.item_id == gone.id)
    assert gap_before > 7
    book.leave(gone.id)
    book.sleep(2)
    assert gone.id not in ids(book.sheet(minutes=24))
    book.practise()
    book.enter([gone])
    back = next(row for row in book.sheet(minutes=24).rows if row.item_id == gone.id)
    assert back.gap == gap_before
    assert back.waited_practice_days == 1
    assert back.waited_days == (book.day - DAY).days  # the true last play, on the first day
    for _ in range(3):
        assert gone.id not in [row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR]
        book.practise()


def test_a_second_entry_of_what_is_on_the_list_does_not_send_it_back(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 4)
    book.practise()
    before = book.sheet()
    book.write("item_in", before.rows[0].item_id)
    assert book.sheet() == before


def test_a_play_taken_back_is_as_if_it_had_never_been(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 4)
    book.practise()
    before = book.sheet()
    mistaken = book.play("figure 1 key 7", 1)
    book.sleep()
    changed = book.sheet()
    assert changed.rows != before.rows
    book.write("void", ref=mistaken.seq)
    after = book.sheet()
    assert ids(after) == ids(before)
    # It was the only play of its date, so the practice day is gone too.
    assert [row.waited_practice_days for row in after.rows] == [
        row.waited_practice_days for row in before.rows
    ]


def test_what_is_taken_back_later_still_counts_on_the_days_before(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 4)
    play = book.play("figure 0 key 0", 1)
    book.sleep()
    then, sheet = book.day, book.sheet()
    book.sleep(5)
    book.write("void", ref=play.seq)
    reasons = {row.item_id: row.reason for row in book.sheet(minutes=24).rows}
    assert reasons["figure 0 key 0"].startswith("new: ")
    book.day = then
    assert book.sheet().rows == sheet.rows


def test_a_bulk_import_of_600_delays_nobody_and_is_told(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 6)
    for _ in range(8):
        book.practise()
    before = book.sheet()
    book.enter(Item(f"new {one}", key=one % 12, catalogue=-1 - one) for one in range(600))
    after = book.sheet()
    floor_of = [{row.item_id for row in sheet.rows if row.lane is Lane.FLOOR} for sheet in (before, after)]
    assert floor_of[0] == floor_of[1]
    assert (before.promise, after.promise) == (8, 208)  # 24 and 624 over a floor of 3


def test_the_promise_goes_by_the_usual_minutes_whatever_this_day_has(diary, keys_by_figures):
    book = diary(keys_by_figures(5), 20)
    for _ in range(8):
        book.practise()
    for minutes in (4, 20, 60):
        assert book.sheet(minutes=minutes, usual=20).promise == 6
    assert book.sheet(minutes=4).promise == 30


def test_an_item_the_log_never_heard_of_is_there_from_the_start_and_not_forgotten(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 4)
    for _ in range(10):
        book.practise()
    book.items.append(Item("unlogged", catalogue=99))
    assert "unlogged" in [row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR]


def test_list_changes_tell_what_to_log(diary, keys_by_figures):
    book = diary(keys_by_figures(1), 4)
    assert list_changes(book.items, book.events, book.day).entering == ()
    new = Item("new", catalogue=3)
    changes = list_changes([*book.items[2:], new], book.events, book.day)
    assert [item.id for item in changes.entering] == ["new"]
    assert changes.leaving == ("figure 0 key 0", "figure 0 key 1")
    assert len(list_changes(book.items, [], book.day).entering) == 12
    book.leave("figure 0 key 0")
    book.enter([Item("figure 0 key 0", key=0)])
    assert list_changes(book.items, book.events, book.day).entering == ()


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: Item("a", minutes=0), "minutes"),
        (lambda: Item("a", key=12), "key position"),
        (lambda: Item("a", at_least_every=0), "every 0 days"),
        (lambda: plan_sheet([Item("a"), Item("a", catalogue=2)], [], DAY, 10), "twice"),
        (lambda: plan_sheet([Item("a")], [], DAY, 0), "leave nothing"),
        (lambda: plan_sheet([Item("a")], [], DAY, 10, rest=10), "leave nothing"),
        (lambda: plan_sheet([Item("a")], [], DAY, 10, share=0), "share"),
        (lambda: plan_sheet([Item("a")], [], DAY, 10, wished=0), "at least 1"),
        (lambda: plan_sheet([Item("a")], [], DAY, 10, number=0), "numbered from 1"),
    ],
)
def test_impossible_numbers_are_refused_in_one_line(call, word):
    with pytest.raises(RequestError, match=word) as caught:
        call()
    assert "\n" not in str(caught.value)


def test_a_wish_of_the_player_shortens_a_gap_and_never_lengthens_it(diary):
    items = [Item("often", at_least_every=3), Item("seldom", at_least_every=30, catalogue=1)]
    assert {row.item_id: row.gap for row in diary(items, 2).sheet().rows} == {"often": 3, "seldom": 7}
