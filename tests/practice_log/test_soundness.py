"""A log in which something changed behind the program's back, and what is made of it."""

import datetime as dt
import os
import sqlite3
from contextlib import closing

import pytest

from generator.errors import OutputError
from generator.practice_log import Kind, PracticeLog
from generator.practice_log.copies import keep_daily_copy
from generator.practice_log.repair import repair

DAY = dt.date(2027, 3, 5)


def tampered(path, rating: int, uid: str) -> None:
    """Change a rating as bytes change on a disk: everything else stays, what forbids changes too."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("BEGIN IMMEDIATE")
        (text,) = file.execute("SELECT sql FROM sqlite_master WHERE name = 'event_no_update'").fetchone()
        file.execute("DROP TRIGGER event_no_update")
        file.execute("UPDATE event SET rating = ? WHERE uid = ?", (rating, uid))
        file.execute(text)
        file.execute("COMMIT")


def ratings(path) -> dict[str, int | None]:
    with PracticeLog.open(path) as log:
        return {entry.uid: entry.rating for entry in log.entries(kinds=(Kind.PLAY,))}


def test_one_changed_rating_is_seen_and_the_entry_is_named(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1"), play("u2", rating=2)])
    tampered(path, 4, "u2")
    with pytest.raises(OutputError, match=r"damaged: entry 2 \(of 2027-03-05\) is not what was saved"):
        PracticeLog.open(path)


def test_what_another_program_changed_while_we_wrote_is_seen_the_next_time(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
    with PracticeLog.open(path) as log:
        tampered(path, 4, "u1")
        log.append([play("u2")])
    with pytest.raises(OutputError, match=r"entry 1 .* is not what was saved"):
        PracticeLog.open(path)


def test_repair_leaves_out_what_nobody_noted_and_says_so(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1"), play("u2", rating=2)])
    tampered(path, 4, "u2")
    done = repair(path, DAY)
    assert done.lost == ("entry 2 of 2027-03-05, in which something has changed",)
    assert ratings(path) == {"u1": 3}


def test_repair_takes_from_a_copy_what_was_spoilt_since(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1"), play("u2", rating=2)])
        keep_daily_copy(log, DAY)
    tampered(path, 4, "u2")
    assert repair(path, DAY).from_copies == 1
    assert ratings(path) == {"u1": 3, "u2": 2}


def test_repair_brings_no_import_back_that_was_undone(path, play, tmp_path):
    with PracticeLog.open(tmp_path / "other.sqlite") as other, PracticeLog.open(path) as log:
        other.append([play("theirs")])
        log.append([play("u1"), play("u2")])
        log.merge(other.as_saved(), other.facts.ids(), "other.csv", DAY)
        keep_daily_copy(log, DAY)
        log.imports.undo(log.imports.last())
    tampered(path, 4, "u2")
    repair(path, DAY)
    assert ratings(path) == {"u1": 3, "u2": 3}


def _no_links(*_: object) -> None:
    raise OSError("this disk has none")


@pytest.mark.parametrize("has_call", [True, False], ids=["the disk has no links", "Python has no such call"])
def test_a_repair_does_without_hard_links(path, play, monkeypatch, has_call):
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
    tampered(path, 4, "u1")
    damaged = path.read_bytes()
    if has_call:
        monkeypatch.setattr(os, "link", _no_links)
    else:
        monkeypatch.delattr(os, "link")
    mended = repair(path, DAY)
    assert mended.aside is not None
    assert mended.aside.read_bytes() == damaged
    PracticeLog.open(path).close()
