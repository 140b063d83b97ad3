"""What has to be logged so that the log knows the list."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import attrgetter

from generator.rotation.item_table import ItemTable
from generator.rotation.records import Event, Item
from generator.rotation.replay import LIST_KINDS, in_order, standing


@dataclass(frozen=True, slots=True)
class ListChanges:
    """What differs between the list and the log, each in the order of ties or of ids."""

    entering: tuple[Item, ...]
    leaving: tuple[str, ...]


def list_changes(items: Sequence[Item], events: Iterable[Event], today: dt.date) -> ListChanges:
    """Compare the list with the log as it stands on `today`.

    An entry ("item_in") puts the new item at the back of the queue from that day; a removal ("item_out")
    keeps what is known of it for the day it comes back.

    Args:
        items: the list as it is now.
        events: the log.
        today: the day the changes would carry.

    Returns:
        The items to log as entering, and the ids to log as leaving.

    >>> from generator.rotation.records import Event
    >>> log = [Event(1, "item_in", "2027-03-01", "G major"), Event(2, "item_in", "2027-03-01", "D major")]
    >>> changes = list_changes([Item("G major"), Item("A major")], log, dt.date(2027, 3, 5))
    >>> [item.id for item in changes.entering], changes.leaving
    (['A major'], ('D major',))
    """
    now = today.isoformat()
    table = ItemTable.of(items)
    changes = in_order(
        event for event in standing(events, now) if event.kind in LIST_KINDS and event.day <= now
    )
    latest = {change.item: change.kind for change in changes if change.item is not None}
    here = {item for item, kind in latest.items() if kind == "item_in"}
    entering = {item: place for place, item in enumerate(table.ids) if item not in here}
    return ListChanges(
        entering=tuple(sorted((table[place] for place in entering.values()), key=attrgetter("tie"))),
        leaving=tuple(sorted(here.difference(table.ids))),
    )
