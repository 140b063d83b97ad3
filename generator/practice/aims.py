"""What is to be ready by a day: reached or not, as the log says, and carried over week by week until it is.

An aim is reached when it was played at its tempo or faster and felt steady, secure, or was not judged. Slower work
afterwards takes nothing back; a later play at the tempo that felt lost or shaky does. What is older than four weeks
before its day does not count: it would have to be heard again. (A teacher's custom; the numbers are our own.)
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.passage.named import is_drill
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.practice.asking import line_id
from generator.practice.player_session import PlayerSession
from generator.practice.repertoire import AimNames, Repertoire
from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation.dates import MEMORY_DAYS
from generator.rotation.words import count, day_and_month

WEEK = 7
STEADY = 3  # how a play feels from which on it counts as ready


@dataclass(frozen=True, slots=True)
class AimPlay:
    """A play of one exercise of an aim."""

    day: dt.date
    tempo: int | None
    felt: int | None


@dataclass(frozen=True, slots=True)
class Judged:
    """One exercise of an aim as the log has it.

    Attributes:
        reached: day on which it was ready, and is since; or None.
        tempo: noted last, or None.
    """

    reached: dt.date | None = None
    tempo: int | None = None


@dataclass(frozen=True, slots=True)
class AimStanding:
    """An aim on one day.

    Attributes:
        aim: as the plan has it.
        item_ids: of its exercises.
        left: those that are not ready.
        reached: day on which the last of its exercises was ready, or None.
        tempo: noted last, the slowest of what is left; None where nothing was noted.
        due: the day it is wanted by: its own, or the one it was carried over to.
        carried: so many weeks.
    """

    aim: AimNames
    item_ids: tuple[str, ...]
    left: tuple[str, ...]
    reached: dt.date | None
    tempo: int | None
    due: dt.date
    carried: int

    @property
    def open(self) -> bool:
        """Whether there is work left."""
        return self.reached is None

    @property
    def over(self) -> bool:
        """Whether it is reached and its day has come and gone, so that its row can go."""
        return not self.open and self.carried > 0

    @property
    def goal(self) -> str:
        """``drill gigue at 120``, without a tempo ``drill gigue, steady``."""
        return f"{self.aim.phrase} at {self.aim.tempo}" if self.aim.tempo else f"{self.aim.phrase}, steady"

    @property
    def state(self) -> str:
        """``reached on 3 December``, or the day and how far it is."""
        if self.reached is not None:
            return f"reached on {day_and_month(self.reached)}"
        carried = f", carried over from {day_and_month(self.aim.by)}" if self.carried else ""
        return f"by {day_and_month(self.due)}{carried}: {self._so_far}"

    @property
    def _so_far(self) -> str:
        done = len(self.item_ids) - len(self.left)
        several = len(self.item_ids) > 1 and not is_drill(self.aim.phrase)
        many = f"{done} of {count(len(self.item_ids), 'exercise')} ready" if several else ""
        last = (
            f"last {self.tempo}"
            if self.tempo
            else "no tempo noted yet"
            if self.aim.tempo
            else "not steady yet"
        )
        return f"{many}, {last}" if many else last

    @property
    def reason(self) -> str:
        """Why its row is on a sheet: ``aim: 120 by 4 December, last 96``."""
        what = f"aim: {self.aim.tempo}" if self.aim.tempo else "aim: steady"
        last = f", last {self.tempo}" if self.tempo else ""
        return f"{what} by {day_and_month(self.due)}{last}"


def judged(plays: Iterable[AimPlay], tempo: int | None) -> Judged:
    """Whether an exercise is ready.

    Args:
        plays: in the order of playing.
        tempo: to be reached, or None where it is enough that it feels steady.

    >>> monday = dt.date(2027, 3, 1)
    >>> plays = [AimPlay(monday, 96, 3), AimPlay(monday + dt.timedelta(days=2), 120, 3)]
    >>> judged(plays, 120).reached.isoformat(), judged(plays[:1], 120)
    ('2027-03-03', Judged(reached=None, tempo=96))
    """
    reached: dt.date | None = None
    last: int | None = None
    for play in plays:
        last = play.tempo or last
        heard = (play.tempo or 0) >= tempo if tempo is not None else play.felt is not None
        if heard:
            ready = play.felt is None or play.felt >= STEADY
            reached = (reached or play.day) if ready else None
    return Judged(reached, last)


def carried_to(by: dt.date, today: dt.date) -> tuple[dt.date, int]:
    """The day a missed aim is wanted by, and how many weeks it was carried over.

    >>> carried_to(dt.date(2027, 3, 5), dt.date(2027, 3, 5)), carried_to(dt.date(2027, 3, 5), dt.date(2027, 3, 13))
    ((datetime.date(2027, 3, 5), 0), (datetime.date(2027, 3, 19), 2))
    """
    weeks = max(0, -(-(today - by).days // WEEK))
    return by + dt.timedelta(days=min(WEEK * weeks, (dt.date.max - by).days)), weeks


def standings(session: PlayerSession, day: dt.date, *, evening: bool = False) -> tuple[AimStanding, ...]:
    """Every aim of a plan, the nearest day first; the log is read and not changed.

    Args:
        session: the player.
        day: the day.
        evening: plays of the day itself count too.

    Raises:
        OutputError: the log cannot be read.
    """
    if not session.repertoire.aims:
        return ()
    if not session.home.log.exists():
        return _all(session.repertoire, (), day, evening=evening)
    with PracticeLog.open(session.home.log) as log:
        return standings_in(log, session.repertoire, day, evening=evening)


def standings_in(
    log: PracticeLog, repertoire: Repertoire, day: dt.date, *, evening: bool = False
) -> tuple[AimStanding, ...]:
    """The same from a log that is open.

    Raises:
        OutputError: the log cannot be read.
    """
    if not repertoire.aims:
        return ()
    first = min(one.by for one in repertoire.aims)
    since = first - dt.timedelta(days=min(MEMORY_DAYS, (first - dt.date.min).days))
    entries = log.entries(since=since, until=day, kinds=(Kind.PLAY,), instrument=repertoire.instrument)
    return _all(repertoire, entries, day, evening=evening)


def open_aims(aims: Sequence[AimStanding]) -> dict[str, AimStanding]:
    """What is still to be reached, by the ids of its exercises; of two aims the nearer one."""
    found: dict[str, AimStanding] = {}
    for one in aims:
        if one.open:
            for item_id in one.left:
                found.setdefault(item_id, one)
    return found


def _all(
    repertoire: Repertoire, entries: Sequence[Entry], day: dt.date, *, evening: bool
) -> tuple[AimStanding, ...]:
    plays = [entry for entry in entries if entry.item and (evening or entry.day < day)]
    found = [_standing(one, repertoire, plays, day) for one in repertoire.aims]
    return tuple(sorted(found, key=lambda one: (one.due, one.aim.by, one.aim.phrase)))


def _standing(aim: AimNames, repertoire: Repertoire, plays: Sequence[Entry], day: dt.date) -> AimStanding:
    since = aim.by - dt.timedelta(days=min(MEMORY_DAYS, (aim.by - dt.date.min).days))
    ids = tuple(map(repertoire.item_id, aim.names))
    if is_drill(aim.phrase):  # a passage is one aim, whatever recipes it is kept with
        own = [_play(one) for one in plays if one.day >= since and _of_passage(one, aim, repertoire)]
        each = {item_id: judged(own, aim.tempo) for item_id in ids}
    else:
        each = {
            item_id: judged(_plays_of(item_id, aim, repertoire, plays, since), aim.tempo) for item_id in ids
        }
    left = tuple(item_id for item_id in ids if each[item_id].reached is None)
    ready = [one.reached for one in each.values() if one.reached is not None]
    tempi = [one.tempo for item_id, one in each.items() if one.tempo and (item_id in left or not left)]
    due, carried = carried_to(aim.by, day)
    return AimStanding(
        aim=aim,
        item_ids=ids,
        left=left,
        reached=None if left or not ready else max(ready),
        tempo=min(tempi, default=None),
        due=due,
        carried=carried,
    )


def _play(entry: Entry) -> AimPlay:
    return AimPlay(entry.day, entry.tempo, entry.rating)


def _plays_of(
    item_id: str, aim: AimNames, repertoire: Repertoire, plays: Sequence[Entry], since: dt.date
) -> list[AimPlay]:
    """The plays of one exercise that were what is aimed at."""
    instrument = repertoire.instrument
    own = [e for e in plays if e.day >= since and e.item and line_id(e.item, instrument) == item_id]
    return [_play(entry) for entry in own if not aim.askings or _meets(entry, aim, repertoire)]


def _meets(entry: Entry, aim: AimNames, repertoire: Repertoire) -> bool:
    """Whether a play was printed as it is asked; nobody knows how what was noted by hand was played."""
    if not entry.phrase:
        return True
    try:
        played = parse(entry.phrase, shared_catalogue(), LOGGED)
    except RequestError:
        return False
    return any(repertoire.askings[number].is_met_by(played) for number in aim.askings)


def _of_passage(entry: Entry, aim: AimNames, repertoire: Repertoire) -> bool:
    """Whether a play was of the passage itself; a chunk at full speed on a page of its own is not."""
    from generator.passage.request import parse_drill  # noqa: PLC0415  # few aims are passages

    name = repertoire.name_of(entry.item or "")
    try:
        if not is_drill(name) or parse_drill(name).name != parse_drill(aim.phrase).name:
            return False
        said = parse_drill(entry.phrase) if entry.phrase and is_drill(entry.phrase) else None
    except RequestError:
        return False
    return said is None or said.tempo is not None or not said.recipes or "passage" in said.recipes
