"""What a long log says of each exercise is remembered up to last week, so that only what is newer need be read.

A sheet is the same with what is remembered and without. It was made from the entries that are dated before some day
and had been saved by then. An entry noted later for a day before it, or one of them taken back, is seen at once, and
then the whole log is read. The log itself tells whether what is remembered was made from it (`PracticeLog.vouch`).
Days of the last week are left out because that is when entries are still put right.

What is remembered can be made again at any time, so whatever is wrong with the file counts as nothing remembered.
"""

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from generator.errors import OutputError
from generator.files.atomic import place as put
from generator.files.version import VERSION
from generator.practice.player_session import PlayerSession
from generator.practice_log import PracticeLog
from generator.rotation import RULE_VERSION, EventTuple, Item, Settled, rest_minutes, settle, usual_ceiling

WORTH = 5_000
"""Entries; fewer are read as quickly as a file."""

_FORM = 1
"""Raised when what is remembered or the way it is made changes."""

_LEFT_OPEN = 7  # days; and the days since Monday
_READ = ("play", "item_in", "item_out", "void")


@dataclass(frozen=True, slots=True)
class Reading:
    """What the log has for one morning.

    Attributes:
        start: what is remembered, or None.
        events: what is dated since, by date and then as saved; without `start` the whole log.
        plays: how many plays the whole log has.
    """

    start: Settled | None
    events: Sequence[EventTuple]
    plays: int

    @property
    def gone(self) -> set[int | None]:
        """Numbers of the entries that were taken back."""
        gone = {entry[7] for entry in self.events if entry[1] == "void"}
        return gone | self.start.gone if self.start else gone


@dataclass(frozen=True, slots=True)
class _Bygone:
    """What is remembered.

    Attributes:
        settled: the state.
        seq: the largest number of any entry that had been read.
        plays: how many plays are dated before its day, those that were taken back among them.
    """

    settled: Settled
    seq: int
    plays: int


def read_log(
    log: PracticeLog, session: PlayerSession, items: Sequence[Item], day: dt.date, minutes: int
) -> Reading:
    """Read what a day's sheet is chosen from.

    Args:
        log: the log.
        session: the player.
        items: the list on that day.
        day: the day.
        minutes: of the sheet, rest included.

    Raises:
        OutputError: the log cannot be read.
    """
    instrument = session.repertoire.instrument
    ceiling = usual_ceiling(items, minutes - rest_minutes(minutes), session.plan.share)
    path = session.home.cache / f"log-{sha256(f'{session.path} {instrument}'.encode()).hexdigest()[:12]}.json"
    # Lists of one plan on different days differ in what has run out by then, so their lengths tell them apart.
    key: list[str | int] = [
        _FORM,
        VERSION,
        RULE_VERSION,
        instrument,
        session.repertoire.mark,
        len(items),
        ceiling,
    ]
    known, events = _since(log, _recall(path, key, log, day), instrument)
    before = _settled_before(day)
    limit = before.isoformat()
    if known.settled.before < before if known else sum(one[2] < limit for one in events) >= WORTH:
        old = [one for one in events if one[2] < limit]
        known = _Bygone(
            settle(events, before, day, items, ceiling, known.settled if known else None),
            max([known.seq if known else 0, *(one[0] for one in events)]),
            (known.plays if known else 0) + _plays(old),
        )
        events = [one for one in events if one[2] >= limit]
        _remember(path, key, log, known)
    if known is None:
        return Reading(None, events, _plays(events))
    return Reading(known.settled, events, known.plays + _plays(events))


def _plays(events: Sequence[EventTuple]) -> int:
    return sum([one[1] == "play" for one in events])


def _settled_before(day: dt.date) -> dt.date:
    """Monday of the week before."""
    return dt.date.fromordinal(max(1, day.toordinal() - day.weekday() - _LEFT_OPEN))


def _since(
    log: PracticeLog, known: _Bygone | None, instrument: str
) -> tuple[_Bygone | None, list[EventTuple]]:
    """What is remembered, if it still holds, and what is to be read besides."""
    if known is not None:
        since = known.settled.before
        news = log.news(since=since, seq=known.seq, taken_back=known.settled.today, instrument=instrument)
        limit = since.isoformat()
        if not any(one[2] < limit and one[1] in _READ for one in news):
            return known, [one for one in news if one[2] >= limit]
    return None, log.events(instrument=instrument)


def _recall(path: Path, key: list[str | int], log: PracticeLog, day: dt.date) -> _Bygone | None:
    """What was remembered, if it was made from this log and for this list and does not look past the day."""
    try:
        content = path.read_bytes()
    except OSError:
        return None
    if not log.vouches(sha256(content).hexdigest()):
        return None
    try:
        data = json.loads(content)
        today = dt.date.fromisoformat(data["today"])
        if data["key"] != key or today > day:
            return None
        dates = [None, *data["dates"]]
        absent = [False] * len(data["ages"])
        for place in data["absent"]:
            absent[place] = True
        first = data["first_day"]
        settled = Settled(
            before=dt.date.fromisoformat(data["before"]),
            today=today,
            ceiling=data["ceiling"],
            others=tuple(data["others"]),
            ages=tuple(data["ages"]),
            gaps=tuple(data["gaps"]),
            played=tuple(map(dates.__getitem__, data["played"])),
            entered=tuple(map(dates.__getitem__, data["entered"])),
            absent=tuple(absent),
            days=tuple(data["days"]),
            first_day=dt.date.fromisoformat(first) if first else None,
            gone=frozenset(data["gone"]),
        )
        return _Bygone(settled, data["seq"], data["plays"])
    except (ValueError, KeyError, TypeError, IndexError, RecursionError):
        return None


def _remember(path: Path, key: list[str | int], log: PracticeLog, known: _Bygone) -> None:
    """Keep it for next time; where that is impossible the log is read again."""
    state = known.settled
    dates = sorted({day for day in (*state.played, *state.entered) if day})
    number: dict[str | None, int] = {day: place for place, day in enumerate(dates, start=1)} | {None: 0}
    data = {
        "key": key,
        "seq": known.seq,
        "plays": known.plays,
        "before": state.before.isoformat(),
        "today": state.today.isoformat(),
        "ceiling": state.ceiling,
        "others": state.others,
        "ages": state.ages,
        "gaps": state.gaps,
        "dates": dates,
        "played": [number[day] for day in state.played],
        "entered": [number[day] for day in state.entered],
        "absent": [place for place, gone in enumerate(state.absent) if gone],
        "days": state.days,
        "first_day": state.first_day.isoformat() if state.first_day else None,
        "gone": sorted(state.gone),
    }
    content = json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()
    try:
        put(content, path, lasting=False)
        log.vouch(sha256(content).hexdigest())
    except OutputError:
        return
