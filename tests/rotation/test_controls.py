"""Rules that look much like ours and must fail: if one of these passes, the tests prove nothing."""

import random

import pytest

from generator.rotation import Item, Lane, best_floor, lengths_of
from generator.rotation.choose import Queue, floor_lane, need_lane
from generator.rotation.gap import FIRST_GAP, gap_ceiling, next_gap


def longest_wait(diary, items, minutes, days, played_of):
    """The longest gap, ended or open, when of each sheet `played_of(sheet)` is played."""
    book = diary(items, minutes)
    last = {item.id: 0 for item in items}
    longest = 0
    promise = book.sheet().promise
    for day in range(1, days + 1):
        played = played_of(book.sheet())
        longest = max(longest, *(day - since for since in last.values()))
        for one in played:
            book.play(one, 2)
            last[one] = day
        book.sleep()
    return longest, promise


def test_leaving_out_the_floor_rows_breaks_the_promise(diary, keys_by_figures):
    items = keys_by_figures(2)
    need_only = lambda sheet: [row.item_id for row in sheet.rows if row.lane is Lane.NEED]  # noqa: E731
    longest, promise = longest_wait(diary, items, 6, 60, need_only)
    assert longest > promise + 30
    everything, promise = longest_wait(diary, items, 6, 60, lambda sheet: [row.item_id for row in sheet.rows])
    assert everything <= promise


def test_one_day_less_than_the_promise_is_broken_by_an_unlucky_player(diary):
    # Two a day of four: the floor takes one. Playing besides it always what was played last leaves the last
    # in line waiting for exactly the promise.
    items = [Item(str(place), catalogue=place) for place in range(4)]
    promise = best_floor(lengths_of([1] * 4), 2).promise
    book = diary(items, 2)
    last = {item.id: 0 for item in items}
    longest = 0
    for day in range(1, 20):
        floor_row = next(row.item_id for row in book.sheet().rows if row.lane is Lane.FLOOR)
        again = [one for one in last if one != floor_row and last[one] > 0]
        longest = max(longest, *(day - since for since in last.values()))
        for one in (floor_row, *sorted(again, key=last.__getitem__)[-1:]):
            book.play(one)
            last[one] = day
        book.sleep()
    assert longest == promise
    assert longest > promise - 1


class Simple:
    """The two lanes without dates or log, so that one of them can be replaced."""

    def __init__(self, items, minutes):
        self.items, self.minutes = items, minutes
        self.since = [0] * len(items)
        self.gaps = [FIRST_GAP] * len(items)
        self.day = 0
        self.floor = best_floor(lengths_of(item.minutes for item in items), minutes)
        self.ceiling = gap_ceiling(self.floor.promise)

    def queue(self):
        return Queue(self.items, [2 * since for since in self.since], self.gaps, self.day, None)

    def play(self, rows, rate):
        for row in rows:
            place = self.items.index(row.item)
            self.gaps[place] = next_gap(
                self.gaps[place], row.waited, rate(row.item), None, None, self.ceiling
            )
            self.since[place] = self.day

    def run(self, days, choose, rate):
        longest = [0] * len(self.items)
        for self.day in range(1, days + 1):
            longest = [max(most, self.day - since) for most, since in zip(longest, self.since, strict=True)]
            self.play(choose(self), rate)
        return longest


def both_lanes(player):
    rows = floor_lane(player.queue(), player.minutes, player.floor.minutes)
    room = player.minutes - sum(row.item.minutes for row in rows)
    return [*rows, *need_lane(player.queue(), room, rows)]


def need_first(player):
    """The floor gets what the need lane leaves: what is longer than that never fits."""
    rows = need_lane(player.queue(), player.minutes - player.floor.minutes, [])
    room = player.minutes - sum(row.item.minutes for row in rows)
    taken = {row.item.id for row in rows}
    return [*rows, *floor_lane(player.queue().without(taken), room, player.floor.minutes)]


def need_only(player):
    return need_lane(player.queue(), player.minutes, [])


def test_filling_the_need_lane_first_loses_the_long_exercise():
    items = [Item("long", 9), *(Item(f"short {one}", 1 + one % 2, catalogue=one + 1) for one in range(12))]
    chance = random.Random(11)
    good = Simple(items, 12).run(120, both_lanes, lambda _: chance.randint(1, 4))
    assert max(good) <= Simple(items, 12).floor.promise
    bad = Simple(items, 12).run(120, need_first, lambda _: chance.randint(1, 4))
    assert bad[0] == 120


@pytest.mark.parametrize("secure", ["one", "all", "none"])
def test_all_strong_all_weak_or_one_strong_among_weak_all_keep_the_promise(secure, keys_by_figures):
    items = keys_by_figures(5)
    strong = {"one": {items[0].id}, "all": {item.id for item in items}, "none": set()}[secure]
    player = Simple(items, 6)
    longest = player.run(400, both_lanes, lambda item: 4 if item.id in strong else 1)
    assert max(longest) <= player.floor.promise == 20


def test_without_a_floor_one_secure_item_among_the_lost_is_forgotten(keys_by_figures):
    items = keys_by_figures(5)
    player = Simple(items, 6)
    longest = player.run(1000, need_only, lambda item: 4 if item.id == items[0].id else 1)
    # Even with gaps held under 4 * 20 it waits many times the promise of 20.
    assert longest[0] > 10 * player.floor.promise
