"""The practice log: entries are added, never changed; a mistake is taken back by another entry."""

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from functools import partial
from operator import attrgetter
from pathlib import Path
from types import TracebackType
from typing import Self

from generator.errors import RequestError
from generator.files.drafts import clear_forsaken
from generator.practice_log.database import Database, open_database
from generator.practice_log.entry import Entry, Kind, problems_of
from generator.practice_log.event_table import COLUMNS, STANDING, EventTable, entry_of
from generator.practice_log.facts import Facts
from generator.practice_log.imports import Imports
from generator.practice_log.joining import Joining, Saved, UnsavableError
from generator.practice_log.soundness import close_soundly, digest_of, make_sure
from generator.rotation import Event

BUSY_SECONDS = 10.0

_EVENT = "SELECT seq, kind, day, item, rating, tempo, goal, ref FROM event"
_WHOSE = "(? IS NULL OR instrument IS NULL OR instrument = ? OR kind = 'void')"
# NOT INDEXED: far quicker than going by an index.
_EVENTS = f"{_EVENT} NOT INDEXED WHERE day <= ? AND {_WHOSE} AND seq NOT IN (SELECT seq FROM outvoted)"  # noqa: S608
_EVENT_OF = partial(tuple.__new__, Event)  # what Event._make does, without counting the columns of each row


