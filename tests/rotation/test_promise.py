"""The promise: its figures, its proof by exhaustion on small lists, and its keeping on random ones."""

import itertools
import math
import random
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import Item, Lane, best_floor, lengths_of, lower_bound, minutes_needed
from generator.rotation.choose import Queue, floor_lane
from generator.rotation.promise import Floor, floor_at, minutes_allowed, outlook, total_minutes

EXAMPLES = settings.get_profile("rotation")
SHARES = (Fraction(1, 3), Fraction(1, 2), Fraction(2, 3), Fraction(1))


@pytest.mark.parametrize(
    ("items", "a_day", "bound", "promise"),
    # Worked by hand: the bound is the list over the day, the promise the list over half the day.
    [
        (24, 6, 4, 8),
        (24, 12, 2, 4),
        (24, 20, 2, 3),
        (60, 6, 10, 20),
        (60, 12, 5, 10),
        (60, 20, 3, 6),
        (180, 6, 30, 60),
        (180, 20, 9, 18),
        (600, 6, 100, 200),
        (600, 12, 50, 100),
        (1, 1, 1, 1),
    ],
)
def test_exercises_of_one_length_wait_the_list_over_half_the_day(items, a_day, bound, promise):
    lengths = Counter({1: items})
    assert lower_bound(lengths, a_day) == bound
    assert best_floor(lengths, a_day).promise == promise


@pytest.mark.parametrize(
    ("share", "promise"),
    # (412 - 1) // R + 1 with R = 5, 8, 10: worked by hand.
    [(Fraction(1, 3), 83), (Fraction(1, 2), 52), (Fraction(2, 3), 42)],
)
def test_a_list_of_412_minutes_at_fifteen_a_day(share, promise):
    lengths = Counter({1: 12, 2: 50, 3: 100})
    assert total_minutes(lengths) == 412
    assert best_floor(lengths, 15, share).promise == promise
    assert lower_bound(lengths, 15) == 28
    assert minutes_needed(lengths, 14) == 59
    assert minutes_allowed(best_floor(lengths, 15), 1, 14) == 112


def test_one_item_nearly_as_long_as_the_budget_costs_its_minutes_and_a_day_not_a_factor():
    short = Counter({1: 12, 2: 50, 3: 100})
    with_long = short + Counter({14: 1})
    before, after = best_floor(short, 15), best_floor(with_long, 15)
    assert before.promise == 52
    assert after.promise <= 52 + math.ceil(14 / before.minutes) + 1
    # The simple remedy, a floor that always leaves room for the longest, would multiply the promise.
    assert floor_at(with_long, 15, 15 - 14 + 1).promise == 213


def test_a_smaller_floor_is_taken_only_where_it_promises_more():
    lengths = Counter({9: 6, 1: 6})
    asked, best = floor_at(lengths, 16, 16), best_floor(lengths, 16, Fraction(1))
    assert best.minutes == 8
    assert best.promise < asked.promise
    assert best_floor(Counter({1: 60}), 12).minutes == 6


def test_an_empty_list_promises_nothing_and_divides_by_nothing():
    assert best_floor(Counter(), 15).promise == 0
    assert lower_bound(Counter(), 15) == 0
    assert minutes_needed(Counter(), 5) == 0


lengths_lists = st.lists(st.integers(1, 12), min_size=1, max_size=30)


@EXAMPLES
@given(lengths_lists, st.integers(1, 40), st.sampled_from(SHARES))
def test_minutes_needed_is_the_exact_inverse(minutes, wished, share):
    lengths = lengths_of(minutes)
    needed = minutes_needed(lengths, wished, share)
    assert best_floor(lengths, needed, share).promise <= wished
    for fewer in range(max(minutes), needed):
        assert best_floor(lengths, fewer, share).promise > wished


