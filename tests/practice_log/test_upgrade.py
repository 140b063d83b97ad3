"""Logs of version 1, which may hold the table of a cache that is gone."""

import datetime as dt
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace

import pytest

from generator.errors import OutputError
from generator.practice_log import Entry, Kind, PracticeLog
from generator.practice_log.database import open_database
from generator.practice_log.entry import FIELDS
from generator.practice_log.schema import APPLICATION_ID, MIGRATIONS, VERSION_1
from generator.rotation import Event, Item, plan_sheet

VOUCHED = "CREATE TABLE vouched (digest TEXT PRIMARY KEY) STRICT, WITHOUT ROWID"
ITEMS = [Item("G major"), Item("D major", catalogue=1), Item("A major", catalogue=2)]
DAY = dt.date(2027, 3, 9)
STAMP = "2027-03-05T17:04:09.123456+00:00"


def make_old(path, entries, *, vouched=True):
    """A log as version 1 of the program left it."""
    with closing(open_database(path, busy_seconds=1, migrations=(VERSION_1,))) as database:
        if vouched:
            database.run(VOUCHED)
            database.run("INSERT INTO vouched VALUES ('abc')")
        for entry in entries:
            note_as_then(database, entry)


def note_as_then(database, entry):
    """What version 1 of the program did to save an entry."""
    values = dict(zip(FIELDS, entry.values, strict=True))
    del values["version"]
    back = values.pop("takes_back")
    ref = database.rows("SELECT seq FROM event WHERE uid = ?", (back,))[0][0] if back else None
    names = (*values, "ref")
    statement = f"INSERT INTO event ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608
    database.run(statement, (*values.values(), ref))


