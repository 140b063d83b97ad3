"""What a log knows of itself beside its entries: whose it is, how much it holds, and what this computer did last."""

from collections.abc import Iterable

from generator.practice_log.database import Database
from generator.practice_log.entry import seal_of

OWN = "id"
SUM = "sum"
COUNT = "count"
DISORDER = "disorder"
PLAYER = "player"
PRINTED = "printed"
INSTRUMENT = "instrument"
PLAN = "plan"
"""Names of the facts. Every log has a name of its own, the exclusive or of all seals and the number of entries; others
come as they arise: that the entries lie in another order than that of their moments, whose log it is, code and day of
the sheet printed last on this computer, and the instrument and the plan file it was printed for."""


class Facts:
    """The facts of one open log, each with a seal of its own."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, name: str) -> str | None:
        """A fact, or None."""
        found = self._database.rows("SELECT value FROM fact WHERE name = ?", (name,))
        return str(found[0][0]) if found else None

    def set(self, name: str, value: str) -> None:
        """Note a fact in place of what was noted under its name."""
        self._database.run(
            "INSERT INTO fact VALUES (?, ?, ?) "
            "ON CONFLICT (name) DO UPDATE SET value = excluded.value, seal = excluded.seal",
            (name, value, seal_of(name, value)),
        )

    def ids(self) -> tuple[str, ...]:
        """The names of all logs that have come together in this one, its own among them, in order."""
        return tuple(str(row[0]) for row in self._database.rows("SELECT id FROM whose ORDER BY id"))

    def add_ids(self, ids: Iterable[str], came: int | None) -> None:
        """Count the log of these names as one with this.

        Args:
            ids: the names.
            came: number of the import that brought them, or None.
        """
        for one in ids:
            self._database.run(
                "INSERT INTO whose VALUES (?, ?, ?) ON CONFLICT (id) DO NOTHING",
                (one, came, seal_of(one, came)),
            )
