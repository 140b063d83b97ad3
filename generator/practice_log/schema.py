"""The tables of the log, as the list of steps that made them.

A step that has been released is never edited; a change is a new step at the end.
"""

APPLICATION_ID = 0x53434C57  # "SCLW": tells our files from other SQLite files
OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables

# date(day) accepts 2027-02-29 and gives it back unchanged; with a modifier it is normalised and the
# comparison fails. IS rather than =, because a CHECK that comes out NULL passes.
_EVENT = """
CREATE TABLE event (
  seq         INTEGER PRIMARY KEY AUTOINCREMENT,
  uid         TEXT NOT NULL UNIQUE,
  kind        TEXT NOT NULL CHECK (kind IN ('item_in','item_out','play','void','budget','target','sheet')),
  day         TEXT NOT NULL CHECK (length(day) = 10 AND date(day, '+0 days') IS day),
  recorded_at TEXT NOT NULL,
  item        TEXT,
  minutes     INTEGER CHECK (minutes IS NULL OR minutes BETWEEN 1 AND 600),
  rating      INTEGER CHECK (rating IS NULL OR rating BETWEEN 1 AND 4),
  tempo       INTEGER CHECK (tempo IS NULL OR tempo BETWEEN 1 AND 1000),
  goal        INTEGER CHECK (goal IS NULL OR goal BETWEEN 1 AND 1000),
  ref         INTEGER REFERENCES event(seq),
  data        TEXT,
  instrument  TEXT,
  sheet       TEXT,
  phrase      TEXT,
  CHECK (kind <> 'play'     OR (item IS NOT NULL AND rating IS NOT NULL)),
  CHECK (kind <> 'item_in'  OR (item IS NOT NULL AND minutes IS NOT NULL)),
  CHECK (kind <> 'item_out' OR item IS NOT NULL),
  CHECK (kind <> 'void'     OR ref IS NOT NULL)
) STRICT
"""

_NO_CHANGE = "BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END"

VERSION_1 = (
    _EVENT,
    "CREATE INDEX event_by_day ON event(day, seq)",
    "CREATE INDEX event_by_item ON event(item, day, seq) WHERE item IS NOT NULL",
    "CREATE UNIQUE INDEX one_void ON event(ref) WHERE kind = 'void'",
    f"CREATE TRIGGER event_no_update BEFORE UPDATE ON event {_NO_CHANGE}",
    f"CREATE TRIGGER event_no_delete BEFORE DELETE ON event {_NO_CHANGE}",
)

# Earlier programs kept a cache's digests in the log; nothing reads them any more, and many a log never had them.
VERSION_2 = ("DROP TABLE IF EXISTS vouched",)

MIGRATIONS: tuple[tuple[str, ...], ...] = (VERSION_1, VERSION_2)
