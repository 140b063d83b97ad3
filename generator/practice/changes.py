"""What today's list changes in the log, and what the log has of today."""

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from generator.practice.bygone import Reading
from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation import Item, list_changes

_LIST_KINDS = ("item_in", "item_out", "void")


def played_on(reading: Reading, day: dt.date) -> set[str]:
    """What was played on the day of a reading."""
    gone = reading.gone
    today = day.isoformat()
    return {
        entry[3]
        for entry in reading.events
        if entry[2] == today and entry[1] == "play" and entry[0] not in gone and entry[3]
    }


def record_changes(
    log: PracticeLog,
    items: Sequence[Item],
    reading: Reading,
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
        reading: what the log has of the instrument on the day.
        day: the day of the sheet.
        clock: today by the clock.
        recorded_at: the moment.
        instrument: whose list.
    """
    known = [entry for entry in reading.events if entry[1] in _LIST_KINDS]
    here, now = day.isoformat(), clock.isoformat()
    if any(here < entry[2] <= now for entry in known if entry[1] != "void"):
        return False
    changes = list_changes(items, known, day, reading.start)
    if not (changes.entering or changes.leaving):
        return False
    # The how-manieth change of an exercise is part of the uid, so that two programs at once note it only once.
    count = Counter(entry[3] for entry in log.events(instrument=instrument) if entry[1] in _LIST_KINDS)
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
