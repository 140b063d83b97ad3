"""All rows of one sheet: what is begun, the floor, the need lane."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from generator.rotation.begin import Beginning, New, first_new
from generator.rotation.choose import Candidate, Queue, floor_lane, need_lane
from generator.rotation.item_table import ItemTable
from generator.rotation.promise import THIRD


@dataclass(frozen=True, slots=True)
class Chosen:
    """The rows of a sheet, not in playing order.

    Attributes:
        floor: those that carry the promise.
        need: the others.
    """

    floor: tuple[Candidate, ...]
    need: tuple[Candidate, ...]

    @property
    def ids(self) -> set[str]:
        """Of all rows."""
        return {candidate.item.id for candidate in (*self.floor, *self.need)}


@dataclass(frozen=True, slots=True)
class Stock:
    """What is there to fill one sheet from.

    Attributes:
        line: what was begun, or the whole list where nothing is begun by itself.
        fresh: what was never played and has not come into the line; the first to be begun being the smallest.
        new: the records of these, by their rows.
        budget: minutes of playing.
        floor: minutes of the floor.
        begin: minutes and rows for what is new.
        upkeep: ids of which one at least is to come, if there is any.
        aims: ids of what is to be ready soon.
    """

    line: Queue
    fresh: Queue
    new: tuple[New, ...]
    budget: int
    floor: int
    begin: Beginning
    upkeep: frozenset[str] = frozenset()
    aims: frozenset[str] = frozenset()

    def without(self, ids: Collection[str]) -> "Stock":
        """The same without some items.

        >>> from generator.rotation.begin import beginning
        >>> from generator.rotation.records import Item
        >>> queue = Queue(items=[Item("C"), Item("G")], ages=[4, 2], gaps=[7, 7], day=3, front=None)
        >>> none, begin = queue.where([False, False]), beginning({}, 2)
        >>> stock = Stock(line=queue, fresh=none, new=(), budget=2, floor=1, begin=begin)
        >>> stock.without({"C"}).line.ages
        [2]
        """
        if not ids:
            return self
        fresh = self.fresh.without(ids)
        new = new_in(fresh, {one.tie: (one.entered, one.rank) for one in self.new})
        return replace(self, line=self.line.without(ids), fresh=fresh, new=new)


def new_in(fresh: Queue, known: dict[tuple[int, int, str], tuple[str, int]]) -> tuple[New, ...]:
    """The records of what was never played; `known` has for each tie the day of its entry and its rank.

    >>> from generator.rotation.begin import beginning
    >>> from generator.rotation.records import Item
    >>> queue = Queue(items=[Item("C", key=0)], ages=[1], gaps=[7], day=3, front=None)
    >>> [new.rank for new in new_in(queue, {Item("C", key=0).tie: ("2027-01-04", 5)})]
    [5]
    """
    table = ItemTable.of(fresh.items)
    ties = map(table.tie, range(len(table)))
    return tuple(
        New(age, *known[tie], tie, place, minutes)
        for place, (age, tie, minutes) in enumerate(zip(fresh.ages, ties, table.minutes, strict=True))
    )


def choose_rows(stock: Stock) -> Chosen:
    """Fill one sheet.

    >>> from generator.rotation.begin import beginning
    >>> from generator.rotation.records import Item
    >>> queue = Queue(items=[Item("C"), Item("G")], ages=[4, 2], gaps=[7, 7], day=3, front=None)
    >>> none, begin = queue.where([False, False]), beginning({}, 2)
    >>> stock = Stock(line=queue, fresh=none, new=(), budget=2, floor=1, begin=begin)
    >>> [[row.item.id for row in lane] for lane in (choose_rows(stock).floor, choose_rows(stock).need)]
    [['G'], ['C']]
    """
    begun = _begun(stock)
    used = sum(candidate.item.minutes for candidate in begun)
    floor = begun + floor_lane(stock.line, stock.budget - used, stock.floor - _credit(stock.line, begun))
    room = stock.budget - sum(candidate.item.minutes for candidate in floor)
    need: list[Candidate] = []
    if stock.upkeep and not any(candidate.item.id in stock.upkeep for candidate in floor):
        kept = [item_id in stock.upkeep for item_id in ItemTable.of(stock.line.items).ids]
        need += need_lane(stock.line.where(kept), room, floor)[:1]
        room -= sum(candidate.item.minutes for candidate in need)
    aimed = _aimed(stock, room, (*floor, *need))
    need += aimed
    need += need_lane(stock.line, room - _minutes(aimed), (*floor, *need))
    need += _more(stock, (*floor, *need), stock.budget - _minutes((*floor, *need)))
    return Chosen(floor=tuple(floor), need=tuple(need))


def _minutes(rows: Sequence[Candidate]) -> int:
    return sum(candidate.item.minutes for candidate in rows)


def _aimed(stock: Stock, room: int, taken: Sequence[Candidate]) -> list[Candidate]:
    """What is to be ready soon, the most overdue first: a third of the sheet with what is taken, but one at least.

    It fills what the floor leaves, so that nothing that carries the promise gives way to it.
    """
    if not stock.aims:
        return []
    here = [item_id in stock.aims for item_id in ItemTable.of(stock.line.items).ids]
    had = sum(candidate.item.minutes for candidate in taken if candidate.item.id in stock.aims)
    third = stock.budget // THIRD - had
    found = need_lane(stock.line.where(here), min(room, third), taken) if third > 0 else []
    return found or ([] if had else need_lane(stock.line.where(here), room, taken)[:1])


def _begun(stock: Stock) -> list[Candidate]:
    """What is new on the floor, beside the head of the line."""
    if not stock.new:
        return []
    head = floor_lane(stock.line, stock.budget, 1)
    room = stock.budget - _minutes(head)
    chosen = first_new(stock.new, min(stock.begin.minutes, room), stock.begin.rows)
    return [stock.fresh.candidate(new.place) for new in chosen]


def _credit(line: Queue, begun: Sequence[Candidate]) -> int:
    """Minutes of new items that came on the list before the head of the line was last played."""
    head = min(line.ages, default=None)
    if head is None:
        return 0
    return sum(candidate.item.minutes for candidate in begun if candidate.age < head)


def _more(stock: Stock, taken: Sequence[Candidate], room: int) -> list[Candidate]:
    """New items in whatever room is left: any number where there is nothing else, else within a third of the rows."""
    if not stock.new or room < 1:
        return []
    gone = {candidate.item.id for candidate in taken}
    here = {new.tie[-1] for new in stock.new}
    rows = room
    if len(gone - here) < len(stock.line.items):
        rows = (len(gone) - THIRD * len(gone & here)) // (THIRD - 1)
    left = [new for new in stock.new if new.tie[-1] not in gone]
    return [stock.fresh.candidate(new.place) for new in first_new(left, room, max(0, rows))]
