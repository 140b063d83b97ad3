"""The promise: its figures, its proof by exhaustion on small lists, and its keeping on random ones."""

import datetime as dt
import itertools
import math
import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import Event, Item, Lane, Theme, best_floor, lengths_of, lower_bound, minutes_needed
from generator.rotation.choose import Queue, floor_lane
from generator.rotation.promise import Floor, floor_at, floor_of_day, minutes_allowed, total_minutes
from tests.fixtures.counted_days import Page, broken, mornings, share_of

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


@pytest.mark.parametrize("length", range(1, 11))
def test_long_is_what_finds_no_room_when_the_floor_is_all_but_full(length):
    """Worked by hand: with 4 of 5 minutes used, 6 more fill a sheet of 10 and 7 are too many."""
    items = [Item("a", 2), Item("b", 2), Item("c", length)]
    queue = Queue(items=items, ages=[2, 4, 6], gaps=[7, 7, 7], day=9, front=None)
    fits = "c" in {candidate.item.id for candidate in floor_lane(queue, budget=10, minutes=5)}
    floor = floor_at(lengths_of([2] * 10 + [length]), budget=10, minutes=5)
    assert (fits, floor.is_long(length), floor.short_days) == (length <= 6, length > 6, int(length > 6))


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


def worst_wait(minutes: tuple[int, ...], budget: int, floor: Floor) -> int:
    """The longest gap that the worst possible need lane brings about, by exhausting what it can do."""
    items = [Item(str(place), minutes=length, catalogue=place) for place, length in enumerate(minutes)]
    start = (0,) * len(minutes)
    seen, edge, worst = {start}, [start], 0
    while edge:
        waits = edge.pop()
        queue = Queue(items, [2 * (100 - wait) for wait in waits], [7] * len(items), 101, None)
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
        assert sheet.promise == promise
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


def page_of(book, sheet, usual, *, gently, whole):
    """What a sheet said."""
    in_order = sorted(book.items, key=lambda item: item.tie)
    fitting = {item.id: item.minutes for item in in_order if item.minutes <= usual}
    marked = frozenset(row.item_id for row in sheet.rows if row.lane is Lane.FLOOR)
    return Page(book.day, fitting, usual, sheet.promise, gently=gently, marked=marked, whole=whole)


def upheaval(book, spare, gone, chance):
    """Now and then the list changes, or a play is taken back, noted late or brought in."""
    if spare and chance.random() < 0.15:
        book.enter([spare.pop() for _ in range(min(len(spare), chance.randint(1, 5)))])
    if len(book.items) > 1 and chance.random() < 0.1:
        gone.append(chance.choice(book.items))
        book.leave(gone[-1].id)
    if gone and chance.random() < 0.15:
        book.enter([gone.pop()])
    plays = [event for event in book.events if event.kind == "play"]
    undone = {event.ref for event in book.events if event.kind == "void"}
    if plays and chance.random() < 0.15:
        last = plays[-chance.randint(1, min(6, len(plays)))]
        if last.seq not in undone:
            book.write("void", ref=last.seq)
    if book.items and chance.random() < 0.15:
        today = book.day
        book.day -= dt.timedelta(days=chance.randint(1, 9))
        book.play(chance.choice(book.items).id)
        book.day = today


