"""The SQLite file under the log: opening, upgrading, transactions, and its troubles in plain words.

Nothing happens at import. This is the only module of the program that talks to SQLite.
"""

import contextlib
import sqlite3  # noqa: TID251
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from generator.errors import OutputError
from generator.files.drafts import Drafts
from generator.files.resources import is_full, why
from generator.practice_log.entry import EMPTY_SUM, seal_of, summed
from generator.practice_log.schema import APPLICATION_ID, MIGRATIONS, OLDEST_SQLITE, VERSION_3

MAGIC = b"SQLite format 3\0"
HEADER = 100
FULL_CODES = 0xFF  # extended result codes carry the plain one in their lowest byte
PAUSE = 0.02
LITTLE = 64 << 10  # bytes; with less room SQLite cannot make the files it needs beside the log
FULL = "could not be written: the disk is full; make room and try again (what was noted before is safe)"
CURE = "scalewright played --repair rebuilds it from what is whole, and keeps the damaged file"
DAMAGED = f"is damaged; {CURE}"
ADVICE = {
    sqlite3.SQLITE_BUSY: "is in use by another program; try again in a moment",
    sqlite3.SQLITE_LOCKED: "is in use by another program; try again in a moment",
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: "cannot be written: the file or its folder is read-only; another --home may do",
    sqlite3.SQLITE_CANTOPEN: "cannot be opened: check that the folder exists and may be written to",
    sqlite3.SQLITE_PERM: "cannot be opened: this user may not",
    sqlite3.SQLITE_NOTADB: "is not a practice log",
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_IOERR: "could not be read or written: the disk reports an error, or there is a limit (see: ulimit)",
}

Row = Sequence[str | int | None]
_open_here: Counter[Path] = Counter()
_counting = threading.Lock()
Record = TypeVar("Record")


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Turn what SQLite and the disk complain of into one line.

    Raises:
        OutputError: for any of it.
    """
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & FULL_CODES
        advice = ADVICE.get(code, f"could not be used: {error}")
        # On a full disk SQLite often gets no further than its lock or memory file, and says only that.
        if code in (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN) and is_full(path.parent, LITTLE):
            advice = FULL
        raise OutputError(f'The practice log "{path}" {advice}.') from error
    except UnicodeError as error:  # in what SQLite complains of, a name from the damaged file
        raise OutputError(f'The practice log "{path}" {DAMAGED}.') from error
    except OSError as error:
        raise OutputError(f'The practice log "{path}" could not be used: {why(error)}.') from error


class Database:
    """One open connection. Use it from one thread; several processes may have one each."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self.written = False
        self.doubtful = False
        self._others: object = None
        self._connection = connection
        self._place = path.absolute()
        self.is_closed = False
        with _counting:
            _open_here[self._place] += 1

    def rows(self, query: str, values: Row = ()) -> list[tuple[str | int | None, ...]]:
        """All rows of a query."""
        with plain_words(self.path):
            return self._connection.execute(query, values).fetchall()

    def records(self, make: Callable[[Iterable[Any]], Record], query: str, values: Row = ()) -> list[Record]:
        """All rows of a query, each made into a record that has its columns."""
        with plain_words(self.path):
            return list(map(make, self._connection.execute(query, values)))

    def run(self, statement: str, values: Row = ()) -> int:
        """Run one statement; the number of rows it changed."""
        with plain_words(self.path):
            return self._connection.execute(statement, values).rowcount

    def run_many(self, statement: str, rows: Iterable[Row]) -> None:
        """Run one statement for each row of values."""
        with plain_words(self.path):
            self._connection.executemany(statement, rows)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All or nothing. Takes the right to write at once, so what is read inside stays true."""
        self.run("BEGIN IMMEDIATE")
        try:
            yield
            self.run("COMMIT")
            self.written = True
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
            raise

    @contextmanager
    def lenient(self) -> Iterator[None]:
        """Inside, text that is no UTF-8 is read all the same, so that damage can be looked at."""
        self._connection.text_factory = lambda raw: raw.decode(errors="replace")
        try:
            yield
        finally:
            self._connection.text_factory = str

    def copy_to(self, path: Path) -> None:
        """Lay a copy of the whole log, as committed, at a path where nothing is yet.

        Raises:
            OutputError: it cannot be written; nothing is left there.
        """
        with plain_words(path), Drafts() as drafts:
            path.parent.mkdir(parents=True, exist_ok=True)
            part = drafts.name_in(path.parent)
            with (
                contextlib.closing(sqlite3.connect(self.path)) as source,
                contextlib.closing(sqlite3.connect(part)) as target,
            ):
                source.backup(target)
            part.replace(path)

    def was_alone(self) -> bool:
        """Whether no other program has written to the file since this was asked first."""
        found = self.rows("PRAGMA data_version")
        self._others = self._others or found
        return found == self._others

    def image(self) -> bytes:
        """The whole file as SQLite sees it at this moment, whatever still waits beside it to be written into it."""
        with plain_words(self.path):
            return self._connection.serialize()

    def close(self) -> None:
        """Close the file; closing twice is harmless."""
        with plain_words(self.path):
            self._connection.close()
        if not self.is_closed:
            self.is_closed = True
            with _counting:
                _open_here[self._place] -= 1


def is_open_here(path: Path) -> bool:
    """Whether this very process has the file open.

    Then it must not be read past SQLite: closing it would drop the locks that the system holds for the process.
    (SQLite's manual, "How To Corrupt An SQLite Database File", 2.2.)
    """
    return _open_here[path.absolute()] > 0


def open_database(
    path: Path, *, busy_seconds: float, migrations: Sequence[Sequence[str]] = MIGRATIONS
) -> Database:
    """Open the log at `path`, making or upgrading it as needed.

    A file that is not ours, or is from a newer version, is refused before anything is written to it or
    beside it. Before an upgrade a copy of the file is laid beside it.

    Args:
        path: the file; missing folders are made.
        busy_seconds: how long to wait for other programs.
        migrations: the steps that make the tables, oldest first.

    Raises:
        OutputError: the file cannot be opened, is newer, or is something else.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise OutputError(f"SQLite {sqlite3.sqlite_version} is too old for the practice log; 3.37 is needed.")
    with plain_words(path):
        _refuse_unread(path, len(migrations))
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=busy_seconds, isolation_level=None)
    database = Database(path, connection)
    try:
        _refuse_foreign(database, len(migrations))
        _write_ahead(database, busy_seconds)
        database.run("PRAGMA synchronous = FULL")  # an entry that was acknowledged survives a power cut
        if _version(database) < len(migrations):
            connection.create_function("seal_of", -1, seal_of, deterministic=True)
            connection.create_aggregate("sum_of_seals", 1, _Sum)  # type: ignore[arg-type]
            _upgrade(database, migrations)
        database.run("PRAGMA foreign_keys = ON")
    except BaseException:
        database.close()
        raise
    return database


