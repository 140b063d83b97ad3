"""What has to be logged so that the log knows the list."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.rotation.records import EventTuple, Item
from generator.rotation.replay import replay


@dataclass(frozen=True, slots=True)
class ListChanges:
    """What differs between the list and the log, each in the order of ties or of ids."""

    entering: tuple[Item, ...]
    leaving: tuple[str, ...]


def list_changes(items: Sequence[Item], events: Iterable[EventTuple], today: dt.date) -> ListChanges:
    """Compare the list with the log as it stands on `today`.

    An entry ("item_in") puts the new item at the back of the queue from that day; a removal ("item_out")
    keeps what is known of it for the day it comes back.

    Args:
        items: the list as it is now.
        events: the log.
        today: the day the changes would carry.

    Returns:
        The items to log as entering, and the ids to log as leaving.
    """
    state = replay(events, today, (), 1)
    on_log = {one for one, at in state.places.items() if state.entered[at] and not state.absent[at]}
    wanted = {item.id: item for item in items}
    entering = sorted((wanted[one] for one in wanted.keys() - on_log), key=lambda item: item.tie)
    return ListChanges(tuple(entering), tuple(sorted(on_log - wanted.keys())))