def seen(path):
    """Version, owner, tables and every row of a log, as any other program sees them."""
    with closing(sqlite3.connect(path)) as file:
        version, owner = (
            file.execute(f"PRAGMA {name}").fetchone()[0] for name in ("user_version", "application_id")
        )
        tables = {name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        return version, owner, tables - {"sqlite_sequence"}, file.execute("SELECT * FROM event").fetchall()


@pytest.fixture
def entries(play, enter):
    return [
        enter("i1", "G major", "2027-03-01"),
        enter("i2", "D major", "2027-03-01"),
        play("u1", "G major", "2027-03-02", rating=2),
        play("u2", "D major", "2027-03-04", tempo=80, goal=100, data='{"a": 1}', instrument="flute"),
        play("u3", "A major", "2027-03-04"),
        Entry("v1", Kind.VOID, dt.date(2027, 3, 5), STAMP, takes_back="u3"),
    ]


def sealed(entries):
    """The same entries, each void naming the very entry that it takes back."""
    seals = {one.uid: one.seal for one in entries}
    return [replace(one, version=seals[one.takes_back]) if one.takes_back else one for one in entries]


TABLES = {"event", "fact", "import", "outvoted", "whose"}


@pytest.mark.parametrize("vouched", [True, False])
def test_an_old_log_opens_keeps_every_entry_and_gives_the_same_sheet(path, entries, vouched):
    make_old(path, entries, vouched=vouched)
    _, _, tables, rows = seen(path)
    assert tables == ({"event", "vouched"} if vouched else {"event"})
    columns = "seq, kind, day, item, rating, tempo, goal, ref"
    with closing(open_database(path, busy_seconds=1, migrations=(VERSION_1,))) as old:
        events = [Event(*row) for row in old.rows(f"SELECT {columns} FROM event ORDER BY day, seq")]  # noqa: S608
    before = plan_sheet(ITEMS, events, DAY, 2, rest=0)
    with PracticeLog.open(path) as log:
        assert log.as_saved() == sealed(entries)
        assert [entry.uid for entry in log.entries(kinds=[Kind.PLAY])] == ["u1", "u2"]
        assert plan_sheet(ITEMS, log.events(), DAY, 2, rest=0) == before
        assert log.problems() == []
        with closing(sqlite3.connect(path)) as file:
            seals = [row[0] for row in file.execute("SELECT seal FROM event ORDER BY seq")]
        assert seals == [entry.seal for entry in sealed(entries)]
    assert seen(path)[:3] == (len(MIGRATIONS), APPLICATION_ID, TABLES)
    assert seen(path.with_name("log.sqlite.v1.bak")) == (1, APPLICATION_ID, tables, rows)


def test_an_upgraded_log_is_not_copied_again(path, entries):
    make_old(path, entries)
    for _ in range(3):
        PracticeLog.open(path).close()
    assert [one.name for one in path.parent.glob("*.bak*")] == ["log.sqlite.v1.bak"]


def test_several_programs_that_open_an_old_log_at_once_upgrade_it_once(path, play, entries):
    make_old(path, entries)

    def open_and_note(number):
        with PracticeLog.open(path, busy_seconds=30) as log:
            log.append([play(f"thread {number}")])

    with ThreadPoolExecutor(8) as programs:
        list(programs.map(open_and_note, range(16)))
    with PracticeLog.open(path) as log:
        assert log.as_saved()[0].uid == "i1"
        assert len(log.as_saved()) == len(entries) + 16
    version, _, tables, _ = seen(path)
    assert (version, tables) == (len(MIGRATIONS), TABLES)
    assert [one.name for one in path.parent.glob("*.bak*")] == ["log.sqlite.v1.bak"]
    assert len(seen(path.with_name("log.sqlite.v1.bak"))[3]) == len(entries)


def test_an_old_program_that_has_the_log_open_is_told_and_notes_nothing_unsealed(path, play, entries):
    make_old(path, entries)
    with closing(open_database(path, busy_seconds=1, migrations=(VERSION_1,))) as old:
        old.rows("SELECT * FROM event")
        PracticeLog.open(path).close()
        with pytest.raises(OutputError, match="could not be used"):
            note_as_then(old, play("late"))
        old.run(VOUCHED)  # what it may yet do; the table is never read again
    with PracticeLog.open(path) as log:
        assert log.as_saved() == sealed(entries)


def test_a_damaged_old_log_is_not_upgraded(path, entries):
    make_old(path, entries)
    content = bytearray(path.read_bytes())
    content[4096:4200] = bytes(104)
    path.write_bytes(content)
    with pytest.raises(OutputError, match="is damaged"):
        PracticeLog.open(path)
    assert path.read_bytes() == bytes(content)


def test_an_upgrade_waits_for_a_program_that_is_writing(path, play, entries):
    make_old(path, entries)
    with closing(open_database(path, busy_seconds=1, migrations=(VERSION_1,))) as old:
        old.run("BEGIN IMMEDIATE")
        with ThreadPoolExecutor(1) as other:
            opened = other.submit(lambda: PracticeLog.open(path, busy_seconds=30).close())
            old.run(
                "INSERT INTO event (uid, kind, day, recorded_at, item, rating) "
                "VALUES ('late', 'play', '2027-03-05', '', 'G major', 3)"
            )
            old.run("COMMIT")
            opened.result()
    assert [row[1] for row in seen(path)[3]][-1] == "late"
    assert [row[1] for row in seen(path.with_name("log.sqlite.v1.bak"))[3]][-1] == "late"


def test_the_command_line_prints_the_same_sheet_from_an_old_log_and_a_new_one(tmp_path):
    def today(home, day):
        done = subprocess.run(
            [sys.executable, "-m", "generator", "today", "--format", "json", "--date", day, "--out", home],
            env={**os.environ, "SCALEWRIGHT_HOME": str(home)},
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=True,
        )
        (page,) = home.glob("*.json")
        return json.loads(page.read_text("utf-8")), done.stderr

    new, old = tmp_path / "new", tmp_path / "old"
    new.mkdir()
    first = today(new, "2027-03-05")
    shutil.copytree(new, old)
    with PracticeLog.open(new / "log.sqlite") as log:
        kept = log.as_saved()
    for one in old.glob("log.sqlite*"):
        one.unlink()
    make_old(old / "log.sqlite", kept)
    assert today(old, "2027-03-05")[0] == first[0]
    for home in (new, old):
        for page in home.glob("*.json"):
            page.unlink()
    assert today(old, "2027-03-06") == today(new, "2027-03-06")
    assert (old / "log.sqlite.v1.bak").exists()
    assert not (new / "log.sqlite.v1.bak").exists()