@EXAMPLES
@given(lengths_lists, st.integers(1, 40), st.integers(12, 60))
def test_a_list_cut_to_the_minutes_allowed_keeps_the_wish(minutes, wished, budget):
    floor = best_floor(lengths_of(minutes), budget)
    allowed = minutes_allowed(floor, min(minutes), wished)
    left = sorted(minutes)
    while sum(left) > allowed:
        left.pop()
    if left:
        assert floor_at(lengths_of(left), budget, floor.minutes).promise <= wished


@EXAMPLES
@given(lengths_lists, st.integers(12, 60), st.sampled_from(SHARES))
def test_no_promise_is_below_the_bound_and_the_best_floor_beats_or_equals_the_asked_one(
    minutes, budget, share
):
    lengths = lengths_of(minutes)
    best = best_floor(lengths, budget, share)
    assert best.promise >= lower_bound(lengths, budget)
    assert best.promise <= floor_at(lengths, budget, math.ceil(budget * share)).promise


def longest_gap_of_any_schedule(minutes: tuple[int, ...], budget: int) -> int:
    """The smallest longest gap that any schedule reaches for ever, by exhausting all of them."""
    sheets = [
        chosen
        for size in range(len(minutes) + 1)
        for chosen in itertools.combinations(range(len(minutes)), size)
        if sum(minutes[one] for one in chosen) <= budget
    ]
    for gap in itertools.count(1):
        # States are the waits so far; those from which every sheet breaks the gap are taken away until
        # none is left or some can go on for ever.
        alive = set(itertools.product(range(gap), repeat=len(minutes)))
        while alive:
            stay = {
                waits
                for waits in alive
                if any(
                    tuple(0 if one in sheet else wait + 1 for one, wait in enumerate(waits)) in alive
                    for sheet in sheets
                )
            }
            if stay == alive:
                return gap
            alive = stay
    raise AssertionError


@pytest.mark.parametrize(
    ("minutes", "budget"), [((1, 1, 1), 1), ((1, 1, 1, 1), 2), ((1, 1, 1), 2), ((2, 2, 1), 3), ((3, 2, 2), 4)]
)
def test_the_lower_bound_against_every_schedule_there_is(minutes, budget):
    best = longest_gap_of_any_schedule(minutes, budget)
    assert lower_bound(lengths_of(minutes), budget) <= best
    if set(minutes) == {1}:
        assert lower_bound(lengths_of(minutes), budget) == best
    assert best <= best_floor(lengths_of(minutes), budget).promise


def worst_wait(minutes: tuple[int, ...], budget: int, floor: Floor, start: tuple[int, ...] = ()) -> int:
    """The longest gap that the worst possible need lane brings about, by exhausting what it can do.

    On the way it is checked that the promise for now never rises and never turns out too small.
    """
    items = [Item(str(place), minutes=length, catalogue=place) for place, length in enumerate(minutes)]
    start = start or (0,) * len(minutes)
    seen, edge, worst = {start}, [start], 0

    def queue_of(waits: tuple[int, ...]) -> Queue:
        return Queue(items, [2 * (100 - wait) for wait in waits], [7] * len(items), 101, None)

    def promised_now(waits: tuple[int, ...]) -> int:
        return outlook(items, queue_of(waits).by_age(), 101, floor).promise_now

    while edge:
        waits = edge.pop()
        queue, now = queue_of(waits), promised_now(waits)
        assert max(waits) + 1 <= now
        lane = [int(row.item.id) for row in floor_lane(queue, budget, floor.minutes)]
        room = budget - sum(minutes[one] for one in lane)
        others = [one for one in range(len(minutes)) if one not in lane]
        worst = max(worst, *(waits[one] + 1 for one in range(len(minutes))))
        for size in range(len(others) + 1):
            for more in itertools.combinations(others, size):
                if sum(minutes[one] for one in more) > room:
                    continue
                played = {*lane, *more}
                after = tuple(0 if one in played else wait + 1 for one, wait in enumerate(waits))
                if after not in seen:
                    assert max(after) < 50, "an item is never played"
                    assert promised_now(after) <= now
                    seen.add(after)
                    edge.append(after)
    return worst


