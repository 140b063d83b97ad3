"""A damaged log is made anew from what is whole, in it and in its copies; the damaged file itself is kept as it was."""

import contextlib
import datetime as dt
import os
import shutil
import sqlite3  # noqa: TID251
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.errors import OutputError, RequestError, clipped
from generator.files.drafts import Drafts, scratch
from generator.files.resources import why
from generator.practice_log.copies import copies_of
from generator.practice_log.database import HEADER, MAGIC, open_database, plain_words
from generator.practice_log.entry import FIELDS, Entry, problems_of, seal_of
from generator.practice_log.event_table import EventTable, entry_of, is_void, moment_of
from generator.practice_log.facts import Facts
from generator.practice_log.laid_aside import begun, free_name, lay_aside
from generator.practice_log.log import BUSY_SECONDS, PracticeLog
from generator.practice_log.schema import APPLICATION_ID, MIGRATIONS

_SEALED = f"SELECT seq, {', '.join(FIELDS)}, seal, came FROM event"  # noqa: S608
_UNSEALED = (
    "SELECT seq, uid, kind, day, recorded_at, item, minutes, rating, tempo, goal, "
    "(SELECT uid FROM event AS target WHERE target.seq = event.ref), data, instrument, sheet, phrase, NULL, NULL, NULL "
    "FROM event"
)
_PAGE = 4096
UNREADABLE = (sqlite3.Error, ValueError)  # a damaged name or text is no UTF-8, which is a ValueError


@dataclass(frozen=True, slots=True)
class Repaired:
    """What was done.

    Attributes:
        entries: how many the log has now.
        from_copies: how many of them were whole in a copy only.
        lost: what is missing, a line each.
        aside: where the damaged file is now; None where the log was sound and nothing was done.
    """

    entries: int
    from_copies: int = 0
    lost: tuple[str, ...] = ()
    aside: Path | None = None


@dataclass
class _Found:
    """What a file still gives.

    Attributes:
        entries: whole entries by seal.
        imports: number of the import by seal, where there is one.
        spoilt: rows that are not what was saved, with what can be told of them.
        unread: numbers of rows that cannot be read at all.
        ids: the names of the log.
        count: how many entries there should be, if that is known.
        undone: numbers of the imports that were undone.
    """

    entries: dict[str, Entry] = field(default_factory=dict)
    imports: dict[str, int] = field(default_factory=dict)
    spoilt: list[str] = field(default_factory=list)
    unread: list[int] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)
    own: str = ""
    count: int | None = None
    undone: set[int] = field(default_factory=set)


def repair(path: Path, day: dt.date) -> Repaired:
    """Make a damaged log anew.

    Every entry that can still be read and is what was saved is kept; what is not is taken from a copy that has it. The
    damaged file is laid aside under another name, byte for byte, before the new one takes its place.

    Args:
        path: of the log.
        day: today, for the name of the damaged file.

    Raises:
        RequestError: there is no log.
        OutputError: it is in use, or nothing can be written; the damaged log is as it was.
    """
    if not path.exists():
        raise RequestError(f'there is no practice log "{path}"')
    with contextlib.suppress(OutputError), PracticeLog.open(path) as log:
        return Repaired(len(log.as_saved()))
    found = _salvaged(path)
    earlier = begun(path)
    if earlier is not None:  # what waited beside the log may have been laid aside already
        _fill_up(found, _salvaged(earlier))
    whole = len(found.entries)
    for copy in copies_of(path):
        _fill_up(found, _salvaged(copy))
    voids = [one for one in found.entries.values() if is_void(one)]
    targets = {(one.uid, one.seal) for one in found.entries.values()}
    idle = [one for one in voids if (one.takes_back, one.version) not in targets]
    kept = [one for one in found.entries.values() if one not in idle]
    lost = _lost(found, len(found.entries) - whole)
    lost += [f'what took back "{clipped(one.takes_back or "")}", which is lost itself' for one in idle]
    with Drafts() as drafts:
        with plain_words(path):
            new = drafts.name_in(path.parent)
        _make(new, found, kept)
        aside = lay_aside(path, new, earlier or free_name(path, day))
    return Repaired(len(kept), len(found.entries) - whole, tuple(lost), aside)


def _lost(found: _Found, regained: int) -> list[str]:
    told = list(dict.fromkeys(found.spoilt)) + [
        f"entry {number}, which cannot be read" for number in found.unread
    ]
    if found.count is None:
        return [*told, "perhaps more: how many entries there were cannot be read"]
    named = max(0, len(told) - regained)
    missing = found.count - len(found.entries) - named
    return [*told, f"{missing} entries of which nothing is left"] if missing > 0 else told


def _fill_up(found: _Found, other: _Found) -> None:
    """Add what a copy has and the log has lost, but not what an import brought that was undone since."""
    if found.ids and other.ids and not set(found.ids) & set(other.ids):
        return
    found.ids = found.ids or other.ids
    found.own = found.own or other.own
    for seal, entry in other.entries.items():
        came = other.imports.get(seal)
        if seal not in found.entries and (came is None or came not in found.undone):
            found.entries[seal] = entry
            if came is not None:
                found.imports[seal] = came


