"""The file: its rules, its upgrade, and what is refused."""

import sqlite3
import threading
from contextlib import closing

import pytest

from generator.errors import OutputError
from generator.practice_log import PracticeLog
from generator.practice_log.database import open_database
from generator.practice_log.schema import APPLICATION_ID, MIGRATIONS


def behind(path):
    """The file as any other program sees it."""
    return closing(sqlite3.connect(path, isolation_level=None))


INSERT = (
    "INSERT INTO event (uid, kind, day, recorded_at, item, minutes, rating, seal) VALUES (?,?,?,'',?,?,?,'x')"
)


@pytest.mark.parametrize(
    ("day", "good"),
    [
        ("2028-02-29", True),
        ("0001-01-01", True),
        ("9999-12-31", True),
        ("2027-02-29", False),  # date(day) = day would let this one in
        ("2027-13-01", False),
        ("2027-1-01", False),
        ("2027-01-01 ", False),
        ("2027-01-01T10:00", False),
        ("20270101", False),
        ("now", False),
        ("", False),
    ],
)
def test_only_dates_of_the_calendar_get_in(log, path, day, good):
    with behind(path) as file:
        if good:
            file.execute(INSERT, ("u", "play", day, "G", None, 3))
        else:
            with pytest.raises(sqlite3.IntegrityError):
                file.execute(INSERT, ("u", "play", day, "G", None, 3))


@pytest.mark.parametrize(
    "row",
    [
        ("u", "song", "2027-01-01", "G", 1, 3),
        ("u", "play", "2027-01-01", None, 1, 3),
        ("u", "play", "2027-01-01", "G", 1, None),
        ("u", "play", "2027-01-01", "G", 0, 3),
        ("u", "play", "2027-01-01", "G", 601, 3),
        ("u", "play", "2027-01-01", "G", "much", 3),
        ("u", "play", "2027-01-01", "G", 1, 5),
        ("u", "item_in", "2027-01-01", "G", None, None),
        ("u", "item_out", "2027-01-01", None, None, None),
        ("u", "void", "2027-01-01", None, None, None),
        (None, "play", "2027-01-01", "G", 1, 3),
    ],
)
def test_the_file_itself_refuses_unsound_rows(log, path, row):
    with behind(path) as file, pytest.raises(sqlite3.IntegrityError):
        file.execute(INSERT, row)


@pytest.mark.parametrize("statement", ["UPDATE event SET rating = 1", "DELETE FROM event"])
def test_nothing_is_ever_changed_or_removed(log, path, play, statement):
    log.append([play("u1")])
    with behind(path) as file, pytest.raises(sqlite3.IntegrityError, match="append-only"):
        file.execute(statement)
    assert log.as_saved() == [play("u1")]


def test_a_new_log_is_ours_is_written_ahead_and_is_at_the_latest_version(log, path):
    with behind(path) as file:
        answers = [
            file.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("user_version", "application_id", "journal_mode")
        ]
    assert answers == [len(MIGRATIONS), APPLICATION_ID, "wal"]
    assert log._database.rows("PRAGMA synchronous") == [(2,)]  # full: each entry outlives a power cut
    assert log._database.rows("PRAGMA foreign_keys") == [(1,)]


NEXT = (*MIGRATIONS, ("ALTER TABLE event ADD COLUMN room TEXT", "CREATE INDEX event_by_room ON event(room)"))