SMALL = [
    (minutes, budget)
    for number in (2, 3, 4)
    for minutes in itertools.combinations_with_replacement(range(1, 5), number)
    for budget in (max(minutes), max(minutes) + 1, 6)
]


def test_the_promise_against_every_need_lane_there_is():
    attained = 0
    chance = random.Random(11)
    for minutes, budget in [*chance.sample(SMALL, 60), ((1, 1, 1, 1), 2), ((1, 1, 1), 2)]:
        floor = best_floor(lengths_of(minutes), budget)
        worst = worst_wait(minutes, budget, floor)
        assert worst <= floor.promise, (minutes, budget)
        attained += worst == floor.promise
    # So no smaller number can be promised in general.
    assert attained > 0


def test_the_promise_for_now_against_every_need_lane_there_is():
    chance = random.Random(22)
    settled = 0
    for minutes, budget in chance.sample(SMALL, 60):
        for share in (Fraction(1, 2), Fraction(1)):
            floor = floor_at(lengths_of(minutes), budget, math.ceil(budget * share))
            start = tuple(chance.randint(0, 9) for _ in minutes)
            settled += worst_wait(minutes, budget, floor, start) > floor.promise
    assert settled > 0


def test_the_floor_stops_at_the_first_that_does_not_fit():
    items = [
        Item(name, minutes, catalogue=place)
        for place, (name, minutes) in enumerate([("a", 2), ("b", 5), ("c", 1)])
    ]
    queue = Queue(items, [2, 2, 2], [7, 7, 7], 9, None)
    assert [row.item.id for row in floor_lane(queue, 6, 6)] == ["a"]
    assert [row.item.id for row in floor_lane(queue, 7, 6)] == ["a", "b"]
    assert [row.item.id for row in floor_lane(queue, 8, 8)] == ["a", "b", "c"]


items_lists = st.lists(
    st.builds(
        lambda minutes, key, heavy, every: (minutes, key, heavy, every),
        st.integers(1, 9),
        st.one_of(st.none(), st.integers(0, 11)),
        st.booleans(),
        st.one_of(st.none(), st.integers(1, 5)),
    ),
    min_size=1,
    max_size=14,
)


def list_of(rows, first=0):
    return [
        Item(f"item {first + place}", minutes, key, catalogue=place % 3, heavy=heavy, at_least_every=every)
        for place, (minutes, key, heavy, every) in enumerate(rows)
    ]


class Waits:
    """Practice days since each item was played or came on the list."""

    def __init__(self, items):
        self.since = {item.id: 0 for item in items}
        self.index = 0

    def day(self, played):
        """One practice day; the longest gap that ended or is still open on it."""
        self.index += 1
        gaps = {one: self.index - since for one, since in self.since.items()}
        self.since.update((one, self.index) for one in played if one in self.since)
        return gaps


@EXAMPLES
@given(items_lists, st.integers(1, 20), st.sampled_from(SHARES), st.randoms(use_true_random=False))
def test_nothing_ever_waits_longer_than_promised(diary, rows, minutes, share, chance):
    items = list_of(rows)
    book = diary(items, minutes, share=share)
    promise = book.sheet().promise
    waits = Waits([item for item in items if item.minutes <= minutes])
    for _ in range(3 * promise + 5):
        if chance.random() < 0.3:
            book.sleep(chance.randint(1, 40))  # days off
        sheet = book.sheet()
        assert sheet.promise == sheet.promise_now == promise
        assert sum(row.minutes for row in sheet.rows) <= minutes
        # The floor rows are played, of the others some, and something out of turn now and then.
        played = [row.item_id for row in sheet.rows if row.lane is Lane.FLOOR or chance.random() < 0.5]
        played += [chance.choice(items).id for _ in range(chance.randint(0, 2))]
        chance.shuffle(played)
        for one in played:
            book.play(one, chance.randint(1, 4), chance.choice([None, 40, 80]), chance.choice([None, 60]))
        if promise == 0:
            assert not sheet.rows  # nothing fits
            break
        assert max(waits.day(played).values()) <= promise
        book.sleep()