def _salvaged(path: Path) -> _Found:
    """Everything whole in a log file, read from a copy of it so that the file is not touched."""
    found = _Found()
    with scratch() as folder:
        copy = folder / "log.sqlite"
        try:
            shutil.copyfile(path, copy)
            beside = path.with_name(f"{path.name}-wal")
            if beside.is_file():
                shutil.copyfile(beside, copy.with_name("log.sqlite-wal"))
            _mend_head(copy)
        except OSError as error:
            raise OutputError(f'The practice log "{path}" could not be read: {why(error)}.') from error
        with (
            contextlib.suppress(*UNREADABLE),
            contextlib.closing(sqlite3.connect(copy, isolation_level=None)) as file,
        ):
            file.text_factory = lambda raw: raw.decode(errors="replace")
            file.execute(
                "PRAGMA writable_schema = ON"
            )  # then SQLite reads on past faults in the list of tables
            _read_notes(file, found)
            columns = {row[1] for row in file.execute("PRAGMA table_info(event)")}
            for values in _rows(file, found, _SEALED if "seal" in columns else _UNSEALED):
                _sort_in(found, values)
    for entry in [one for one in found.entries.values() if is_void(one) and one.version is None]:
        _give_version(found, entry)
    return found


def _give_version(found: _Found, void: Entry) -> None:
    """A void of an older log names its target by uid alone."""
    del found.entries[void.seal]
    for target in [one for one in found.entries.values() if one.uid == void.takes_back and not is_void(one)]:
        sealed = replace(void, version=target.seal)
        found.entries[sealed.seal] = sealed


def _mend_head(copy: Path) -> None:
    """Put right the first bytes, which are the same in every log of ours; the rest of the file tells the remainder.

    (The 100 bytes of the header: SQLite's manual, "Database File Format", 1.3.)
    """
    with copy.open("r+b") as file:
        head = bytearray(file.read(HEADER))
        if len(head) < HEADER:
            return
        size = file.seek(0, os.SEEK_END)
        head[:16] = MAGIC
        head[16:18] = _PAGE.to_bytes(2, "big")
        head[18:24] = bytes((2, 2, 0, 64, 32, 32))
        head[28:32] = (size // _PAGE).to_bytes(4, "big")
        head[44:48] = (4).to_bytes(4, "big")
        head[56:60] = (1).to_bytes(4, "big")
        head[68:72] = APPLICATION_ID.to_bytes(4, "big")
        head[72:92] = bytes(20)
        head[92:96] = head[24:28]
        file.seek(0)
        file.write(head)


def _read_notes(file: sqlite3.Connection, found: _Found) -> None:
    with contextlib.suppress(*UNREADABLE, TypeError):
        for name, value, seal in file.execute("SELECT name, value, seal FROM fact"):
            if seal_of(name, value) == seal and name == "count":
                found.count = int(value)
            elif seal_of(name, value) == seal and name == "id":
                found.own = value
    with contextlib.suppress(*UNREADABLE):
        found.ids = [
            one for one, came, seal in file.execute("SELECT * FROM whose") if seal_of(one, came) == seal
        ]
    with contextlib.suppress(*UNREADABLE):
        found.undone = {row[0] for row in file.execute("SELECT number FROM import WHERE undone")}


def _rows(file: sqlite3.Connection, found: _Found, query: str) -> Iterator[tuple[object, ...]]:
    """Every row that can be reached: straight through, then from the other end, then one by one."""
    seen: set[int] = set()
    for order in ("ASC", "DESC"):
        try:
            for row in file.execute(f"{query} NOT INDEXED ORDER BY seq {order}"):
                seen.add(row[0])
                yield row  # two may have one number, where the number is what was damaged
        except UNREADABLE:
            continue
        return
    for number in sorted(set(range(1, _last(file, seen) + 1)) - seen):
        row = _one_row(file, query, number)
        if row:
            yield row
        elif row is None:
            found.unread.append(number)


def _one_row(file: sqlite3.Connection, query: str, number: int) -> tuple[object, ...] | None:
    """A row by its number; empty if there is none; None if it cannot be read."""
    for way in (query, query.replace("seal, came", "seal, NULL")):  # the rest may be whole
        with contextlib.suppress(*UNREADABLE):
            return file.execute(f"{way} NOT INDEXED WHERE seq = ?", (number,)).fetchone() or ()
    return None


def _last(file: sqlite3.Connection, seen: Iterable[int]) -> int:
    """The highest number that an entry can have."""
    highest = max(seen, default=0)
    with contextlib.suppress(*UNREADABLE, TypeError):
        highest = max(
            highest, int(file.execute("SELECT seq FROM sqlite_sequence WHERE name = 'event'").fetchone()[0])
        )
    return min(highest, 10_000_000)


def _sort_in(found: _Found, row: tuple[object, ...]) -> None:
    number, *values, seal, came = row
    if seal is not None and seal_of(*values) != seal:
        found.spoilt.append(f"entry {number} of {clipped(str(values[2]))}, in which something has changed")
        return
    try:
        entry = entry_of(values)  # type: ignore[arg-type]
        sound = not problems_of(entry)
    except (ValueError, TypeError):
        sound = False
    if not sound:
        found.spoilt.append(f"entry {number}, which is none")
        return
    found.entries[entry.seal] = entry
    if isinstance(came, int):
        found.imports[entry.seal] = came


def _make(path: Path, found: _Found, entries: list[Entry]) -> None:
    """A new log with these entries."""
    with contextlib.closing(
        open_database(path, busy_seconds=BUSY_SECONDS, migrations=MIGRATIONS)
    ) as database:
        facts = Facts(database)
        table = EventTable(database, facts)
        with database.transaction():
            if found.own:
                database.run("DELETE FROM whose")
                facts.set("id", found.own)
            facts.add_ids(found.ids or [found.own or str(facts.get("id"))], None)
            table.put(sorted(entries, key=moment_of))
    with PracticeLog.open(path):  # it is looked through once before it takes the place of the old one
        pass
