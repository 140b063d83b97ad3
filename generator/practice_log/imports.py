"""What came from other logs, and taking it out again whole."""

import datetime as dt
from dataclasses import dataclass

from generator.errors import RequestError
from generator.practice_log.database import Database
from generator.practice_log.entry import seal_of
from generator.practice_log.event_table import EventTable
from generator.practice_log.facts import Facts
from generator.practice_log.schema import ALLOW_DELETE, FORBID_DELETE


@dataclass(frozen=True, slots=True)
class Import:
    """One import that still stands.

    Attributes:
        number: counted from 1.
        day: when it was made.
        source: what the file was called.
        entries: how many it brought.
        latest: the last row that it brought.
    """

    number: int
    day: dt.date
    source: str
    entries: int
    latest: int


class Imports:
    """The imports of one open log."""

    def __init__(self, database: Database, facts: Facts, table: EventTable) -> None:
        self._database = database
        self._facts = facts
        self._table = table

    def begin(self, source: str, day: dt.date) -> int:
        """Note an import, inside a transaction; its number."""
        number = int(self._database.rows("SELECT max(number) FROM import")[0][0] or 0) + 1
        values = (number, day.isoformat(), source, 0)
        self._database.run("INSERT INTO import VALUES (?, ?, ?, ?, ?)", (*values, seal_of(*values)))
        return number

    def last(self) -> Import | None:
        """The one made last that was not undone and brought something."""
        found = self._database.rows(
            "SELECT number, import.day, source, count(*), max(seq) FROM import JOIN event ON came = number "
            "WHERE NOT undone GROUP BY number ORDER BY number DESC LIMIT 1"
        )
        if not found:
            return None
        number, day, source, entries, latest = found[0]
        return Import(
            int(number or 0),
            dt.date.fromisoformat(str(day)),
            str(source),
            int(entries or 0),
            int(latest or 0),
        )

    def undo(self, one: Import) -> None:
        """Take out all that an import brought, as if it had never been.

        Raises:
            RequestError: something noted since rests on what it brought.
        """
        brought = "SELECT seq FROM event WHERE came = ?"
        with self._database.transaction():
            if self._database.rows(
                f"SELECT 1 FROM event WHERE ref IN ({brought}) AND came IS NOT ? LIMIT 1",  # noqa: S608
                (one.number, one.number),
            ):
                raise RequestError(
                    f"the import of {one.source} cannot be undone any more: "
                    "something noted since takes back a part of it"
                )
            self._database.run(ALLOW_DELETE)
            self._table.take_out(one.number)
            self._database.run(FORBID_DELETE)
            self._database.run("DELETE FROM whose WHERE came = ?", (one.number,))
            values = (one.number, one.day.isoformat(), one.source, 1)
            self._database.run(
                "UPDATE import SET undone = 1, seal = ? WHERE number = ?", (seal_of(*values), one.number)
            )
