"""The two lanes: which items go on a sheet.

The floor lane takes whatever has waited longest and nothing may change its order, because the promise rests
on it. The need lane fills the rest by how far past its wanted gap each item is, and spreads the keys round
the circle of fifths, or keeps to the key that runs through the sheet.
"""

import heapq
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from typing import NamedTuple

from generator.rotation.item_table import ItemTable
from generator.rotation.records import KEYS, Item

SAME_KEY, NEIGHBOUR, UNCROWDED = 2, 1, 4
THREAD = 8  # what is in the key of the sheet counts as if it had waited so many times as long


class Candidate(NamedTuple):
    """An item that may come on the sheet, with its wait; the smallest candidate has waited longest.

    `later` is 1 for what stands behind everything else in the floor lane (items outside a dated list that
    has the floor).
    """

    later: int
    age: int
    tie: tuple[int, int, str]
    item: Item
    waited: int
    gap: int

    @property
    def played(self) -> bool:
        """Whether it waits since a play; otherwise since it came on the list.

        >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
        >>> [candidate.played for candidate in floor_lane(queue, budget=2, minutes=2)]
        [True, True]
        """
        return self.age % 2 == 0


@dataclass(frozen=True, slots=True)
class Queue:
    """The list on one morning, in columns: only the few items that can come on the sheet become records.

    Attributes:
        items: every item on the list that fits the budget.
        ages: the age of each, see `replay.State`.
        gaps: the gap of each that is wanted today, practice days.
        day: the practice day that today would be.
        front: ids that have the floor before all others; None if no dated list has it.
        thread: the key that runs through the sheet, or None.
    """

    items: Sequence[Item]
    ages: Sequence[int]
    gaps: Sequence[int]
    day: int
    front: frozenset[str] | None
    thread: int | None = None

    def without(self, ids: Collection[str]) -> "Queue":
        """The queue without some of its items.

        >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
        >>> queue.without({"C"}).ages
        [2]
        """
        return self.where([item_id not in ids for item_id in ItemTable.of(self.items).ids])

    def where(self, stay: Sequence[bool]) -> "Queue":
        """Those of the queue that stay; a truth for each item.

        >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
        >>> queue.where([True, False]).ages
        [6]
        """
        if all(stay):
            return self
        ages, gaps = list(compress(self.ages, stay)), list(compress(self.gaps, stay))
        return replace(self, items=ItemTable.of(self.items).only(stay), ages=ages, gaps=gaps)

    def candidate(self, place: int) -> Candidate:
        """One item as a record.

        >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
        >>> queue.candidate(1).waited
        4
        """
        item, age = self.items[place], self.ages[place]
        later = 0 if self.front is None or item.id in self.front else 1
        return Candidate(
            later=later,
            age=age,
            tie=item.tie,
            item=item,
            waited=self.day - (age >> 1),
            gap=self.gaps[place],
        )


def floor_lane(queue: Queue, budget: int, minutes: int) -> list[Candidate]:
    """The longest waiting, in order, until `minutes` are filled or one does not fit a `budget` of minutes.

    The first that does not fit ends the lane and is first in line next time, when it fits for sure. The lane
    comes before the need lane for that reason: after it, a long item might never find room.

    >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
    >>> [candidate.item.id for candidate in floor_lane(queue, budget=2, minutes=1)]
    ['G']
    """
    lane: list[Candidate] = []
    used = 0
    for candidate in _oldest(queue, minutes + 1):
        if used >= minutes or used + candidate.item.minutes > budget:
            break
        lane.append(candidate)
        used += candidate.item.minutes
    return lane


def _oldest(queue: Queue, number: int) -> list[Candidate]:
    """The first so many in line, in order."""
    table, ages, front = ItemTable.of(queue.items), queue.ages, queue.front
    first: Iterable[int] = range(len(ages))
    if front is None:
        last = max(heapq.nsmallest(number, ages), default=0)
        first = [place for place, age in enumerate(ages) if age <= last]

    def in_line(place: int) -> tuple[bool, int, tuple[int, int, str]]:
        """The order is the same every day: what ended the lane once must stand first the next time."""
        return front is not None and table.ids[place] not in front, ages[place], table.tie(place)

    return list(map(queue.candidate, heapq.nsmallest(number, first, key=in_line)))


