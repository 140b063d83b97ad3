"""A plan that grows: the rows of a later stage join, a few exercises at a time, when everything before has gone round.

A plan whose rows have stages begins with what fills two sheets, easy keys first, and takes a quarter of a sheet on each
practice day after. A stage opens when each exercise of the stages before it has been played as often as the plan says
(once, unless it says otherwise), or once anything of its own was played, so that a plan which is edited, or a log that
is older than the plan, takes nothing away. Only the days before are read: what is on the list in the morning is on it
all day. (Beginning with little and adding when the last has settled is teachers' custom; the figures are our own.)
"""

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import compress

from generator.practice.line_log import events_of_list
from generator.practice.player_session import PlayerSession, at_stage
from generator.practice.repertoire import Repertoire
from generator.practice.terms import is_brass
from generator.practice_log import PracticeLog
from generator.rotation import Event, rest_minutes

_SHEETS_AT_FIRST, _PART_OF_SHEET = 2, 4
_CIRCLE = 12


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast a list grows.

    Attributes:
        rounds: how often everything must have been played before the next stage opens.
        first: how many exercises a plan begins with.
        step: how many join on a practice day.
    """

    rounds: int
    first: int
    step: int


def played_days(events: Iterable[Event], day: dt.date) -> tuple[dict[str, list[int]], int]:
    """On which practice days, counted from 0, each exercise was played before a day, and how many there were.

    Args:
        events: the log; what was taken back does not count.
        day: the day.
    """
    known = list(events)
    gone = {event.ref for event in known if event.kind == "void"}
    morning = day.isoformat()
    plays = [
        event
        for event in known
        if event.kind == "play" and event.item and event.day < morning and event.seq not in gone
    ]
    days = {name: place for place, name in enumerate(sorted({event.day for event in plays}))}
    found: dict[str, list[int]] = {}
    for event in plays:
        found.setdefault(event.item or "", []).append(days[event.day])
    return {item: sorted(some) for item, some in found.items()}, len(days)


def on_list(
    stages: Sequence[Sequence[str]], played: Mapping[str, Sequence[int]], today: int, pace: Pace
) -> set[str]:
    """What is on the list in the morning.

    Args:
        stages: the exercises of each stage, in the order in which they join.
        played: practice days on which each was played, in order.
        today: the practice day that today would be.
        pace: how fast the list grows.
    """
    listed: set[str] = set()
    opened: int | None = 0
    first = pace.first
    for exercises in stages:
        begun = min((played[one][0] for one in exercises if one in played), default=None)
        since = min((day for day in (opened, begun) if day is not None), default=None)
        if since is not None and since <= today:
            listed.update(exercises[: first + pace.step * (today - since)])
        listed.update(one for one in exercises if one in played)
        last = [played.get(one, ())[pace.rounds - 1 : pace.rounds] for one in exercises]
        settled = opened is not None and all(last)
        opened = max([opened or 0, *(days[0] + 1 for days in last if days)]) if settled else None
        first = pace.step
    return listed


class Growth:
    """A player's list as it grows; each stage is spelled out once."""

    def __init__(self, session: PlayerSession) -> None:
        """Begin with the session whose list is whole."""
        self._whole = session
        self._stages: list[PlayerSession] = []

    def on(self, day: dt.date, events: Iterable[Event]) -> PlayerSession:
        """The session with the list as far as it has grown on the morning of a day.

        Args:
            day: the day.
            events: the log of the player's instrument.
        """
        whole = self._whole
        if len(whole.repertoire.stages) < 2:
            return whole
        if not self._stages:
            self._stages = [*(at_stage(whole, stage) for stage in whole.repertoire.stages[:-1]), whole]
        played, today = played_days(events, day)
        listed = on_list(self._joining(day), played, today, self._pace(day))
        listed |= {whole.repertoire.item_id(name) for one in whole.repertoire.dated for name in one.names}
        place = next(
            place for place, one in enumerate(self._stages) if listed <= set(one.repertoire.items(day).ids)
        )
        found = self._stages[place]
        return replace(found, repertoire=narrowed(found.repertoire, listed))

    def _joining(self, day: dt.date) -> list[list[str]]:
        """The exercises of each stage, easy keys first."""
        seen: set[str] = set()
        stages: list[list[str]] = []
        for one in self._stages:
            items = one.repertoire.items(day)
            signs = {item.id: _signs(item.key) for item in items}
            new = [item_id for item_id in items.ids if item_id not in seen]
            stages.append(sorted(new, key=signs.__getitem__))
            seen.update(new)
        return stages

    def _pace(self, day: dt.date) -> Pace:
        plan = self._whole.plan
        lengths = [item.minutes for item in self._stages[0].repertoire.items(day)] or [1]
        rows = max(
            1,
            (plan.minutes - rest_minutes(plan.minutes, brass=is_brass(self._whole)))
            * len(lengths)
            // sum(lengths),
        )
        return Pace(plan.rounds, _SHEETS_AT_FIRST * rows, max(1, rows // _PART_OF_SHEET))


def _signs(key: int | None) -> int:
    """How far a key lies from the one without signs, round the circle of fifths; 0 where there is no key."""
    return 0 if key is None else min(key % _CIRCLE, -key % _CIRCLE)


def narrowed(repertoire: Repertoire, listed: Collection[str]) -> Repertoire:
    """A list without the exercises that are not on it yet."""
    here = [repertoire.item_id(name) in listed for name in repertoire.columns.names]
    if all(here):
        return repertoire
    columns = repertoire.columns
    kept = type(columns)._make(tuple(compress(column, here)) for column in columns)
    mark = sha256("\x1f".join([repertoire.mark, *kept.names]).encode()).hexdigest()[:16]
    return replace(repertoire, columns=kept, mark=mark)


def as_grown(session: PlayerSession, log: PracticeLog, day: dt.date) -> PlayerSession:
    """The session as far as its list has grown, by the log itself, which is read only where there are stages."""
    if len(session.repertoire.stages) < 2:
        return session
    return Growth(session).on(day, events_of_list(log, session.repertoire, until=day))
