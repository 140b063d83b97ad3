"""The table of entries: putting in, finding, and which of several entries about one thing counts.

A log is a set of entries, each known by its seal. Two computers may note one thing differently: the entries then have
one uid and different seals, and all of them stay. Of those that nobody took back, the one whose moment is latest
counts; of one moment, the one with the greater seal. The others are outvoted, as if they had been taken back. What
was outvoted, and the order in which entries are read, follow from the set alone, so however logs are brought
together, the same entries are the same log.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.errors import OutputError
from generator.practice_log.database import CURE, Database
from generator.practice_log.entry import EMPTY_SUM, FIELDS, Entry, Kind, summed
from generator.practice_log.facts import COUNT, DISORDER, SUM, Facts

COLUMNS = ", ".join(f"event.{name}" for name in FIELDS)
STANDING = (
    "event.kind <> 'void' AND event.seq NOT IN (SELECT ref FROM event WHERE kind = 'void') "
    "AND event.seq NOT IN (SELECT seq FROM outvoted)"
)
_INSERT = (
    f"INSERT INTO event ({', '.join(FIELDS)}, seal, ref, came) "  # noqa: S608
    f"VALUES ({', '.join('?' * len(FIELDS))}, ?, ?, ?)"
)
_GONE = "EXISTS (SELECT 1 FROM event AS void WHERE void.ref = event.seq AND void.kind = 'void')"
_ORDER = "event.recorded_at, event.kind = 'void', event.uid, event.seal"


@dataclass(frozen=True, slots=True)
class Stored:
    """An entry in the table.

    Attributes:
        seq: its row.
        entry: what it says.
        seal: its seal.
        gone: it was taken back.
        came: number of the import that brought it, or None for one of this computer's own.
    """

    seq: int
    entry: Entry
    seal: str
    gone: bool
    came: int | None


class EventTable:
    """The entries of one open log."""

    def __init__(self, database: Database, facts: Facts) -> None:
        self._database = database
        self._facts = facts

    def seals(self) -> set[tuple[str, str]]:
        """Uid and seal of every entry."""
        return {(str(uid), str(seal)) for uid, seal in self._database.rows("SELECT uid, seal FROM event")}

    def about(self, uid: str) -> list[Stored]:
        """Every entry with a uid, in the order of their moments."""
        found = self._database.rows(
            f"SELECT event.seq, seal, came, {_GONE}, {COLUMNS} FROM event WHERE uid = ? ORDER BY {_ORDER}",  # noqa: S608
            (uid,),
        )
        return [
            Stored(
                int(seq or 0), entry_of(values), str(seal), bool(gone), None if came is None else int(came)
            )
            for seq, seal, came, gone, *values in found
        ]

    def put(self, entries: Sequence[Entry], came: int | None = None) -> None:
        """Put in entries that are not there yet, inside a transaction.

        Args:
            entries: sound ones; what a void takes back is there or among them.
            came: number of the import that brings them.

        Raises:
            OutputError: the file does not give back what was put in.
        """
        ordered = sorted(entries, key=moment_of)
        last = self._database.rows(f"SELECT {COLUMNS} FROM event ORDER BY seq DESC LIMIT 1")  # noqa: S608
        if ordered and last and moment_of(entry_of(last[0])) > moment_of(ordered[0]):
            self._facts.set(DISORDER, "1")
        place = {(one.uid, one.seal): number for number, one in enumerate(ordered)}
        early = {
            number
            for number, one in enumerate(ordered)
            if is_void(one) and place.get((one.takes_back or "", one.version or ""), -1) > number
        }
        if early:  # where clocks differ, a void may have an earlier moment than what it takes back
            ordered = [
                *(one for number, one in enumerate(ordered) if number not in early),
                *(ordered[number] for number in sorted(early)),
            ]
            self._facts.set(DISORDER, "1")
        for entry in ordered:
            self._put(entry, came)
        self._count(ordered)
        self._vote({entry.takes_back or entry.uid for entry in ordered})

    def _put(self, entry: Entry, came: int | None) -> None:
        seal = entry.seal
        ref = None
        if is_void(entry):
            found = self._database.rows(
                "SELECT seq FROM event WHERE uid = ? AND seal = ?", (entry.takes_back, entry.version)
            )
            ref = int(found[0][0] or 0) if found else None
        self._database.run(_INSERT, (*entry.values, seal, ref, came))
        kept = self._database.rows(
            f"SELECT {COLUMNS}, ref, came FROM event WHERE uid = ? AND seal = ?",  # noqa: S608
            (entry.uid, seal),
        )
        # A trigger that somebody put into the file may swallow or change what is written.
        if kept != [(*entry.values, ref, came)]:
            self._database.doubtful = True
            raise OutputError(
                f'The practice log "{self._database.path}" does not keep what is put in; nothing was noted. {CURE}.'
            )

    def _count(self, entries: Sequence[Entry]) -> None:
        count = int(self._facts.get(COUNT) or 0) + len(entries)
        self._facts.set(COUNT, str(count))
        self._facts.set(SUM, summed(self._facts.get(SUM) or EMPTY_SUM, (entry.seal for entry in entries)))

    def _vote(self, uids: Iterable[str]) -> None:
        """Settle anew which entry counts of each thing."""
        for uid in uids:
            about = [one for one in self.about(uid) if not is_void(one.entry)]
            standing = [one.seq for one in about if not one.gone]
            marked = "SELECT seq FROM outvoted WHERE seq IN (SELECT seq FROM event WHERE uid = ?)"
            before = {row[0] for row in self._database.rows(marked, (uid,))} if about else set()
            for seq in before - {*standing[:-1]}:
                self._database.run("DELETE FROM outvoted WHERE seq = ?", (seq,))
            for seq in {*standing[:-1]} - before:
                self._database.run("INSERT INTO outvoted VALUES (?)", (seq,))

    def take_out(self, came: int) -> None:
        """Take out what an import brought, inside a transaction in which entries may be removed."""
        gone = self._database.rows("SELECT uid, seal, takes_back FROM event WHERE came = ?", (came,))
        self._database.run(
            "DELETE FROM outvoted WHERE seq IN (SELECT seq FROM event WHERE came = ?)", (came,)
        )
        self._database.run("DELETE FROM event WHERE came = ? AND kind = 'void'", (came,))
        self._database.run("DELETE FROM event WHERE came = ?", (came,))
        count = int(self._facts.get(COUNT) or 0) - len(gone)
        self._facts.set(COUNT, str(count))
        self._facts.set(SUM, summed(self._facts.get(SUM) or EMPTY_SUM, (str(seal) for _, seal, _ in gone)))
        self._vote({str(back or uid) for uid, _, back in gone})

    def in_disorder(self) -> bool:
        """Whether the order of the rows is not that of the moments, so that it has to be found by sorting."""
        return self._facts.get(DISORDER) is not None

    @property
    def order(self) -> str:
        """The columns by which entries stand in the order of their moments."""
        return _ORDER if self.in_disorder() else "event.seq"


def is_void(entry: Entry) -> bool:
    """Whether an entry takes another back."""
    return entry.kind is Kind.VOID


def moment_of(entry: Entry) -> tuple[str, bool, str, str]:
    """The place of an entry among all: by moment; of one moment, voids last, then by uid and seal."""
    return entry.recorded_at, is_void(entry), entry.uid, entry.seal


def entry_of(row: Sequence[str | int | None]) -> Entry:
    """A row of `COLUMNS` as an entry."""
    values = dict(zip(FIELDS, row, strict=True))
    values["kind"] = Kind(str(values["kind"]))
    return Entry(**{**values, "day": dt.date.fromisoformat(str(values["day"]))})  # type: ignore[arg-type]