class _Sum:
    def __init__(self) -> None:
        self.total = EMPTY_SUM

    def step(self, seal: str) -> None:
        self.total = summed(self.total, [seal])

    def finalize(self) -> str:
        return self.total


def _version(database: Database) -> int:
    return int(database.rows("PRAGMA user_version")[0][0] or 0)


def _refuse_unread(path: Path, newest: int) -> None:
    """Look at the file's first bytes only, so that a file to be refused is not even opened by SQLite."""
    if not path.exists() or is_open_here(path):
        return
    with path.open("rb") as file:
        header = file.read(HEADER)
    if not header:
        return
    if len(header) < HEADER or not header.startswith(MAGIC):
        raise OutputError(f'The practice log "{path}" is not a practice log.')
    version, owner = int.from_bytes(header[60:64], "big"), int.from_bytes(header[68:72], "big")
    _refuse(path, version, owner, newest, empty=True)  # whether it has tables is not to be seen here


def _refuse_foreign(database: Database, newest: int) -> None:
    """The same as SQLite sees it: the latest version number may still be in the write-ahead file."""
    owner = int(database.rows("PRAGMA application_id")[0][0] or 0)
    empty = not database.rows("SELECT 1 FROM sqlite_master LIMIT 1")
    _refuse(database.path, _version(database), owner, newest, empty=empty)


def _refuse(path: Path, version: int, owner: int, newest: int, *, empty: bool) -> None:
    if owner == APPLICATION_ID:
        if version > newest:
            raise OutputError(
                f'The practice log "{path}" was written by a newer version of this program (log version '
                f"{version}, this program knows {newest}); nothing was changed. Use the newer program."
            )
    elif owner or version or not empty:
        # A file of ours that is just being made by another process has no owner yet, and no tables either.
        raise OutputError(f'"{path}" belongs to another program; it is not a practice log.')


def _write_ahead(database: Database, busy_seconds: float) -> None:
    """Readers and one writer at a time do not disturb each other in this mode."""
    if database.rows("PRAGMA journal_mode") == [("wal",)]:
        return
    patience = time.monotonic() + busy_seconds
    while True:
        try:
            database.run("PRAGMA journal_mode = WAL")
        except OutputError as error:
            code = getattr(error.__cause__, "sqlite_errorcode", 0) & FULL_CODES
            if code != sqlite3.SQLITE_BUSY or time.monotonic() > patience:
                raise
            time.sleep(PAUSE)  # SQLite itself does not wait for this one lock
        else:
            return


def _upgrade(database: Database, migrations: Sequence[Sequence[str]]) -> None:
    """Run the missing steps and the record that they ran in one transaction."""
    with database.transaction():
        version = _version(database)  # another process may have been faster
        if version < MIGRATIONS.index(VERSION_3) + 1 and database.rows(_LATER):
            raise OutputError(f'The practice log "{database.path}" {DAMAGED}.')
        if version and database.rows("PRAGMA integrity_check") != [("ok",)]:
            raise OutputError(f'The practice log "{database.path}" {DAMAGED}.')
        if 0 < version < len(migrations):
            _lay_beside(database, version)
        for number, statements in enumerate(migrations[version:], start=version + 1):
            for statement in statements:
                database.run(statement)
            database.run(f"PRAGMA user_version = {number}")
        database.run(f"PRAGMA application_id = {APPLICATION_ID}")


_LATER = "SELECT 1 FROM sqlite_master WHERE name = 'fact'"


def _lay_beside(database: Database, version: int) -> None:
    """A copy of the log as it was before an upgrade; never over an older copy."""
    path = database.path
    copy = path.with_name(f"{path.name}.v{version}.bak")
    number = 1
    while copy.exists():
        number += 1
        copy = path.with_name(f"{path.name}.v{version}.{number}.bak")
    database.copy_to(copy)