class PracticeLog:
    """An open log. Times and uids come from the caller; nothing here reads a clock."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self.facts = Facts(database)
        self._table = EventTable(database, self.facts)
        self.imports = Imports(database, self.facts, self._table)
        self._joining = Joining(self._table, self.facts, self.imports)

    @classmethod
    def open(cls, path: Path, *, busy_seconds: float = BUSY_SECONDS) -> Self:
        """Open the log at `path`; make it if there is none, upgrade it if it is older.

        Args:
            path: the file.
            busy_seconds: how long to wait while another program writes.

        Raises:
            OutputError: it cannot be opened, is damaged, was written by a newer version, or is something else.
        """
        # A killed program's draft would lie there until something is written beside the log again.
        clear_forsaken(path.parent)
        digest = digest_of(path)
        database = open_database(path, busy_seconds=busy_seconds)
        try:
            make_sure(database, digest)
        except BaseException:
            database.close()
            raise
        return cls(database)

    @property
    def path(self) -> Path:
        """The file."""
        return self._database.path

    def close(self) -> None:
        """Close the file."""
        close_soundly(self._database)

    def copy_to(self, path: Path) -> None:
        """Lay a copy of the log at a path where nothing is yet.

        Raises:
            OutputError: it cannot be written; nothing is left there.
        """
        self._database.copy_to(path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def note_fact(self, name: str, value: str) -> None:
        """Note something that this computer remembers beside the entries, see `facts`."""
        with self._database.transaction():
            self.facts.set(name, value)

    def append(self, entries: Iterable[Entry]) -> Saved:
        """Save entries, all or none. When this returns they are on the disk.

        An entry whose uid is in the log already is passed over: saving twice is harmless. A void without a version
        takes back every entry with that uid that still stands.

        Raises:
            RequestError: an entry is unsound, or takes back what is not there or was taken back before.
            OutputError: the disk or another program is in the way, or the file does not keep what is put in.
        """
        given = tuple(entries)
        problems = [reason for one in given for reason in problems_of(one)]
        if not problems:
            try:
                with self._database.transaction():
                    added = self._joining.put_own(given)
            except UnsavableError as problem:
                problems = [reason for _, reason in problem.problems]
        if problems:
            raise RequestError("Not saved: " + "; ".join(problems) + ".")
        return Saved(added, len(given) - added)

    def merge(self, entries: Sequence[Entry], ids: Iterable[str], source: str, day: dt.date) -> Saved:
        """Add the entries of another log that are not in this one, as one action.

        Two logs are brought together as sets: what differs about one thing stays side by side, and of such entries
        the one saved last counts. So logs that are merged in any order, any number of times, become equal.

        Args:
            entries: of the other log, in any order.
            ids: the names of the logs it has come from.
            source: what the file was called.
            day: today.

        Returns:
            What became of them; where there are problems, nothing was added.

        Raises:
            OutputError: as for `append`.
        """
        problems = [(place, reason) for place, one in enumerate(entries) for reason in problems_of(one)]
        if problems:
            return Saved(0, 0, tuple(problems))
        try:
            with self._database.transaction():
                return self._joining.merge(entries, ids, source, day)
        except UnsavableError as problem:
            return Saved(0, 0, problem.problems)

    def take_back(self, target: str, *, uid: str, day: dt.date, recorded_at: str) -> Entry:
        """Take back the entry with uid `target`, by adding an entry that says so.

        Args:
            target: uid of the entry.
            uid: uid of the new entry.
            day: today, the player's calendar date; sheets of earlier days are not altered.
            recorded_at: the moment as `utc_text` writes it.

        Returns:
            The entry that was taken back.

        Raises:
            RequestError: there is no such entry, or it was taken back before.
        """
        self.append([Entry(uid, Kind.VOID, day, recorded_at, takes_back=target)])
        return self._table.about(target)[-1].entry

    def last(
        self, *, kind: Kind = Kind.PLAY, instrument: str | None = None, since: int = 0, own: bool = False
    ) -> Entry | None:
        """The entry of that kind saved last and not taken back; what `take_back` would undo.

        Args:
            kind: which kind.
            instrument: only what belongs to it or to none in particular; None for all.
            since: only what was saved after this row of the log.
            own: only what was noted on this computer.
        """
        found = self._database.rows(
            f"SELECT {COLUMNS} FROM event WHERE {STANDING} AND kind = ? AND seq > ? AND NOT (? AND came IS NOT NULL) "  # noqa: S608
            "AND (? IS NULL OR instrument IS NULL OR instrument = ?) ORDER BY seq DESC LIMIT 1",
            (kind, since, own, instrument, instrument),
        )
        return entry_of(found[0]) if found else None

    def entries(
        self,
        *,
        since: dt.date = dt.date.min,
        until: dt.date = dt.date.max,
        kinds: Collection[Kind] = tuple(Kind),
        instrument: str | None = None,
        taken_back: bool = False,
        own: bool = False,
    ) -> list[Entry]:
        """Entries in the order of a replay: by date, changes of the list before plays, then by moment.

        Args:
            since: first date.
            until: last date.
            kinds: which kinds.
            instrument: only what belongs to it or to none in particular; None for all.
            taken_back: also those that were taken back, and the entries that did it.
            own: only those that were noted on this computer.
        """
        where = "1" if taken_back else STANDING
        found = self._database.rows(
            f"SELECT {COLUMNS} FROM event WHERE {where} AND day BETWEEN ? AND ? AND NOT (? AND came IS NOT NULL) "  # noqa: S608
            "AND (? IS NULL OR instrument IS NULL OR instrument = ?) "
            f"ORDER BY day, kind = 'play', {self._table.order}",
            (since.isoformat(), until.isoformat(), own, instrument, instrument),
        )
        return [entry for entry in map(entry_of, found) if entry.kind in kinds]

    def sheets_called(self, code: str) -> list[Entry]:
        """Every sheet with a code, in the order of their moments."""
        found = self._database.rows(
            f"SELECT {COLUMNS} FROM event WHERE {STANDING} AND kind = 'sheet' AND sheet = ? "  # noqa: S608
            f"ORDER BY {self._table.order}",
            (code,),
        )
        return [entry_of(row) for row in found]

    def as_saved(self) -> list[Entry]:
        """Every entry, in the order of their moments."""
        found = self._database.rows(f"SELECT {COLUMNS} FROM event ORDER BY {self._table.order}")  # noqa: S608
        return [entry_of(row) for row in found]

    def events(self, *, until: dt.date = dt.date.max, instrument: str | None = None) -> list[Event]:
        """What the rotation reads: by date, then by the moment of saving.

        Args:
            until: last date; later entries are left out.
            instrument: only what belongs to it or to none in particular, since neglect is judged for each
                instrument by itself; None for all.
        """
        found = self._database.records(
            _EVENT_OF,
            f"{_EVENTS} ORDER BY {self._table.order}",
            (until.isoformat(), instrument, instrument),
        )
        if self._table.in_disorder():
            found = _renumbered(found)
        return sorted(found, key=attrgetter("day"))  # a log is saved almost by date

    def events_of(self, items: Collection[str], *, instrument: str | None = None) -> list[Event]:
        """What stands of some exercises, in the order of `events`; what was taken back is left out."""
        marks = ", ".join("?" * len(items))
        return self._database.records(
            _EVENT_OF,
            f"{_EVENT} WHERE item IN ({marks}) AND {STANDING} AND {_WHOSE} ORDER BY day, {self._table.order}",
            (*items, instrument, instrument),
        )

    def problems(self) -> list[str]:
        """What SQLite finds wrong with the file; empty if it is sound."""
        found = [str(row[0]) for row in self._database.rows("PRAGMA integrity_check")]
        lost = self._database.rows("PRAGMA foreign_key_check")
        return [line for line in found if line != "ok"] + [f"row {row[1]} refers to nothing" for row in lost]


def _renumbered(events: Sequence[Event]) -> list[Event]:
    """Events numbered as they stand, for their numbers tell the rotation which came first."""
    number = {event.seq: place for place, event in enumerate(events, start=1)}
    return [
        event._replace(seq=place, ref=None if event.ref is None else number.get(event.ref, 0))
        for place, event in enumerate(events, start=1)
    ]
