"""The log as a report reads it: the plays that stand, each under the name, kind and key of its exercise."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.phrase.write import canonical, keyless
from generator.practice.asking import by_line, line_id
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import AHEAD, sheets_of
from generator.practice_log import Entry, Kind, PracticeLog
from generator.progress.report import Play
from generator.progress.waits import standing
from generator.rotation import Event
from generator.theory.pitch import NoteName


class ExerciseName(NamedTuple):
    """What an exercise is called.

    Attributes:
        name: its phrase, under the key name that the player reads.
        kind: the phrase without the key.
        tonic: the key, or None where it has none.
    """

    name: str
    kind: str
    tonic: NoteName | None


class Names:
    """Finds names for exercises; each phrase is read once."""

    def __init__(self, tonics: Mapping[str, str]) -> None:
        """Names for one player.

        Args:
            tonics: for each exercise of the list the names its key is read under, like "F# Gb"; the first is used.
        """
        self._tonics = tonics
        self._known: dict[str, ExerciseName] = {}

    def of(self, phrase: str) -> ExerciseName:
        """The names of an exercise; a phrase that cannot be read is a kind of its own."""
        if phrase not in self._known:
            self._known[phrase] = self._read(phrase)
        return self._known[phrase]

    def _read(self, phrase: str) -> ExerciseName:
        catalogue = shared_catalogue()
        try:
            request = parse(phrase, catalogue, LOGGED)
        except RequestError:
            return ExerciseName(phrase, phrase, None)
        if len(request.keys) != 1:
            return ExerciseName(phrase, phrase, None)
        own = self._tonics.get(phrase, "").split()
        tonic = NoteName.parse(own[0]) if own else request.keys[0]
        return ExerciseName(canonical(replace(request, keys=(tonic,))), keyless(request), tonic)


@dataclass(frozen=True, slots=True)
class History:
    """What the log holds for one instrument up to a day.

    Attributes:
        events: for the rotation, without what was taken back.
        plays: the plays, in the order of playing.
        names: what exercises are called.
        others: other instruments that have plays.
    """

    events: tuple[Event, ...]
    plays: tuple[Play, ...]
    names: Names
    others: tuple[str, ...] = ()

    @property
    def first_day(self) -> dt.date | None:
        """Day of the first play."""
        return self.plays[0].day if self.plays else None


def read_history(session: PlayerSession, today: dt.date) -> History:
    """Read the log up to a day; it is not changed, nor made where there is none.

    Args:
        session: the player; only what belongs to the instrument, or to none in particular, is read.
        today: the last day.

    Raises:
        OutputError: the log cannot be read.
    """
    names = Names({entry.name: entry.tonics for entry in session.repertoire.entries})
    if not session.home.log.exists():
        return History((), (), names)
    instrument = session.player.instrument.name
    with PracticeLog.open(session.home.log) as log:
        events = standing(by_line(log.events(instrument=instrument), instrument), today)
        entries = log.entries(until=today, kinds=(Kind.PLAY,))
    own = [one for one in entries if one.instrument in {None, instrument}]
    others = sorted({one.instrument for one in entries if one.instrument and one.instrument != instrument})
    plays = tuple(_play(entry, names, session) for entry in own)
    return History(tuple(events), plays, names, tuple(others))


def _play(entry: Entry, names: Names, session: PlayerSession) -> Play:
    item = line_id(entry.item or "", session.player.instrument.name)
    name, kind, tonic = names.of(session.repertoire.name_of(item))
    return Play(entry.day, item, name, kind, tonic, entry.tempo, entry.goal, entry.minutes, entry.rating)


def read_planned(
    session: PlayerSession, names: Names, first: dt.date, days: int
) -> dict[dt.date, tuple[ExerciseName, ...]]:
    """What the sheets of some days had on them, each exercise once; a day's own sheet goes before one printed ahead.

    Args:
        session: the player.
        names: what exercises are called.
        first: the first day.
        days: how many.

    Raises:
        OutputError: the log cannot be read.
    """
    if not session.home.log.exists():
        return {}
    instrument = session.player.instrument.name
    found: dict[dt.date, tuple[ExerciseName, ...]] = {}
    with PracticeLog.open(session.home.log) as log:
        for number in range(days):
            day = first + dt.timedelta(days=number)
            sheets = sheets_of(log, day, instrument)
            own = [sheet for sheet in sheets if sheet.mood != AHEAD] or sheets
            last = {sheet.number: sheet for sheet in own}
            items = [line_id(row.item, instrument) for sheet in last.values() for row in sheet.rows]
            found[day] = tuple(names.of(session.repertoire.name_of(item)) for item in dict.fromkeys(items))
    return found
