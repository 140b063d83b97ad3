"""What becomes of entries that are put into a log, one's own or those of another log, inside one transaction."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from generator.errors import clipped
from generator.practice_log.entry import Entry, Kind
from generator.practice_log.event_table import EventTable, is_void
from generator.practice_log.facts import Facts
from generator.practice_log.imports import Imports

Problems = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of some entries.

    Attributes:
        added: how many are new in the log.
        present: how many were there already.
        problems: (place in the sequence, reason) of those that cannot be saved; then none was.
        differ: plays of which the two logs said different things: what counts now, then the other.
    """

    added: int
    present: int
    problems: Problems = ()
    differ: tuple[tuple[Entry, Entry], ...] = ()


class UnsavableError(Exception):
    """Rolls a transaction back; never leaves `PracticeLog`."""

    def __init__(self, problems: Iterable[tuple[int, str]]) -> None:
        super().__init__()
        self.problems = tuple(problems)


class Joining:
    """Puts entries into a table; the transaction around it is the caller's."""

    def __init__(self, table: EventTable, facts: Facts, imports: Imports) -> None:
        self._table = table
        self._facts = facts
        self._imports = imports

    def put_own(self, entries: Sequence[Entry]) -> int:
        """Put in what is new among entries of one's own; how many of them were.

        Raises:
            UnsavableError: one takes back what is not there or was taken back before.
        """
        new: dict[str, Entry] = {}
        for entry in entries:
            if not is_void(entry) and entry.uid not in new and not self._table.about(entry.uid):
                new[entry.uid] = entry
        self._table.put(list(new.values()))
        problems: list[tuple[int, str]] = []
        voids: dict[str, Entry] = {}
        taking = 0
        for place, entry in enumerate(entries):
            if not is_void(entry):
                continue
            targets = self._table.about(entry.takes_back or "")
            wanted = [
                one
                for one in targets
                if not one.gone and one.seal not in voids and entry.version in (None, one.seal)
            ]
            if wanted and not any(is_void(one.entry) for one in targets):
                taking += 1
                voids |= {one.seal: replace(entry, version=one.seal) for one in wanted}
            elif not self._table.about(entry.uid) and not any(one.uid == entry.uid for one in voids.values()):
                problems.append((place, _why_not(entry, [one.entry for one in targets])))
        if problems:
            raise UnsavableError(problems)
        self._table.put(list(voids.values()))
        return len(new) + taking

    def merge(self, entries: Sequence[Entry], ids: Iterable[str], source: str, day: dt.date) -> Saved:
        """Put in the entries of another log that are not in this one, see `PracticeLog.merge`.

        Raises:
            UnsavableError: one takes back what neither log has.
        """
        given = self._resolved(entries)
        known = self._table.seals()
        new = {one.seal: one for one in given if (one.uid, one.seal) not in known}
        added = sum(not self._is_said(one) for one in new.values())
        plays = {one.uid for one in new.values() if one.kind is Kind.PLAY}
        before = self._counting(plays)
        came = self._imports.begin(source, day) if new else None
        self._table.put(list(new.values()), came)
        after = self._counting(plays)
        if own := self._facts.get("id"):
            self._facts.add_ids({*ids} - {own}, came)
        other = {one.uid: one for one in given if one.uid in plays}
        differ = [
            (after[uid], other[uid] if after[uid] == one else one)
            for uid, one in before.items()
            if uid in after
        ]
        told = tuple(two for two in differ if _told(two[0]) != _told(two[1]))
        return Saved(added, len(entries) - added, (), told)

    def _resolved(self, entries: Sequence[Entry]) -> list[Entry]:
        """The entries, each void for one very entry, as older logs do not say it."""
        there: dict[str, list[str]] = {}
        for one in entries:
            if not is_void(one):
                there.setdefault(one.uid, []).append(one.seal)
        given: list[Entry] = []
        problems: list[tuple[int, str]] = []
        for place, one in enumerate(entries):
            if not is_void(one):
                given.append(one)
                continue
            uid = one.takes_back or ""
            inside = [two for two in self._table.about(uid) if uid not in there or one.version]
            versions = [*there.get(uid, ()), *(two.seal for two in inside)]
            wanted = [seal for seal in versions if one.version in (None, seal)]
            if not wanted or any(is_void(two.entry) for two in inside):
                problems.append((place, _why_not(one, [two.entry for two in inside])))
            given += [replace(one, version=seal) for seal in dict.fromkeys(wanted)]
        if problems:
            raise UnsavableError(problems)
        return given

    def _is_said(self, entry: Entry) -> bool:
        """Whether the log says the very same already, but for the moment."""
        return any(
            replace(one.entry, recorded_at=entry.recorded_at, data=entry.data) == entry
            for one in self._table.about(entry.uid)
        )

    def _counting(self, uids: Iterable[str]) -> dict[str, Entry]:
        """By uid, the entry that counts, where one does."""
        found = {uid: [one.entry for one in self._table.about(uid) if not one.gone] for uid in uids}
        return {uid: entries[-1] for uid, entries in found.items() if entries}


def _why_not(void: Entry, targets: Sequence[Entry]) -> str:
    """Why an entry cannot take back what it names."""
    name = clipped(void.takes_back or "")
    if not targets:
        return f'there is no entry "{name}" to take back'
    if any(is_void(one) for one in targets):
        return f'"{name}" takes something back itself; enter the play again instead'
    return f'"{name}" has been taken back already'


def _told(entry: Entry) -> tuple[object, ...]:
    """What a play says of how it went."""
    return entry.rating, entry.tempo, entry.minutes
