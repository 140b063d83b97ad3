"""Whether a log still holds what was put into it.

Each entry carries the digest of what it holds, and the log the count of its entries and the sum of their digests. So
bytes that changed on the disk, entries that are gone and triggers that somebody put in are found before anything is
read. Looking at every entry takes a moment in a log of many years; so the digest of a whole file in which all was
sound is kept beside it, and a file with that digest is not looked at again.
"""

import contextlib
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path

from generator.errors import OutputError, clipped
from generator.files.atomic import place
from generator.practice_log.database import CURE, Database, is_open_here
from generator.practice_log.entry import EMPTY_SUM, FIELDS, seal_of, summed
from generator.practice_log.facts import COUNT, DISORDER, SUM
from generator.practice_log.schema import VERSION_3

_VALUES = ", ".join(FIELDS)
_COLUMNS = {*FIELDS, "seq", "seal", "ref", "came"}
_MOST_NAMED = 3


def digest_of(path: Path) -> str | None:
    """The digest of a log that nobody in this process has open, or None where the file alone does not tell."""
    if is_open_here(path) or _waits(path):
        return None
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None


def make_sure(database: Database, digest: str | None) -> None:
    """Look through a log, unless it was found sound just as it is.

    Args:
        database: the log.
        digest: of its file as it was opened, or None if that is not known.

    Raises:
        OutputError: it is damaged; one line says in what.
    """
    database.was_alone()
    digest = digest or sha256(database.image()).hexdigest()
    note = _note_of(database.path)
    try:
        known = note.read_text("ascii").strip()
    except (OSError, ValueError):
        known = ""
    if known == digest:
        return
    found = faults_of(database)
    if found:
        more = f", and {len(found) - _MOST_NAMED} more" if len(found) > _MOST_NAMED else ""
        told = "; ".join(found[:_MOST_NAMED])
        raise OutputError(f'The practice log "{database.path}" is damaged: {told}{more}; {CURE}.')
    _remember(note, digest)


def close_soundly(database: Database) -> None:
    """Close a log that was opened soundly, and keep the digest of what it became, if that is its own work alone."""
    ours = database.written and not database.doubtful and not database.is_closed and database.was_alone()
    database.close()
    if ours and (digest := digest_of(database.path)):
        _remember(_note_of(database.path), digest)


def _note_of(path: Path) -> Path:
    return path.with_name(f"{path.name}.sound")


def _waits(path: Path) -> bool:
    """Whether something still waits beside the file to be written into it."""
    try:
        return path.with_name(f"{path.name}-wal").stat().st_size > 0
    except OSError:
        return False


def _remember(note: Path, digest: str) -> None:
    with contextlib.suppress(OutputError):  # then it is looked through again next time
        place(digest.encode(), note, lasting=False)


def faults_of(database: Database) -> list[str]:
    """Everything that is wrong with a log, in a few words each.

    Raises:
        OutputError: it is too damaged to be looked through.
    """
    found: list[str] = []
    with database.lenient():
        database.run("BEGIN")
        try:
            for step in (_structure, _triggers, _entries, _voids, _notes):
                found += step(database)
                if found and step is _structure:
                    break
        finally:
            with contextlib.suppress(OutputError):
                database.run("COMMIT")
    return found


def _structure(database: Database) -> Iterator[str]:
    if database.rows("PRAGMA integrity_check(1)") != [("ok",)]:
        yield "the parts of the file do not fit together"
    columns = {str(row[1]) for row in database.rows("PRAGMA table_info(event)")}
    if not columns >= _COLUMNS:
        yield "the table of entries has lost columns"


def _triggers(database: Database) -> Iterator[str]:
    wanted = {_plain(text) for text in VERSION_3 if text.startswith("CREATE TRIGGER")}
    for name, text in database.rows("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"):
        if _plain(str(text)) in wanted:
            wanted.discard(_plain(str(text)))
        else:
            yield f'it holds a trigger "{clipped(str(name))}" that this program did not make'
    if wanted:
        yield "it has lost what keeps entries from being changed"


def _plain(text: str) -> str:
    return " ".join(text.replace('"', "").split())


def _entries(database: Database) -> Iterator[str]:
    """Entries that are not what was saved, and whether all are there, in the order that the log believes."""
    rows = database.rows(f"SELECT seal, seq, {_VALUES} FROM event NOT INDEXED ORDER BY seq")  # noqa: S608
    seals: list[str] = []
    before: tuple[object, ...] = ()
    ordered = True
    for seal, seq, *values in rows:
        if seal_of(*values) != seal:
            yield f"entry {seq} (of {clipped(str(values[2]))}) is not what was saved"
            continue
        seals.append(str(seal))
        here = (str(values[3]), values[1] == "void", str(values[0]), str(seal))
        ordered = ordered and (not before or before < here)
        before = here
    facts = {str(name): str(value) for name, value in database.rows("SELECT name, value FROM fact")}
    if len(rows) != _number(facts.get(COUNT)):
        yield f"{facts.get(COUNT, 'no number of')} entries were saved and {len(rows)} are there"
    elif len(seals) == len(rows) and summed(EMPTY_SUM, seals) != facts.get(SUM, EMPTY_SUM):
        yield "the entries are not those that were saved"
    if not ordered and DISORDER not in facts:
        yield "the order of the entries has changed"


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() else 0 if text is None else -1


def _voids(database: Database) -> Iterator[str]:
    lost = database.rows(
        "SELECT void.seq FROM event AS void LEFT JOIN event AS target ON target.seq = void.ref "
        "WHERE void.kind = 'void' AND (target.uid IS NOT void.takes_back OR target.seal IS NOT void.version) "
        "OR void.kind <> 'void' AND void.ref IS NOT NULL"
    )
    for (seq,) in lost:
        yield f"entry {seq} takes back another entry than it says"
    several = database.rows(
        "SELECT uid, seq, recorded_at, seal, "
        "EXISTS (SELECT 1 FROM event AS void WHERE void.ref = event.seq AND void.kind = 'void') "
        "FROM event WHERE kind <> 'void' AND uid IN (SELECT uid FROM event GROUP BY uid HAVING count(*) > 1)"
    )
    standing: dict[str, list[tuple[str, str, int]]] = {}
    for uid, seq, moment, seal, gone in several:
        if not gone:
            standing.setdefault(str(uid), []).append((str(moment), str(seal), int(seq or 0)))
    expected = {one[2] for those in standing.values() for one in sorted(those)[:-1]}
    if expected != {row[0] for row in database.rows("SELECT seq FROM outvoted")}:
        yield "it counts other entries than the ones noted last"


def _notes(database: Database) -> Iterator[str]:
    yield from _sealed(database, "fact", "name, value")
    yield from _sealed(database, "whose", "id, came")
    yield from _sealed(database, "import", "number, day, source, undone")
    if database.rows(
        "SELECT 1 FROM event WHERE came IS NOT NULL "
        "AND came NOT IN (SELECT number FROM import WHERE NOT undone) LIMIT 1"
    ):
        yield "an entry came by an import that never was"


def _sealed(database: Database, table: str, columns: str) -> Iterable[str]:
    for *values, seal in database.rows(f"SELECT {columns}, seal FROM {table}"):  # noqa: S608
        if seal_of(*values) != seal:
            yield f"what is noted of the log itself has changed ({table})"
