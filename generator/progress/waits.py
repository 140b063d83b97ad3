"""How long each exercise of a list has waited, and how long it may: the rotation's own figures, for the next sheet."""

import datetime as dt
from collections.abc import Collection, Iterator
from typing import NamedTuple

from generator.practice.player_session import PlayerSession
from generator.practice.terms import is_brass
from generator.rotation import Event, Item, best_floor, lengths_of, rest_minutes
from generator.rotation.dates import attendance, countdowns, wanted_gaps
from generator.rotation.gap import gap_ceiling
from generator.rotation.replay import replay


class Wait(NamedTuple):
    """One exercise.

    Attributes:
        item: as the rotation has it.
        gap: wanted gap, practice days; a wish of the plan and a required list ahead shorten it.
        waited: practice days since the last play, or since it came on the list, the next one counted.
        played: day of the last play, or None.
    """

    item: Item
    gap: int
    waited: int
    played: dt.date | None


def standing(events: Collection[Event], today: dt.date) -> list[Event]:
    """The entries up to a day, without what was taken back, whenever that was."""
    gone = {event.ref for event in events if event.kind == "void"}
    until = today.isoformat()
    return [
        event for event in events if event.day <= until and event.kind != "void" and event.seq not in gone
    ]


def waits(session: PlayerSession, events: Collection[Event], today: dt.date) -> Iterator[Wait]:
    """How the list stands in the evening of a day, which is how the next sheet will find it.

    Args:
        session: the player, with plan and list.
        events: the log of the player's instrument; see `standing`.
        today: the day; its plays count.
    """
    items = session.repertoire.items(today)
    playing = session.plan.minutes - rest_minutes(session.plan.minutes, brass=is_brass(session))
    fitting = [item for item in items if item.minutes <= playing]
    floor = best_floor(lengths_of(item.minutes for item in fitting), playing, session.plan.share)
    evening = today + dt.timedelta(days=1) if today < dt.date.max else today
    state = replay(events, evening, items, gap_ceiling(floor.promise))
    ahead = countdowns(session.repertoire.lists(), fitting, floor, today, attendance(state, today))
    wanted = wanted_gaps(ahead)
    for item in items:
        place = state.places[item.id]
        gap = min(state.gaps[place], item.at_least_every or state.gaps[place])
        gap = min(gap, wanted.get(item.id, gap))
        played = state.played[place]
        day = dt.date.fromisoformat(played) if played else None
        yield Wait(item, gap, state.today - (state.ages[place] >> 1), day)
