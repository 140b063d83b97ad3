"""Whose minutes something new takes: the argument of `rotation/promise.py`, on one sheet."""

import pytest

from generator.rotation.begin import Beginning, New
from generator.rotation.choose import Queue
from generator.rotation.lanes import Stock, choose_rows
from generator.rotation.records import Item

WAITING = {"C": 10, "G": 11, "D": 12}  # each with the moment it was last played


def floor_with(age: int) -> list[str]:
    """The floor of a sheet of four minutes, two of them promised, where B-flat is new since a moment."""
    new = Item("B-flat")
    line = Queue(list(map(Item, WAITING)), list(WAITING.values()), [7, 7, 7], day=3, front=None)
    stock = Stock(
        line=line,
        fresh=Queue([new], [age], [7], day=3, front=None),
        new=(New(age, "2027-01-04", 0, new.tie, 0, 1),),
        budget=4,
        floor=2,
        begin=Beginning(minutes=1, rows=1, promise=1),
    )
    return [row.item.id for row in choose_rows(stock).floor]


@pytest.mark.parametrize(
    ("age", "floor"),
    [(9, ["B-flat", "C"]), (10, ["B-flat", "C", "G"]), (20, ["B-flat", "C", "G"])],
    ids=["before the first who waits", "at the same moment", "after everything"],
)
def test_only_what_came_before_the_first_who_waits_counts_among_the_promised_minutes(age, floor):
    assert floor_with(age) == floor
