"""A plan that grows: the rows of a later stage join when everything before them has gone round.

A stage opens on the day after each exercise of the stage before it was played as often as the plan says (once, unless
it says otherwise) since that one opened, and at the latest when anything of its own was played, so that a plan which is
edited, or a log that is older than the plan, takes nothing away. Only the days before are read: what is on the list in
the morning is on it all day. How fast the new exercises of a stage are begun, the rotation decides.
"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.practice.line_log import events_of_list
from generator.practice.player_session import PlayerSession, at_stage
from generator.practice.repertoire import Repertoire
from generator.practice_log import PracticeLog
from generator.rotation import Event


@dataclass(frozen=True, slots=True)
class Stage:
    """What the rows of a stage keep.

    Attributes:
        new: ids of exercises that no earlier stage has.
        again: ids of exercises of earlier stages of which it asks something more, such as a wider span.
    """

    new: tuple[str, ...]
    again: tuple[str, ...] = ()


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


def open_stages(stages: Sequence[Stage], played: Mapping[str, Sequence[int]], today: int, rounds: int) -> int:
    """How many stages are open in the morning; the first always is.

    Args:
        stages: in order.
        played: practice days on which each exercise was played, in order.
        today: the practice day that today would be.
        rounds: how often everything of a stage must have been played before the next one opens.
    """
    begun = [any(one in played for one in stage.new) for stage in stages]
    count, opened = 1, 0
    for number, stage in enumerate(stages):
        settled: int | None = opened
        for one in (*stage.new, *stage.again):
            since = [day for day in played.get(one, ()) if day >= opened or one in stage.new]
            done = since[rounds - 1] + 1 if len(since) >= rounds else None
            settled = None if settled is None or done is None else max(settled, done)
        if (settled is None or settled > today) and not any(begun[number + 1 :]):
            break
        opened = today if settled is None else settled
        count = number + 2
    return min(count, len(stages))


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
            events: the log of the player's instrument, under the names of lines.
        """
        whole = self._whole
        if len(whole.repertoire.stages) < 2:
            return whole
        if not self._stages:
            self._stages = [*(at_stage(whole, stage) for stage in whole.repertoire.stages[:-1]), whole]
        played, today = played_days(events, day)
        stages = stages_of([one.repertoire for one in self._stages])
        return self._stages[open_stages(stages, played, today, whole.plan.rounds) - 1]


def stages_of(lists: Sequence[Repertoire]) -> list[Stage]:
    """What each stage adds.

    Args:
        lists: the list with one stage open, with two, and so on.
    """
    asked: dict[str, int] = {}
    stages: list[Stage] = []
    for repertoire in lists:
        now = {
            repertoire.item_id(name): len(asked_of)
            for name, asked_of in zip(repertoire.columns.names, repertoire.columns.asked, strict=True)
        }
        new = tuple(one for one in now if one not in asked)
        again = tuple(one for one, number in now.items() if number > asked.get(one, number))
        stages.append(Stage(new, again))
        asked = now
    return stages


def as_grown(session: PlayerSession, log: PracticeLog, day: dt.date) -> PlayerSession:
    """The session as far as its list has grown, by the log itself, which is read only where there are stages."""
    if len(session.repertoire.stages) < 2:
        return session
    return Growth(session).on(day, events_of_list(log, session.repertoire, until=day))
