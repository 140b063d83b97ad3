"""The practice log cannot be read or written: nothing noted is ever lost, and the file stays sound."""

import shutil
import sqlite3
import threading
from contextlib import closing

import pytest

FULL = "could not be written: the disk is full; make room and try again (what was noted before is safe)"
COMMANDS = ["TODAY", "PLAYED", "PROGRESS"]
QUICK = (  # another program is waited for ten seconds; not so long here
    "from generator.practice_log import PracticeLog\nPracticeLog.open.__func__.__kwdefaults__['busy_seconds'] = 0.5"
)


def words(person, command):
    if command == "PROGRESS":
        return ("progress", "-i", "flute", "--date", "2027-02-06")
    return getattr(person, command)


@pytest.mark.parametrize("command", ["TODAY", "PLAYED"])
def test_a_home_that_is_a_file(person, command):
    (person.root / "file").write_text("precious")
    ended = person.run(*words(person, command), setting={"SCALEWRIGHT_HOME": person.root / "file"})
    ended.fails(3, 'file/log.sqlite" could not be used: a part of the path is a file, not a folder')
    assert (person.root / "file").read_text() == "precious"


def test_a_plan_in_a_home_that_is_a_file(person):
    (person.root / "file").write_text("precious")
    ended = person.run("plan", "new", "-i", "flute", "--home", str(person.root / "file"))
    ended.fails(3, "file/plan.toml cannot be written: a part of the path is a file, not a folder")


@pytest.mark.parametrize("command", ["TODAY", "PROGRESS"])
def test_a_folder_in_place_of_the_log(person, command):
    (person.home / "log.sqlite").mkdir()
    person.run(*words(person, command)).fails(3, 'log.sqlite" could not be used: Is a directory.')
    assert person.is_clean()


@pytest.mark.parametrize("content", [b"my diary", b"SQLite format 3\0" * 9])
def test_something_else_in_place_of_the_log(person, content):
    (person.home / "log.sqlite").write_bytes(content)
    line = person.run(*person.PLAYED).fails(3, "log.sqlite")
    assert "is not a practice log" in line or "belongs to another program" in line or "was written by" in line
    assert (person.home / "log.sqlite").read_bytes() == content
    assert person.is_clean()


