"""The practice log: one append-only SQLite file.

    with PracticeLog.open(path) as log:
        log.append([Entry(uid, Kind.PLAY, day, utc_text(now), item="G major in thirds", rating=3)])
        events = log.events(instrument="clarinet")

Several programs may have the same log open. Dates, times and uids come from the caller. What is promised for the log,
and what is not, stands in DEVELOPERS.md.
"""

from generator.practice_log.entry import Entry, Kind, utc_text
from generator.practice_log.joining import Saved
from generator.practice_log.log import PracticeLog
from generator.practice_log.written import Format

__all__ = ["Entry", "Format", "Kind", "PracticeLog", "Saved", "utc_text"]