@EXAMPLES
@given(
    items_lists,
    st.integers(2, 20),
    st.integers(2, 20),
    st.randoms(use_true_random=False),
)
def test_after_any_upheaval_the_promise_for_now_is_kept_and_never_rises(diary, rows, minutes, later, chance):
    book = diary(list_of(rows[:5]), minutes)
    spare = list_of(rows[5:], first=5)
    gone = []
    for _ in range(chance.randint(0, 25)):  # half-played sheets, comings and goings, changes of budget
        sheet = book.sheet(minutes=chance.randint(1, 20))
        for row in sheet.rows:
            if chance.random() < 0.5:
                book.play(row.item_id, chance.randint(1, 4))
        book.sleep(chance.randint(0, 3))
        if spare and chance.random() < 0.3:
            book.enter([spare.pop()])
        if book.items and chance.random() < 0.2:
            gone.append(chance.choice(book.items))
            book.leave(gone[-1].id)
        if gone and chance.random() < 0.2:
            book.enter([gone.pop()])
    book.sleep()
    first = book.sheet(minutes=later)
    waits = Waits([])
    waits.since = {
        item.id: 1 - wait
        for item, wait in zip(book.items, waited_of(book), strict=True)
        if item.minutes <= later
    }
    before = first.promise_now
    for _ in range(first.promise_now + first.promise + 2):
        sheet = book.sheet(minutes=later)
        assert sheet.promise == first.promise
        assert first.promise <= sheet.promise_now <= before
        before = sheet.promise_now
        floor_rows = [row.item_id for row in sheet.rows if row.lane is Lane.FLOOR]
        for one in floor_rows:
            book.play(one, chance.randint(1, 4))
        if not floor_rows:
            break
        assert max(waits.day(floor_rows).values()) <= first.promise_now
        book.sleep()
    else:
        assert before == first.promise


def waited_of(book):
    """The waits of the items of a diary as a sheet that holds everything shows them."""
    everything = sum(item.minutes for item in book.items)
    rows = book.sheet(minutes=max(1, everything)).rows
    waited = {row.item_id: row.waited_practice_days for row in rows}
    return [waited[item.id] for item in book.items]


@EXAMPLES
@given(items_lists, st.integers(9, 20), st.integers(1, 40), st.randoms(use_true_random=False))
def test_a_bulk_import_delays_nobody_who_is_waiting(diary, rows, minutes, new, chance):
    book = diary(list_of(rows), minutes)
    for _ in range(chance.randint(1, 12)):
        book.practise(lambda _: chance.randint(1, 4))
    left = {item.id for item in book.items}
    # Catalogue numbers below all others: by the tie alone the new ones would be first.
    book.enter([Item(f"new {one}", 1 + one % 9, catalogue=-1) for one in range(new)])
    while left:
        floor_rows = {row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR}
        assert left <= floor_rows or all(one in left for one in floor_rows)
        for one in floor_rows:
            book.play(one)
        left -= floor_rows
        book.sleep()


def test_a_sixty_day_holiday_changes_neither_sheet_nor_promise(diary, keys_by_figures):
    book = diary(keys_by_figures(4), 8)
    for day in range(20):
        book.practise(lambda one, day=day: 1 + (day + len(one)) % 4)
    before = book.sheet()
    book.sleep(60)
    after = book.sheet()
    assert [(row.item_id, row.lane) for row in after.rows] == [(row.item_id, row.lane) for row in before.rows]
    assert (after.promise, after.promise_now) == (before.promise, before.promise_now)
