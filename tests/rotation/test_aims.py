"""What is to be ready soon comes often, and nothing that waits pays for it."""

import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import Item, Lane
from tests.rotation.test_promise import Waits, items_lists, list_of

EXAMPLES = settings.get_profile("rotation")


@EXAMPLES
@given(items_lists, st.integers(1, 20), st.booleans(), st.randoms(use_true_random=False))
def test_whatever_is_aimed_at_nothing_waits_longer_than_promised(diary, rows, minutes, gently, chance):
    items = list_of(rows)
    book = diary(items, minutes, gently=gently)
    promise = book.sheet().promise
    waits = Waits([item for item in items if item.minutes <= minutes])
    for _ in range(2 * promise + 5):
        aims = {item.id for item in items if chance.random() < 0.3}
        plain, sheet = book.sheet(), book.sheet(aims=aims)
        assert sum(row.minutes for row in sheet.rows) <= minutes
        assert sheet.promise == plain.promise
        if not sheet.rows:
            break
        if not gently:  # nothing is begun by itself: the rows that carry the promise are the very same
            assert marked(sheet) == marked(plain)
        for row in sheet.rows:
            book.play(row.item_id, chance.randint(1, 4))
        assert max(waits.day([row.item_id for row in sheet.rows]).values()) <= promise
        book.sleep()


def marked(sheet):
    return {row.item_id for row in sheet.rows if row.lane is Lane.FLOOR}


def test_an_aim_comes_nearly_every_day_and_takes_a_third_at_most(diary):
    items = [Item(f"figure {number}", 2, key=number % 12, catalogue=number) for number in range(40)]
    aims = {items[7].id, items[20].id, items[33].id, items[34].id}
    book = diary(items, 18)
    for _ in range(20):
        book.practise()
    met = dict.fromkeys(aims, 0)
    for _ in range(10):
        sheet = book.practise(aims=aims)
        need = [row for row in sheet.rows if row.lane is Lane.NEED and row.item_id in aims]
        assert sum(row.minutes for row in need) <= 6
        for row in sheet.rows:
            if row.item_id in aims:
                met[row.item_id] += 1
    # Three of four fit a day's third, so in ten days each comes every other day or oftener; unaided twice in ten.
    assert min(met.values()) >= 5
    assert sum(met.values()) >= 30
    plain = diary(items, 18)
    for _ in range(20):
        plain.practise()
    seen = [row.item_id for _ in range(10) for row in plain.practise().rows]
    assert max(seen.count(one) for one in aims) < 5


def test_an_aim_that_was_never_played_is_begun_first(diary):
    items = [Item(f"figure {number}", 2, key=number % 12, catalogue=number) for number in range(40)]
    book = diary(items, 18, gently=True)
    assert items[33].id not in {row.item_id for row in book.sheet().rows}
    assert items[33].id in {row.item_id for row in book.sheet(aims={items[33].id}).rows}


def test_an_aim_longer_than_a_third_comes_all_the_same_and_says_since_when(diary):
    items = [Item("passage", 8, catalogue=1), *(Item(f"scale {n}", 1, key=n, catalogue=2) for n in range(12))]
    book = diary(items, 16)
    for _ in range(4):
        book.practise()
    sheet = book.sheet(aims={"passage"})
    (row,) = [row for row in sheet.rows if row.item_id == "passage"]
    assert row.reason.startswith("last played ")
    assert "room" not in row.reason
    assert book.day > dt.date(2027, 1, 4)