def spoilt(data, how):
    if how == "cut off":
        return data[: len(data) // 2]
    if how == "hardly begun":
        return data[:150]
    if how == "blank":
        return data[:4096] + bytes(len(data) - 4096)
    return data[:5000] + bytes(255 - byte for byte in data[5000:20000]) + data[20000:]


@pytest.mark.parametrize(
    ("how", "command"),
    [("cut off", "PLAYED"), ("hardly begun", "PLAYED"), ("blank", "PLAYED")]
    + [("scrambled", one) for one in COMMANDS],
)
def test_a_log_that_is_damaged_is_not_made_worse(player, command, how):
    log = player.home / "log.sqlite"
    log.write_bytes(spoilt(log.read_bytes(), how))
    before = log.read_bytes()
    player.run(*words(player, command)).fails(3, 'log.sqlite" is damaged')
    assert log.read_bytes() == before


@pytest.mark.parametrize("command", ["TODAY", "PLAYED"])
def test_a_log_of_a_newer_program(player, command):
    with closing(sqlite3.connect(player.home / "log.sqlite")) as log:
        log.execute("PRAGMA user_version = 99")
    before = (player.home / "log.sqlite").read_bytes()
    ended = player.run(*words(player, command))
    ended.fails(
        3, "was written by a newer version of this program (log version 99,", "Use the newer program."
    )
    assert (player.home / "log.sqlite").read_bytes() == before


@pytest.mark.parametrize("command", ["TODAY", "PLAYED"])
def test_a_log_that_another_program_keeps_for_itself(player, command):
    held = player.entries()
    with closing(sqlite3.connect(player.home / "log.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        asked = (*words(player, command), *(["-m", "60"] if command == "TODAY" else []))
        player.run(*asked, prelude=QUICK).fails(
            3, 'log.sqlite" is in use by another program; try again in a moment.'
        )
        other.execute("ROLLBACK")
    assert player.entries() == held
    player.run(*player.PLAYED).succeeds()
    assert player.entries()["play"] == held["play"] + 3


def test_progress_is_shown_while_another_program_writes(player):
    with closing(sqlite3.connect(player.home / "log.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert any("1 played" in line for line in player.run(*words(player, "PROGRESS"), prelude=QUICK).out)


@pytest.mark.parametrize(
    ("file", "folder", "said"),
    [
        (0o000, 0o755, "could not be used: there is no permission"),
        (0o444, 0o755, "cannot be written: the file or its folder is read-only"),
        (0o644, 0o555, "cannot be written: the file or its folder is read-only"),
        (0o444, 0o555, "cannot be written: the file or its folder is read-only"),
    ],
)
def test_a_log_without_permission(player, plain_user, file, folder, said):
    held = player.entries()
    (player.home / "log.sqlite").chmod(file)
    player.home.chmod(folder)
    player.run(*player.PLAYED, before=plain_user).fails(3, said)
    player.home.chmod(0o755)
    (player.home / "log.sqlite").chmod(0o644)
    assert player.entries() == held
    assert player.is_clean()


@pytest.mark.parametrize("mode", [0o555, 0o600])
def test_a_new_home_without_permission(person, plain_user, mode):
    person.home.chmod(mode)
    line = person.run(*person.TODAY, before=plain_user).fails(3, str(person.home))
    assert "there is no permission" in line or "cannot be opened: check that the folder exists" in line
    person.home.chmod(0o755)
    assert [path.name for path in person.home.iterdir()] == []


def test_a_home_on_a_read_only_disk(person, disk):
    person.run(*person.TODAY, before=disk(person.home, "ro")).fails(
        3, "cannot be opened: check that the folder exists"
    )
    assert person.is_clean()


# What happens on one small disk from a new home on, in one go, because the disk goes with its last program.
STORY = """
set -u
scalewright today -q -i flute -f json --date 2027-02-06 > /dev/null && scalewright played 1 -q --date 2027-02-06
free=$(df -B1 --output=avail "$SCALEWRIGHT_HOME" | tail -1)
head -c $((free - ROOM)) /dev/zero > "$SCALEWRIGHT_HOME/fill"
scalewright played 2-5 --date 2027-02-06; echo "full $?"
rm "$SCALEWRIGHT_HOME/fill"
cp -r "$SCALEWRIGHT_HOME" "$AFTER"
scalewright played 2-5 -q --date 2027-02-06; echo "room $?"
cp "$SCALEWRIGHT_HOME/log.sqlite" "$LAST"
"""


@pytest.mark.parametrize("room", [0, 36864])
def test_a_full_disk_loses_no_entry_and_takes_the_next_when_there_is_room(person, disk, room, tmp_path):
    after = tmp_path / "after"
    last = tmp_path / "last.sqlite"
    before = disk(person.home, "size=512k")
    told = person.shell(STORY, before, ROOM=str(room), AFTER=after, LAST=last)
    assert told.out == ["full 3", "room 0"]
    assert told.err == [f'scalewright: The practice log "{person.home}/log.sqlite" {FULL}.']
    for home, played in ((after, 1), (tmp_path / "whole", 5)):
        if played == 5:
            home.mkdir()
            shutil.copy(last, home / "log.sqlite")
        person.home = home
        assert person.entries()["play"] == played


def test_a_new_log_on_a_full_disk(person, disk, tmp_path):
    before = disk(person.home, "size=64k")
    person.run(*person.TODAY, before=before).fails(3, "log.sqlite", "the disk is full")
    assert person.is_clean()


def test_a_log_larger_than_a_file_may_be(person):
    ended = person.shell("ulimit -f 2; scalewright today -i flute -f json")
    ended.fails(3, "log.sqlite", "the disk reports an error, or there is a limit (see: ulimit)")
    assert person.is_clean()


def test_two_at_once_on_a_new_home_make_one_sheet(person):
    found = []

    def print_it():
        found.append(person.run(*person.TODAY))

    threads = [threading.Thread(target=print_it) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({tuple(ended.succeeds()) for ended in found}) == 1
    assert person.entries()["sheet"] == 1
    assert person.is_clean(*found[0].out)


def test_the_same_noted_twice_at_once_is_noted_once(player):
    found = []
    threads = [threading.Thread(target=lambda: found.append(player.run(*player.PLAYED))) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [ended.code for ended in found] == [0, 0, 0, 0]
    assert player.entries()["play"] == 4


@pytest.mark.parametrize("day", ["0001-01-01"])
def test_a_clock_that_is_far_off(person, day):
    (path,) = person.run(*person.TODAY[:-1], day).succeeds()
    person.run("played", "1", "--date", day).succeeds()
    person.run("progress", "-i", "flute", "--date", day).succeeds()
    assert person.entries()["play"] == 1
    assert person.is_clean(path)


@pytest.mark.parametrize("day", ["2027-02-29", "0000-01-01", "10000-01-01", ""])
def test_a_day_that_is_none(person, day):
    person.run("played", "1", "--date", day).fails(2, f"{day!r} is no day of the calendar")
    assert list(person.home.iterdir()) == []


def test_a_calendar_beyond_the_last_day(person):
    ended = person.run("plan", "calendar", "-i", "flute", "--date", "9999-12-31")
    ended.fails(2, "the calendar ends on 9999-12-31; ask for fewer weeks")
    assert person.is_clean()


def test_an_old_sqlite(player):
    prelude = "import sqlite3; sqlite3.sqlite_version_info, sqlite3.sqlite_version = (3, 31, 1), '3.31.1'"
    player.run(*player.PLAYED, prelude=prelude).fails(
        3, "SQLite 3.31.1 is too old for the practice log; 3.37 is needed"
    )
