"""The practice log: one append-only SQLite file.

    with PracticeLog.open(path) as log:
        log.append([Entry(uid, Kind.PLAY, day, utc_text(now), item="G major in thirds", rating=3)])
        events = log.events(instrument="clarinet")

Several programs may have the same log open. Dates, times and uids come from the caller.
"""

from generator.practice_log.entry import Entry, Kind, utc_text
from generator.practice_log.log import PracticeLog, Saved
from generator.practice_log.transfer import Format, export_log, import_log

__all__ = ["Entry", "Format", "Kind", "PracticeLog", "Saved", "export_log", "import_log", "utc_text"]