def test_an_upgrade_keeps_every_entry_and_lays_a_copy_beside(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1"), play("u2")])
    open_database(path, busy_seconds=1, migrations=NEXT).close()
    with behind(path) as file:
        assert file.execute("SELECT uid, room FROM event ORDER BY seq").fetchall() == [
            ("u1", None),
            ("u2", None),
        ]
        assert file.execute("PRAGMA user_version").fetchone() == (len(NEXT),)
    copy = path.with_name(f"log.sqlite.v{len(MIGRATIONS)}.bak")
    with PracticeLog.open(copy) as log:
        assert log.as_saved() == [play("u1"), play("u2")]
    assert sorted(one.name for one in path.parent.iterdir() if "part" in one.name) == []


def test_a_copy_from_before_is_never_written_over(path):
    PracticeLog.open(path).close()
    older = path.with_name(f"log.sqlite.v{len(MIGRATIONS)}.bak")
    older.write_text("precious")
    open_database(path, busy_seconds=1, migrations=NEXT).close()
    assert older.read_text() == "precious"
    assert path.with_name(f"log.sqlite.v{len(MIGRATIONS)}.2.bak").exists()


def test_an_entry_without_a_seal_is_refused_by_the_file_itself(log, path):
    with behind(path) as file, pytest.raises(sqlite3.IntegrityError, match="seal"):
        file.execute(
            "INSERT INTO event (uid, kind, day, recorded_at) VALUES ('u', 'sheet', '2027-01-01', '')"
        )


def test_a_failed_upgrade_leaves_the_log_as_it_was(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
    broken = (*MIGRATIONS, ("ALTER TABLE event ADD COLUMN room TEXT", "CREATE NONSENSE"))
    with pytest.raises(OutputError):
        open_database(path, busy_seconds=1, migrations=broken)
    with behind(path) as file:
        assert file.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
        assert "room" not in file.execute("SELECT sql FROM sqlite_master WHERE name = 'event'").fetchone()[0]
    with PracticeLog.open(path) as log:
        assert log.as_saved() == [play("u1")]


def folder_as_it_is(path):
    return {one.name: (one.read_bytes(), one.stat().st_mtime_ns) for one in path.parent.iterdir()}


def test_a_newer_log_is_refused_and_not_touched(path):
    open_database(path, busy_seconds=1, migrations=NEXT).close()
    before = folder_as_it_is(path)
    told = rf"newer version.*log version {len(NEXT)}, this program knows {len(MIGRATIONS)}"
    with pytest.raises(OutputError, match=told) as caught:
        PracticeLog.open(path)
    assert "\n" not in str(caught.value)
    assert folder_as_it_is(path) == before


def test_a_newer_log_in_use_by_the_newer_program_is_refused_too(path):
    PracticeLog.open(path).close()
    newer = open_database(
        path, busy_seconds=1, migrations=NEXT
    )  # its version is still in the write-ahead file
    try:
        with pytest.raises(OutputError, match="newer version"):
            PracticeLog.open(path)
    finally:
        newer.close()


def test_the_file_of_another_program_is_refused_and_not_touched(path):
    path.parent.mkdir()
    for content in ("CREATE TABLE event (a)", "PRAGMA user_version = 1", "PRAGMA application_id = 7"):
        path.unlink(missing_ok=True)
        with behind(path) as file:
            file.execute(content)
        before = folder_as_it_is(path)
        with pytest.raises(OutputError, match="another program"):
            PracticeLog.open(path)
        assert folder_as_it_is(path) == before


@pytest.mark.parametrize("content", [b"my practice diary", b"SQLite format 3\0", b"x" * 5000])
def test_what_is_no_database_is_refused_and_not_touched(path, content):
    path.parent.mkdir()
    path.write_bytes(content)
    with pytest.raises(OutputError, match="not a practice log"):
        PracticeLog.open(path)
    assert path.read_bytes() == content


def test_an_empty_file_becomes_a_log(path):
    path.parent.mkdir()
    path.touch()
    with PracticeLog.open(path) as log:
        assert log.as_saved() == []


def test_a_folder_in_the_way_is_told(path):
    path.mkdir(parents=True)
    with pytest.raises(OutputError, match="could not be used: Is a directory"):
        PracticeLog.open(path)


def test_a_file_where_the_folder_should_be_is_told(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match="could not be used"):
        PracticeLog.open(tmp_path / "file" / "log.sqlite")


def test_a_log_that_another_program_holds_is_told_and_not_waited_for_for_ever(path, play):
    with PracticeLog.open(path, busy_seconds=0.05) as log, behind(path) as file:
        file.execute("BEGIN IMMEDIATE")
        with pytest.raises(OutputError, match="in use by another program"):
            log.append([play("u1")])
        file.execute("ROLLBACK")
        log.append([play("u1")])
        assert len(log.as_saved()) == 1


def test_a_short_wait_for_another_program_is_not_noticed(path, play):
    with PracticeLog.open(path, busy_seconds=10) as log:
        holder = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
        holder.execute("BEGIN IMMEDIATE")
        timer = threading.Timer(0.2, holder.execute, ["COMMIT"])
        timer.start()
        log.append([play("u1")])
        timer.join()
        holder.close()
        assert len(log.as_saved()) == 1


def test_a_full_disk_is_told_and_what_was_saved_stays(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
        pages = log._database.rows("PRAGMA page_count")[0][0]
        log._database.run(f"PRAGMA max_page_count = {pages}")  # SQLite answers then as on a full disk
        with pytest.raises(OutputError, match="the disk is full"):
            log.append([play(f"more {one}", phrase="x" * 2000) for one in range(50)])
        assert log.as_saved() == [play("u1")]


def test_a_damaged_file_is_told(path, play):
    with PracticeLog.open(path) as log:
        log.append([play(f"u{one}", phrase="x" * 500) for one in range(200)])
    content = bytearray(path.read_bytes())
    content[4096:12288] = b"\xff" * 8192
    path.write_bytes(bytes(content))
    with pytest.raises(OutputError, match="is damaged"), PracticeLog.open(path) as log:
        log.as_saved()
