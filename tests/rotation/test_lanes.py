"""The order of ties, the spread round the circle of fifths, and that nothing else decides."""

import random
from collections import Counter
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import Item, Lane, plan_sheet
from generator.rotation.choose import Candidate, Queue, crowding, need_lane

EXAMPLES = settings.get_profile("rotation")


def test_ties_go_through_the_keys_five_fifths_at_a_time_and_end_with_no_key():
    order = sorted((Item(f"{key}", key=key) for key in [*range(12), None]), key=lambda item: item.tie)
    assert [item.key for item in order] == [0, 5, 10, 3, 8, 1, 6, 11, 4, 9, 2, 7, None]


def test_ties_are_catalogue_number_then_key_then_id():
    items = [Item("a", key=7, catalogue=2), Item("c", key=0, catalogue=1), Item("b", key=0, catalogue=1)]
    assert [item.id for item in sorted(items, key=lambda item: item.tie)] == ["b", "c", "a"]


def test_crowding_counts_two_for_the_key_and_one_for_each_neighbour():
    keys = Counter({0: 1, 1: 2, 11: 1, 6: 5, None: 4})
    assert crowding(keys, 0) == 2 * 1 + 2 + 1
    assert crowding(keys, 11) == 2 * 1 + 1
    assert crowding(keys, None) == 0


def queue_of(rows):
    """Rows of (id, key, minutes, waited, gap) on practice day 100."""
    items = [
        Item(name, minutes, key, catalogue=place) for place, (name, key, minutes, _, _) in enumerate(rows)
    ]
    return Queue(items, [2 * (100 - row[3]) for row in rows], [row[4] for row in rows], 100, None)


def test_the_most_overdue_comes_first_and_a_crowded_key_is_put_off():
    queue = queue_of([("late", 0, 1, 20, 10), ("same key", 0, 1, 19, 10), ("far key", 6, 1, 14, 10)])
    assert [row.item.id for row in need_lane(queue, 2, [])] == ["late", "far key"]  # 1.9 * 4/6 < 1.4
    assert [row.item.id for row in need_lane(queue, 3, [])] == ["late", "far key", "same key"]


def test_equal_scores_go_to_the_larger_ratio_then_the_longer_wait():
    # 3/2 * 4/6 beside a row of its own key is exactly 1: the more overdue of the two comes first.
    taken = [Candidate(0, 0, (0, 0, "x"), Item("x", key=0), 1, 1)]
    queue = queue_of([("plain", 6, 1, 8, 8), ("crowded", 0, 1, 9, 6), ("plain, longer", 6, 1, 10, 10)])
    assert [row.item.id for row in need_lane(queue, 3, taken)] == ["crowded", "plain, longer", "plain"]


def test_what_does_not_fit_is_passed_over_in_the_need_lane():
    queue = queue_of([("long", 0, 5, 90, 1), ("short", 1, 2, 2, 7), ("shorter", 2, 1, 1, 7)])
    assert [row.item.id for row in need_lane(queue, 4, [])] == ["short", "shorter"]


@EXAMPLES
@given(st.integers(1, 60), st.integers(1, 25), st.integers(1, 25), st.randoms(use_true_random=False))
def test_the_short_lists_choose_as_the_plain_rule_does(number, room, most, chance):
    rows = [
        (
            str(place),
            chance.choice([None, *range(12)]),
            chance.randint(1, 5),
            chance.randint(1, most),
            chance.randint(1, most),
        )
        for place in range(number)
    ]
    queue = queue_of(rows)
    taken = [queue.candidate(place) for place in range(min(2, number))]
    assert need_lane(queue, room, taken) == plainly(queue, room, taken)


def plainly(queue, room, taken):
    """The rule word for word: look through everything for each row, in fractions."""
    left = [queue.candidate(place) for place in range(len(queue.items))]
    left = [one for one in left if one not in taken]
    keys = Counter(one.item.key for one in taken)
    lane = []
    while True:
        fitting = [one for one in left if one.item.minutes <= room]
        if not fitting:
            return lane
        best = min(
            fitting,
            key=lambda one: (
                -Fraction(4 * one.waited, one.gap * (4 + crowding(keys, one.item.key))),
                -Fraction(one.waited, one.gap),
                one.age,
                one.tie,
            ),
        )
        left.remove(best)
        lane.append(best)
        keys[best.item.key] += 1
        room -= best.item.minutes


@EXAMPLES
@given(st.integers(1, 20), st.randoms(use_true_random=False))
def test_the_order_of_list_and_log_makes_no_difference(diary, minutes, chance):
    items = [
        Item(f"item {one}", chance.randint(1, 4), chance.choice([None, *range(12)]), chance.randint(0, 3))
        for one in range(chance.randint(1, 15))
    ]
    book = diary(items, minutes)
    for _ in range(chance.randint(0, 8)):
        book.practise(lambda _: chance.randint(1, 4))
    sheet = book.sheet()
    chance.shuffle(book.items)
    chance.shuffle(book.events)
    assert book.sheet() == sheet
    # Saved in another order within each date.
    renumbered = [event._replace(seq=1 + place) for place, event in enumerate(book.events)]
    again = plan_sheet(book.items, renumbered, book.day, minutes, rest=0)
    assert again == sheet


def test_the_spread_rule_brings_more_keys_on_a_sheet(diary, keys_by_figures):
    """Against the same list without keys, where nothing is spread."""
    keyed = keys_by_figures(5)
    plain = [Item(item.id, catalogue=place) for place, item in enumerate(keyed)]
    key_of = {item.id: item.key for item in keyed}

    def distinct(items):
        chance = random.Random(22)
        book = diary(items, 12)
        sheets = [book.practise(lambda _: chance.randint(1, 4)) for _ in range(80)]
        return sum(len({key_of[row.item_id] for row in sheet.rows}) for sheet in sheets[10:])

    assert distinct(keyed) > distinct(plain) * 1.1


def test_floor_rows_are_the_oldest_whatever_the_ratings(diary, keys_by_figures):
    book = diary(keys_by_figures(2), 6)
    chance = random.Random(3)
    last = {item.id: (0, item.tie) for item in book.items}
    for day in range(1, 40):
        sheet = book.sheet()
        floor_rows = {row.item_id for row in sheet.rows if row.lane is Lane.FLOOR}
        assert floor_rows == set(sorted(last, key=last.__getitem__)[:3])
        for row in sheet.rows:
            book.play(row.item_id, chance.randint(1, 4))
            last[row.item_id] = (day, last[row.item_id][1])
        book.sleep()