@EXAMPLES
@given(
    items_lists,
    st.integers(2, 24),
    st.booleans(),
    st.sampled_from(list(Theme)),
    st.randoms(use_true_random=False),
)
def test_whatever_happens_everything_comes_round_within_the_practice_days_printed(
    diary, rows, usual, gently, theme, chance
):
    items, spare, gone, pages = list_of(rows), list_of(rows[:6], first=100), [], []
    start = chance.randint(1, len(items))
    book = diary(items[:start], usual)
    spare += items[start:]
    for _ in range(chance.randint(5, 70)):
        upheaval(book, spare, gone, chance)
        minutes = usual if chance.random() < 0.6 else chance.randint(1, 2 * usual)
        aims = {item.id for item in book.items if chance.random() < 0.2}
        sheet = book.sheet(minutes=minutes, usual=usual, gently=gently, theme=theme, aims=aims)
        pages.append(page_of(book, sheet, usual, gently=gently, whole=minutes >= usual))
        how = chance.choice(["all", "marked", "some", "some", "none", "other"])
        for row in sheet.rows:
            floor = row.lane is Lane.FLOOR
            if {
                "all": True,
                "marked": floor,
                "some": chance.random() < 0.6,
                "none": False,
                "other": not floor,
            }[how]:
                book.play(row.item_id, chance.randint(1, 4))
        book.sleep(chance.choice([1, 1, 1, 2, 9]))
    days = mornings(book.events)
    for page in pages:
        assert broken(page, days) == []


@EXAMPLES
@given(
    items_lists,
    st.integers(2, 24),
    st.booleans(),
    st.sampled_from(list(Theme)),
    st.randoms(use_true_random=False),
)
def test_a_page_whose_marked_rows_were_all_played_is_a_whole_practice_day(
    diary, rows, usual, gently, theme, chance
):
    items = list_of(rows)
    start = chance.randint(1, len(items))
    book, spare, whole = diary(items[:start], usual), items[start:], 0
    for _ in range(25):
        if spare and chance.random() < 0.2:
            book.enter([spare.pop()])
        minutes = usual + chance.choice([0, 0, 0, 1, 5, usual])
        sheet = book.sheet(minutes=minutes, usual=usual, gently=gently, theme=theme)
        page = page_of(book, sheet, usual, gently=gently, whole=True)
        everything = chance.random() < 0.7
        played = [row.item_id for row in sheet.rows if row.lane is Lane.FLOOR or chance.random() < 0.4]
        for one in played if everything else played[:1]:
            book.play(one, chance.randint(1, 4))
        if everything and page.marked:
            assert share_of(page, mornings(book.events)[-1]) == 1
            whole += 1
        book.sleep(chance.randint(1, 3))


def test_a_promise_of_one_day_less_is_broken():
    """The negative control: what the tests above check is not true of a smaller number."""
    items = [Item(str(place), catalogue=place) for place in range(4)]
    floor = best_floor(lengths_of([1] * 4), 2)
    log = [Event(1 + place, "item_in", "2027-01-04", item.id) for place, item in enumerate(items)]
    days = [dt.date(2027, 1, 4) + dt.timedelta(days=number) for number in range(4)]
    log += [Event(10 + place, "play", day.isoformat(), items[place].id, 3) for place, day in enumerate(days)]
    said = Page(days[0], {item.id: 1 for item in items}, 2, floor.promise)
    assert broken(said, mornings(log)) == []
    assert broken(replace(said, promise=floor.promise - 1), mornings(log)) == ["3"]


def test_counting_days_by_any_play_would_break_it(diary, keys_by_figures):
    """The negative control of what a practice day is: five minutes a day under a plan of twenty."""
    book = diary(keys_by_figures(3), 16)
    first = page_of(book, book.sheet(), 16, gently=False, whole=True)
    for _ in range(first.promise):
        book.practise(minutes=4, usual=16)
    days = mornings(book.events)
    assert len(days) == first.promise
    assert len({item for day in days for item in day.played}) < len(book.items)
    assert sum(share_of(first, day) for day in days) < first.promise
    assert broken(first, days) == []


@EXAMPLES
@given(lengths_lists, st.integers(1, 40), st.integers(0, 60), st.sampled_from(SHARES))
def test_on_a_longer_day_the_floor_is_no_smaller_and_no_more_items_are_long(minutes, usual, more, share):
    lengths = lengths_of(one for one in minutes if one <= usual)
    floor = best_floor(lengths, usual, share)
    day = floor_of_day(floor, usual + more, share)
    assert floor.minutes <= day <= usual + more
    assert usual + more - day >= usual - floor.minutes


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
    assert after.promise == before.promise
