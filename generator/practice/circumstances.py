"""Days that are not like others: no sound may be made, strength is lacking, there are ten minutes, or a week was off.

What is left out on such a day waits a day longer, so its sheet makes no promise and marks no rows. (Beginning slower
after a break, and with what is known, is teachers' custom; where it begins is our own convention.)
"""

import datetime as dt
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exercise.records import Exercise
from generator.practice.next_dressing import SHAKY
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import CIRCUMSTANCE, SheetRow
from generator.rotation import Event, Topic
from generator.rotation.item_table import ItemTable

SHORT = 12  # minutes; a sheet asked for as short as that takes its exercises in half the time
WEEK_OFF = 7  # days without a play, after which tempi begin a mark lower
WEEKS_OFF = 21  # the same for a section, which may meet once a week
_FEWEST = 3  # exercises an easy day needs to choose from
_TWICE, _STEP = 2, 5
_PROMISED = re.compile(r" \(at most \d+\)")
_SILENT = (
    "Without a sound: fingers, rhythm and ear. Long tones, mouthpiece and partials wait for another day."
)
_EASY = (
    "An easy day: what you know, a mark slower. Stop before you tire; what is left out waits a day longer."
)
_RESTED = (
    "After a week off each row begins a mark lower: find the sound first, the tempo comes back by itself."
)
_REGATHERED = _RESTED.replace("a week", "three weeks")
_HURRIED = "A short day: two or three careful plays of each, then on."


@dataclass(frozen=True, slots=True)
class Mood:
    """What the player says of the day.

    Attributes:
        silent: no sound may be made.
        easy: strength is lacking, after an illness or a long day.
    """

    silent: bool = False
    easy: bool = False

    @property
    def words(self) -> str:
        """``silent``, ``easy``, ``silent, easy`` or ""."""
        return ", ".join(name for name, said in (("silent", self.silent), ("easy", self.easy)) if said)


USUAL = Mood()


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is different about a sheet.

    Attributes:
        mood: what the player said.
        minutes: of the sheet.
        left_out: ids that are not for today.
        slower: the row of tempi begins a metronome mark lower.
        hurried: each exercise gets half its time.
        ways: how each row is worked, in turn; empty for playing it.
        together: it is a section's day.
    """

    mood: Mood
    minutes: int
    left_out: frozenset[str] = frozenset()
    slower: bool = False
    hurried: bool = False
    ways: tuple[str, ...] = ()
    together: bool = False

    @property
    def usual(self) -> bool:
        """The sheet is chosen from the whole list, so that its promise holds."""
        return not self.mood.words

    @property
    def notes(self) -> tuple[tuple[str, str], ...]:
        """What the page says, each under its topic."""
        told = (
            (self.mood.silent, _SILENT),
            (self.mood.easy, _EASY),
            (self.slower and not self.mood.easy, _REGATHERED if self.together else _RESTED),
            (self.hurried and not self.mood.easy, _HURRIED),
        )
        return tuple((CIRCUMSTANCE, text) for holds, text in told if holds)

    @property
    def planned(self) -> int:
        """The minutes the sheet is chosen for: what is played in half its time leaves room for twice as much."""
        return self.minutes * (_TWICE if self.hurried else 1)

    def real(self, minutes: int) -> int:
        """The minutes that minutes of the plan take today."""
        return -(-minutes // _TWICE) if self.hurried else minutes

    def worn(self, rows: Sequence[tuple[SheetRow, Exercise]]) -> list[tuple[SheetRow, Exercise]]:
        """The rows of a sheet as they are worked today."""
        return [(self._row(number, row), exercise) for number, (row, exercise) in enumerate(rows)]

    def _row(self, number: int, row: SheetRow) -> SheetRow:
        reason = row.reason if self.usual else _PROMISED.sub("", row.reason)
        if self.ways:
            reason = f"{self.ways[number % len(self.ways)]}; {reason}"
        rest = row.rest_after // _TWICE // _STEP * _STEP if self.hurried else row.rest_after
        return replace(
            row,
            reason=reason,
            floor=row.floor and self.usual,
            minutes=self.real(row.minutes),
            rest_after=rest,
        )

    def tells(self, topic: str) -> bool:
        """Whether a sentence of the rotation is true of this sheet; where nothing is promised, few are."""
        return self.usual or topic in (Topic.DATED_LIST, Topic.REST)


def circumstances(
    session: PlayerSession,
    items: ItemTable,
    events: Sequence[Event],
    day: dt.date,
    minutes: int | None,
    mood: Mood,
) -> Circumstances:
    """Judge a day.

    Args:
        session: the player.
        items: the list on that day.
        events: the log of the player's instrument.
        day: the day.
        minutes: asked for instead of the plan's, or None.
        mood: what the player says.

    Raises:
        RequestError: nothing is left.
    """
    plan = session.plan
    asked = minutes or (max(1, plan.minutes * 2 // 3) if mood.easy else plan.minutes)
    out: set[str] = set()
    if mood.silent:
        out |= _sounding(items)
    if mood.easy:
        out |= _demanding(items, events, day, out)
    if mood.silent and out.issuperset(items.ids):
        raise RequestError("nothing on the list can be worked without a sound")
    player = session.player.instrument
    return Circumstances(
        mood=mood,
        minutes=asked,
        left_out=frozenset(out),
        slower=mood.easy or _days_off(events, day) >= (WEEKS_OFF if session.band else WEEK_OFF),
        hurried=asked <= SHORT and _TWICE * asked <= plan.minutes,
        ways=shared_catalogue().silent.get(player.wind, ()) if mood.silent else (),
        together=session.band is not None,
    )


def _sounding(items: ItemTable) -> set[str]:
    """What is nothing without a sound: long tones, drones, partials, the mouthpiece."""
    catalogue = shared_catalogue()
    named = [row.name for row in catalogue.routines.rows]
    named += [row.name for row in catalogue.figures.rows if row.drone]
    return {
        item for item, name in zip(items.ids, items.names, strict=True) if any(one in name for one in named)
    }


def _demanding(items: ItemTable, events: Sequence[Event], day: dt.date, out: Collection[str]) -> set[str]:
    """What is heavy, new or shaky; only what is heavy, where that would leave too little."""
    heavy = {item for item, is_heavy in zip(items.ids, items.heavy, strict=True) if is_heavy}
    morning = day.isoformat()
    gone = {event.ref for event in events if event.kind == "void"}
    plays = [e for e in events if e.kind == "play" and e.day < morning and e.seq not in gone]
    felt = {event.item: event.rating or 0 for event in plays}
    unsure = {item for item in items.ids if felt.get(item, 0) <= SHAKY}
    left = set(items.ids) - heavy - unsure - set(out)
    return heavy | unsure if len(left) >= _FEWEST else heavy


def _days_off(events: Sequence[Event], day: dt.date) -> int:
    """Days since the last play before a day; 0 where there is none."""
    gone = {event.ref for event in events if event.kind == "void"}
    morning = day.isoformat()
    last = max(
        (e.day for e in events if e.kind == "play" and e.day < morning and e.seq not in gone), default=None
    )
    return 0 if last is None else (day - dt.date.fromisoformat(last)).days
