"""What today's list changes in the log, and what the log has of today."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation import Event, Item, list_changes

_LIST_KINDS = ("item_in", "item_out", "void")


def played_on(events: Sequence[Event], day: dt.date) -> set[str]:
    """Ids of what was played on a day and not taken back."""
    today = day.isoformat()
    played = {event.seq: event.item for event in events if event.day == today and event.kind == "play"}
    gone = {event.ref for event in events if event.kind == "void"} if played else set()
    return {item for seq, item in played.items() if item and seq not in gone}


def record_changes(
    log: PracticeLog,
    items: Sequence[Item],
    events: Sequence[Event],
    day: dt.date,
    clock: dt.date,
    recorded_at: str,
    instrument: str,
) -> bool:
    """Note in the log what has come on the list and what has left it; whether anything has.

    Nothing known of an exercise that leaves is lost: it is there again when the exercise comes back. A day after
    which the list has changed already is history, and nothing is noted for it.

    Args:
        log: the log.
        items: the list as it is on the day.
        events: the whole log of the instrument.
        day: the day of the sheet.
        clock: today by the clock.
        recorded_at: the moment.
        instrument: whose list.
    """
    known = [event for event in events if event.kind in _LIST_KINDS]
    here, now = day.isoformat(), clock.isoformat()
    if any(here < event.day <= now for event in known if event.kind != "void"):
        return False
    changes = list_changes(items, known, day)
    if not (changes.entering or changes.leaving):
        return False
    # The how-manieth change of an exercise is part of the uid, so that two programs at once note it only once.
    count = Counter(event.item for event in known)
    entries = [
        Entry(
            f"item_in {item.id} {day} {count[item.id]}",
            Kind.ITEM_IN,
            day,
            recorded_at,
            item=item.id,
            minutes=item.minutes,
            goal=item.goal,
            instrument=instrument,
        )
        for item in changes.entering
    ]
    entries += [
        Entry(
            f"item_out {item} {day} {count[item]}",
            Kind.ITEM_OUT,
            day,
            recorded_at,
            item=item,
            instrument=instrument,
        )
        for item in changes.leaving
    ]
    log.append(entries)
    return True
