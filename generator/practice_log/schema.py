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

# Since then an entry is known by its seal. Its uid says what it is about, and logs that were kept on two computers may
# hold two entries about one thing, so uids are no longer unique; a void names the very entry that it takes back.
_SEALED = """
CREATE TABLE new_event (
  seq         INTEGER PRIMARY KEY AUTOINCREMENT,
  uid         TEXT NOT NULL,
  kind        TEXT NOT NULL CHECK (kind IN ('item_in','item_out','play','void','budget','target','sheet')),
  day         TEXT NOT NULL CHECK (length(day) = 10 AND date(day, '+0 days') IS day),
  recorded_at TEXT NOT NULL,
  item        TEXT,
  minutes     INTEGER CHECK (minutes IS NULL OR minutes BETWEEN 1 AND 600),
  rating      INTEGER CHECK (rating IS NULL OR rating BETWEEN 1 AND 4),
  tempo       INTEGER CHECK (tempo IS NULL OR tempo BETWEEN 1 AND 1000),
  goal        INTEGER CHECK (goal IS NULL OR goal BETWEEN 1 AND 1000),
  takes_back  TEXT,
  data        TEXT,
  instrument  TEXT,
  sheet       TEXT,
  phrase      TEXT,
  version     TEXT,
  seal        TEXT NOT NULL,
  ref         INTEGER REFERENCES event(seq),
  came        INTEGER REFERENCES import(number),
  UNIQUE (uid, seal),
  CHECK (kind <> 'play'     OR (item IS NOT NULL AND rating IS NOT NULL)),
  CHECK (kind <> 'item_in'  OR (item IS NOT NULL AND minutes IS NOT NULL)),
  CHECK (kind <> 'item_out' OR item IS NOT NULL),
  CHECK (kind <> 'void'     OR (ref IS NOT NULL AND takes_back IS NOT NULL AND version IS NOT NULL))
) STRICT
"""


def _fields(table: str, takes_back: str, version: str) -> str:
    before = ("uid", "kind", "day", "recorded_at", "item", "minutes", "rating", "tempo", "goal")
    after = ("data", "instrument", "sheet", "phrase")
    return ", ".join(
        [*(f"{table}.{name}" for name in before), takes_back, *(f"{table}.{name}" for name in after), version]
    )


_TARGET = f"seal_of({_fields('target', 'NULL', 'NULL')})"
_VERSION = f"CASE WHEN target.seq IS NULL THEN NULL ELSE {_TARGET} END"
_OLD = _fields("old", "target.uid", _VERSION)

_NOTES = (
    """
CREATE TABLE import (
  number INTEGER PRIMARY KEY, day TEXT NOT NULL, source TEXT NOT NULL, undone INTEGER NOT NULL, seal TEXT NOT NULL
) STRICT
""",
    "CREATE TABLE whose (id TEXT PRIMARY KEY, came INTEGER, seal TEXT NOT NULL) STRICT",
    "CREATE TABLE fact (name TEXT PRIMARY KEY, value TEXT NOT NULL, seal TEXT NOT NULL) STRICT",
    "CREATE TABLE outvoted (seq INTEGER PRIMARY KEY) STRICT",
)
_CARRIED_OVER = f"""
INSERT INTO new_event SELECT old.seq, {_OLD}, seal_of({_OLD}), old.ref, NULL
FROM event AS old LEFT JOIN event AS target ON target.seq = old.ref ORDER BY old.seq
"""  # noqa: S608
_OWN_NAME = """
WITH own(id) AS MATERIALIZED (SELECT lower(hex(randomblob(8))))
INSERT INTO whose SELECT id, NULL, seal_of(id, NULL) FROM own
"""
_SUM = """
INSERT INTO fact SELECT 'sum', s, seal_of('sum', s)
FROM (SELECT coalesce(sum_of_seals(seal), '000000000000000000000000') AS s FROM event)
"""
_DISORDER = """
INSERT INTO fact SELECT 'disorder', '1', seal_of('disorder', '1') WHERE EXISTS (
  SELECT 1 FROM event AS one JOIN event AS two ON two.seq = (SELECT min(seq) FROM event WHERE seq > one.seq)
  WHERE (one.recorded_at, one.kind = 'void', one.uid, one.seal)
    > (two.recorded_at, two.kind = 'void', two.uid, two.seal)
)
"""

VERSION_3 = (
    *_NOTES,
    _SEALED,
    _CARRIED_OVER,
    "DROP TABLE event",
    "ALTER TABLE new_event RENAME TO event",
    "CREATE INDEX event_by_day ON event(day, seq)",
    "CREATE INDEX event_by_item ON event(item, day, seq) WHERE item IS NOT NULL",
    "CREATE INDEX event_by_ref ON event(ref) WHERE kind = 'void'",
    _OWN_NAME,
    "INSERT INTO fact SELECT 'id', id, seal_of('id', id) FROM whose",
    "INSERT INTO fact SELECT 'count', n, seal_of('count', n) FROM (SELECT CAST(count(*) AS TEXT) AS n FROM event)",
    _SUM,
    _DISORDER,
    f"CREATE TRIGGER event_no_update BEFORE UPDATE ON event {_NO_CHANGE}",
    f"CREATE TRIGGER event_no_delete BEFORE DELETE ON event {_NO_CHANGE}",
)

# For the one case in which entries go: an import that is undone before anything of one's own rests on it.
ALLOW_DELETE = "DROP TRIGGER event_no_delete"
FORBID_DELETE = VERSION_3[-1]

MIGRATIONS: tuple[tuple[str, ...], ...] = (VERSION_1, VERSION_2, VERSION_3)
