"""The practice log: entries are added, never changed; a mistake is taken back by another entry."""

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from operator import attrgetter
from pathlib import Path
from types import TracebackType
from typing import Self, cast

from generator.errors import RequestError, clipped
from generator.practice_log.database import Database, open_database
from generator.practice_log.entry import Entry, Kind, problems_of
from generator.rotation import Event

BUSY_SECONDS = 10.0

_COLUMNS = (
    "event.uid, event.kind, event.day, event.recorded_at, event.item, event.minutes, event.rating, "
    "event.tempo, event.goal, (SELECT uid FROM event AS target WHERE target.seq = event.ref), "
    "event.data, event.instrument, event.sheet, event.phrase"
)
_INSERT = (
    "INSERT INTO event (uid, kind, day, recorded_at, item, minutes, rating, tempo, goal, ref, "
    "data, instrument, sheet, phrase) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, (SELECT seq FROM event WHERE uid = ?), ?, ?, ?, ?) "
    "ON CONFLICT(uid) DO NOTHING"
)
_STANDING = "event.kind <> 'void' AND event.seq NOT IN (SELECT ref FROM event WHERE kind = 'void')"
_EVENT = "SELECT seq, kind, day, item, rating, tempo, goal, ref FROM event"
_WHOSE = "(? IS NULL OR instrument IS NULL OR instrument = ? OR kind = 'void')"
_EVENTS = (
    f"{_EVENT} NOT INDEXED WHERE day <= ? AND {_WHOSE} ORDER BY seq"  # far quicker than going by an index
)
_EVENT_OF = partial(tuple.__new__, Event)  # what Event._make does, without counting the columns of each row
_FIELDS = tuple(Entry.__dataclass_fields__)


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of some entries.

    Attributes:
        added: how many are new in the log.
        present: how many were there already.
        problems: (place in the sequence, reason) of those that cannot be saved; then none was.
    """

    added: int
    present: int
    problems: tuple[tuple[int, str], ...] = ()


class _UnsavableError(Exception):
    """Rolls a transaction back; never leaves this module."""


class PracticeLog:
    """An open log. Times and uids come from the caller; nothing here reads a clock."""

    def __init__(self, database: Database) -> None:
        self._database = database

    @classmethod
    def open(cls, path: Path, *, busy_seconds: float = BUSY_SECONDS) -> Self:
        """Open the log at `path`; make it if there is none, upgrade it if it is older.

        Args:
            path: the file.
            busy_seconds: how long to wait while another program writes.

        Raises:
            OutputError: it cannot be opened, was written by a newer version, or is something else.
        """
        return cls(open_database(path, busy_seconds=busy_seconds))

    def close(self) -> None:
        """Close the file."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def append(self, entries: Iterable[Entry]) -> Saved:
        """Save entries, all or none. When this returns they are on the disk.

        An entry whose uid is in the log already is passed over: saving twice is harmless.

        Raises:
            RequestError: an entry is unsound, or takes back what is not there or was taken back before.
            OutputError: the disk or another program is in the way.
        """
        saved = self.try_append(tuple(entries))
        if saved.problems:
            raise RequestError("Not saved: " + "; ".join(reason for _, reason in saved.problems) + ".")
        return saved

    def try_append(self, entries: Sequence[Entry], *, same_only: bool = False) -> Saved:
        """Like `append`, but reports what is wrong instead of raising.

        Args:
            entries: what to save.
            same_only: a uid that is in the log with other values is a problem too.
        """
        problems = [(place, reason) for place, one in enumerate(entries) for reason in problems_of(one)]
        if problems:
            return Saved(0, 0, tuple(problems))
        added = 0
        try:
            with self._database.transaction():
                for place, entry in enumerate(entries):
                    known = self._find(entry.uid)
                    reason = _clash(known, entry) if known and same_only else None
                    if known is None:
                        reason = self._void_problem(entry)
                    if reason:
                        problems.append((place, reason))
                    elif known is None:
                        added += self._database.run(_INSERT, _values(entry))
                if problems:
                    raise _UnsavableError
        except _UnsavableError:
            return Saved(0, 0, tuple(problems))
        return Saved(added, len(entries) - added)

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
        return cast("Entry", self._find(target))

    def last(self, *, kind: Kind = Kind.PLAY, instrument: str | None = None) -> Entry | None:
        """The entry of that kind saved last and not taken back; what `take_back` would undo."""
        found = self._database.rows(
            f"SELECT {_COLUMNS} FROM event WHERE {_STANDING} AND kind = ? "  # noqa: S608
            "AND (? IS NULL OR instrument IS NULL OR instrument = ?) ORDER BY seq DESC LIMIT 1",
            (kind, instrument, instrument),
        )
        return _entry(found[0]) if found else None

    def entries(
        self,
        *,
        since: dt.date = dt.date.min,
        until: dt.date = dt.date.max,
        kinds: Collection[Kind] = tuple(Kind),
        instrument: str | None = None,
        taken_back: bool = False,
    ) -> list[Entry]:
        """Entries in the order of a replay: by date, changes of the list before plays, then as saved.

        Args:
            since: first date.
            until: last date.
            kinds: which kinds.
            instrument: only what belongs to it or to none in particular; None for all.
            taken_back: also those that were taken back, and the entries that did it.
        """
        where = "1" if taken_back else _STANDING
        found = self._database.rows(
            f"SELECT {_COLUMNS} FROM event WHERE {where} AND day BETWEEN ? AND ? "  # noqa: S608
            "AND (? IS NULL OR instrument IS NULL OR instrument = ?) ORDER BY day, kind = 'play', seq",
            (since.isoformat(), until.isoformat(), instrument, instrument),
        )
        return [entry for entry in map(_entry, found) if entry.kind in kinds]

    def as_saved(self) -> list[Entry]:
        """Every entry, in the order of saving."""
        found = self._database.rows(f"SELECT {_COLUMNS} FROM event ORDER BY seq")  # noqa: S608
        return [_entry(row) for row in found]

    def events(self, *, until: dt.date = dt.date.max, instrument: str | None = None) -> list[Event]:
        """What the rotation reads: by date, then as saved.

        Args:
            until: last date; later entries are left out.
            instrument: only what belongs to it or to none in particular, since neglect is judged for each
                instrument by itself; None for all.
        """
        found = self._database.records(_EVENT_OF, _EVENTS, (until.isoformat(), instrument, instrument))
        return sorted(found, key=attrgetter("day"))  # a log is saved almost by date

    def events_of(self, items: Collection[str], *, instrument: str | None = None) -> list[Event]:
        """What stands of some exercises, in the order of `events`; what was taken back is left out."""
        marks = ", ".join("?" * len(items))
        return self._database.records(
            _EVENT_OF,
            f"{_EVENT} WHERE item IN ({marks}) AND {_STANDING} AND {_WHOSE} ORDER BY day, seq",
            (*items, instrument, instrument),
        )

    def problems(self) -> list[str]:
        """What SQLite finds wrong with the file; empty if it is sound."""
        found = [str(row[0]) for row in self._database.rows("PRAGMA integrity_check")]
        lost = self._database.rows("PRAGMA foreign_key_check")
        return [line for line in found if line != "ok"] + [f"row {row[1]} refers to nothing" for row in lost]

    def _find(self, uid: str) -> Entry | None:
        found = self._database.rows(f"SELECT {_COLUMNS} FROM event WHERE uid = ?", (uid,))  # noqa: S608
        return _entry(found[0]) if found else None

    def _void_problem(self, entry: Entry) -> str | None:
        """Why a new entry cannot take back what it names."""
        if entry.takes_back is None:
            return None
        target = self._find(entry.takes_back)
        if target is None:
            return f'there is no entry "{clipped(entry.takes_back)}" to take back'
        if target.kind is Kind.VOID:
            return f'"{clipped(entry.takes_back)}" takes something back itself; enter the play again instead'
        gone = "SELECT 1 FROM event WHERE ref = (SELECT seq FROM event WHERE uid = ?) AND kind = 'void'"
        if self._database.rows(gone, (entry.takes_back,)):
            return f'"{clipped(entry.takes_back)}" has been taken back already'
        return None


def _clash(known: Entry, entry: Entry) -> str | None:
    """How an entry differs from the one in the log with the same uid."""
    different = [name for name in _FIELDS if getattr(known, name) != getattr(entry, name)]
    return f'"{clipped(entry.uid)}" is in the log with another {", ".join(different)}' if different else None


def _values(entry: Entry) -> tuple[str | int | None, ...]:
    """The values of an insertion."""
    values = [getattr(entry, name) for name in _FIELDS]
    values[_FIELDS.index("day")] = entry.day.isoformat()
    return tuple(values)


def _entry(row: Sequence[str | int | None]) -> Entry:
    """A row of `_COLUMNS` as an entry."""
    values = dict(zip(_FIELDS, row, strict=True))
    values["kind"] = Kind(str(values["kind"]))
    return Entry(**{**values, "day": dt.date.fromisoformat(str(values["day"]))})  # type: ignore[arg-type]
