"""What has to be logged so that the log knows the list."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import attrgetter

from generator.rotation.records import EventTuple, Item
from generator.rotation.replay import replay
from generator.rotation.settled import Settled


@dataclass(frozen=True, slots=True)
class ListChanges:
    """What differs between the list and the log, each in the order of ties or of ids."""

    entering: tuple[Item, ...]
    leaving: tuple[str, ...]


def list_changes(
    items: Sequence[Item], events: Iterable[EventTuple], today: dt.date, start: Settled | None = None
) -> ListChanges:
    """Compare the list with the log as it stands on `today`.

    An entry ("item_in") puts the new item at the back of the queue from that day; a removal ("item_out")
    keeps what is known of it for the day it comes back.

    Args:
        items: the list as it is now.
        events: the log.
        today: the day the changes would carry.
        start: what was settled from the same log and list; then `events` is only what is dated since.

    Returns:
        The items to log as entering, and the ids to log as leaving.
    """
    events = list(events)
    if start is not None and not events and _as_it_was(items, start):
        return ListChanges((), ())
    # Who is on the list does not hang on any gap, so the ceiling does not matter.
    state = replay(events, today, items, start.ceiling if start else 1, start)
    places, number = state.places, len(items)
    entering: dict[str, Item] = {}
    if None in state.entered[:number] or True in state.absent[:number]:  # seldom, and quickly told
        entering = {item.id: item for item in items if not state.on_list(places[item.id])}
    others = [one for one, place in places.items() if place >= number and state.on_list(place)]
    return ListChanges(tuple(sorted(entering.values(), key=attrgetter("tie"))), tuple(sorted(others)))


def _as_it_was(items: Sequence[Item], start: Settled) -> bool:
    """Whether all of the list had entered, and nothing else; quicker to tell than what differs."""
    number = len(items)
    others = zip(start.entered[number:], start.absent[number:], strict=True)
    return (
        number + len(start.others) == len(start.ages)
        and None not in start.entered[:number]
        and True not in start.absent[:number]
        and not any(day is not None and not gone for day, gone in others)
    )
