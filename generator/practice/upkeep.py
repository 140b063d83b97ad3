"""Double and triple tonguing are kept alive by themselves, every third practice day, whatever exercise they come on.

What slips first when they rest is their evenness, not their speed, so a little and often does more than their turn
among ten articulations, which comes every few weeks. (A flute and brass teacher's rule; common practice, no source.)
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from generator.practice.repertoire import KeptExercise, Repertoire
from generator.practice_log import Kind, PracticeLog
from generator.rotation import Event

KINDS = ("double tongue", "triple tongue")
EVERY_DAYS = 3


@dataclass(frozen=True, slots=True)
class Upkeep:
    """What is due on one day.

    Attributes:
        kind: double tongue or triple tongue.
        names: the articulations of that kind that a row asks for, by the number of what is asked.
        item_ids: the exercises that may wear it.
    """

    kind: str
    names: dict[int, str]
    item_ids: frozenset[str]

    @property
    def words(self) -> str:
        """For the reason of a row."""
        return f"{self.kind}, kept alive every {EVERY_DAYS} practice days"

    def stroke_on(self, kept: KeptExercise) -> str:
        """The articulation an exercise can wear for it, or ""."""
        return next((self.names[number] for number in kept.asked if number in self.names), "")


def upkeep_due(
    log: PracticeLog, repertoire: Repertoire, events: Sequence[Event], day: dt.date
) -> tuple[Upkeep, ...]:
    """What was not played on the last two days with a play.

    Args:
        log: the log.
        repertoire: the list.
        events: what the log says.
        day: the day of the sheet.
    """
    asked = list(_asked(repertoire))
    if not asked:
        return ()
    today = day.isoformat()
    dates = sorted({event.day for event in events if event.kind == "play" and event.day < today})
    worn = " ".join(_phrases(log, dates[1 - EVERY_DAYS :], repertoire.instrument))
    return tuple(upkeep for upkeep in asked if upkeep.kind not in worn)


def _phrases(log: PracticeLog, dates: Sequence[str], instrument: str) -> Iterable[str]:
    """The phrases of what was played on some days."""
    if not dates:
        return ()
    first, last = (dt.date.fromisoformat(one) for one in (dates[0], dates[-1]))
    entries = log.entries(since=first, until=last, kinds=(Kind.PLAY,), instrument=instrument)
    return (entry.phrase or "" for entry in entries)


def _asked(repertoire: Repertoire) -> Iterator[Upkeep]:
    """Both kinds, as far as rows ask for them."""
    for kind in KINDS:
        names = {
            number: up
            for number, asking in enumerate(repertoire.askings)
            for up, _ in reversed(asking.dressing.articulations)
            if up.startswith(kind)
        }
        if names:
            columns = repertoire.columns
            pairs = zip(columns.names, columns.asked, strict=True)
            ids = (repertoire.item_id(name) for name, asked in pairs if not names.keys().isdisjoint(asked))
            yield Upkeep(kind, names, frozenset(ids))
