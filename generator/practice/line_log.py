"""What the log says of a player's list, every exercise under the name of its line."""

import datetime as dt
from collections.abc import Iterable

from generator.practice.asking import by_line
from generator.practice.repertoire import Repertoire
from generator.practice_log import PracticeLog
from generator.rotation import Event


def events_of_list(
    log: PracticeLog, repertoire: Repertoire, known: Iterable[str] = (), until: dt.date = dt.date.max
) -> list[Event]:
    """The log as the rotation reads it.

    Args:
        log: the log.
        repertoire: the list.
        known: ids that are those of lines for sure, to save the trouble.
        until: last date.
    """
    return by_line(log.events(until=until, instrument=repertoire.instrument), repertoire.instrument, known)