def crowding(keys: Counter[int | None], key: int | None) -> int:
    """How crowded the sheet is round a key: 2 for each row in it, 1 for each row a fifth away.

    >>> crowding(Counter([0, 0, 1]), 0), crowding(Counter([0, 0, 1]), 6)
    (5, 0)
    """
    if key is None:
        return 0
    beside = keys[(key + 1) % KEYS] + keys[(key - 1) % KEYS]
    return SAME_KEY * keys[key] + NEIGHBOUR * beside


class _Overdue(NamedTuple):
    """A candidate of the need lane; the smallest comes first, `ratio` being waited / gap made negative."""

    ratio: float
    age: int
    tie: tuple[int, int, str]
    candidate: Candidate


def need_lane(queue: Queue, room: int, taken: Sequence[Candidate]) -> list[Candidate]:
    """The most overdue that fit `room` minutes, given the rows already `taken`.

    The largest waited / gap * 4 / (4 + crowding) comes first; then the larger waited / gap, the longer
    waiting, the tie. Each score is one division of whole numbers, so equal scores are equal exactly. A key that
    runs through the sheet is never crowded; its waits count `THREAD` times.

    >>> queue = Queue(items=[Item("C", key=0), Item("G", key=1)], ages=[6, 2], gaps=[7, 2], day=5, front=None)
    >>> [candidate.item.id for candidate in need_lane(queue, room=1, taken=[])]
    ['G']
    """
    heaps = _shortlists(queue, room, {candidate.item.id for candidate in taken})
    keys = Counter(candidate.item.key for candidate in taken)
    lane: list[Candidate] = []
    while (chosen := _most_overdue(heaps, keys, room, queue.thread)) is not None:
        heapq.heappop(heaps[chosen.item.key])
        lane.append(chosen)
        keys[chosen.item.key] += 1
        room -= chosen.item.minutes
    return lane


def _shortlists(queue: Queue, room: int, taken: set[str]) -> dict[int | None, list[_Overdue]]:
    """For each key a heap of those that can come into question, most overdue first.

    Of one key and one length no more are ever used than fit, and these in order of waited / gap.
    """
    groups: dict[tuple[int | None, int], list[int]] = {}
    table = ItemTable.of(queue.items)
    for place, kind in enumerate(zip(table.keys, table.minutes, strict=True)):
        if kind in groups:
            groups[kind].append(place)
        else:
            groups[kind] = [place]
    heaps: dict[int | None, list[_Overdue]] = {}
    for (key, minutes), group in groups.items():
        if minutes > room:
            continue
        heap = heaps.setdefault(key, [])
        for ratio, place in _most_waiting(queue, group, room // minutes + len(taken)):
            if table.ids[place] not in taken:
                candidate = queue.candidate(place)
                heap.append(_Overdue(ratio, candidate.age, candidate.tie, candidate))
    for heap in heaps.values():
        heapq.heapify(heap)
    return heaps


def _most_waiting(queue: Queue, group: list[int], number: int) -> list[tuple[float, int]]:
    """The first so many of a group by waited / gap (here negative), age and tie."""
    ages, gaps, day = queue.ages, queue.gaps, queue.day
    ratios = [((ages[place] >> 1) - day) / gaps[place] for place in group]
    most = heapq.nsmallest(number, ratios)[-1]
    short = [(ratio, place) for ratio, place in zip(ratios, group, strict=True) if ratio <= most]
    if len(short) <= number:
        return short
    tie = ItemTable.of(queue.items).tie

    def in_line(scored: tuple[float, int]) -> tuple[float, int, tuple[int, int, str]]:
        ratio, place = scored
        return ratio, ages[place], tie(place)

    return heapq.nsmallest(number, short, key=in_line)


def _most_overdue(
    heaps: dict[int | None, list[_Overdue]], keys: Counter[int | None], room: int, thread: int | None
) -> Candidate | None:
    """The best of the best of each key, among those that still fit."""
    best: tuple[float, _Overdue] | None = None
    for key, heap in heaps.items():
        while heap and heap[0].candidate.item.minutes > room:
            heapq.heappop(heap)  # what does not fit now will not fit later on this sheet either
        if heap:
            candidate = heap[0].candidate
            threaded = thread is not None and key == thread
            divisor = candidate.gap * (UNCROWDED + (0 if threaded else crowding(keys, key)))
            times = UNCROWDED * THREAD if threaded else UNCROWDED
            scored = (-(times * candidate.waited / divisor), heap[0])
            best = scored if best is None else min(best, scored)
    if best is None:
        return None
    _, overdue = best
    return overdue.candidate
