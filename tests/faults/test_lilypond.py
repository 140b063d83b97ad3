"""LilyPond is missing, is something else, or fails in every way a program can: one line, no page, nothing left."""

import os
import shutil
import time
from functools import partial
from pathlib import Path

import pytest

from generator.engraving import lilypond
from generator.engraving.program import Program, identify
from generator.errors import EngravingError

NONE = "SCALEWRIGHT_LILYPOND"
GOOD = "open('sheet.pdf', 'wb').write(b'%PDF-1.5 ... %%EOF')"


@pytest.mark.parametrize(
    ("command", "name"), [("SHEET", ""), ("SHEET", "/"), ("HANDOUT", ""), ("HANDOUT", "/nonexistent")]
)
def test_there_is_none(person, command, name, tmp_path):
    if name == "":  # no package and nothing on the PATH
        (tmp_path / "empty").mkdir()
        prelude = "import sys; sys.modules['lilypond'] = None"
        ended = person.run(*getattr(person, command), prelude=prelude, setting={"PATH": tmp_path / "empty"})
        ended.fails(3, "LilyPond, which engraves the pages, was not found; get it with: ")
    else:
        ended = person.run(*getattr(person, command), setting={NONE: name})
        ended.fails(3, f"{NONE} is set to {name!r}, which is no program; correct or unset it")
    assert person.is_clean()


def test_without_one_everything_else_is_still_written(person):
    (path,) = person.run(*person.OPEN, setting={NONE: "/nonexistent"}).succeeds()
    assert person.is_clean(path)


@pytest.mark.parametrize("name", ["true", "cat"])
def test_another_program(person, name):
    program = shutil.which(name)
    ended = person.run(*person.SHEET, setting={NONE: program})
    ended.fails(3, f"{program} is not a working LilyPond; get it with: ")
    assert person.is_clean()


def test_one_that_is_too_old(person, fake):
    ended = person.run(*person.SHEET, setting=fake(GOOD, version="2.18.2"))
    ended.fails(3, "is LilyPond 2.18.2, but 2.24.0 or newer is needed; get it with: ")
    assert person.is_clean()


@pytest.mark.parametrize(
    ("content", "mode", "words"),
    [
        (b"x", 0o644, "which is no program"),
        (b"\x7fELF garbage", 0o755, "does not run (Exec format error); get it with: "),
        (b"#!/nonexistent/shell\n", 0o755, "does not run (No such file or directory); get it with: "),
        (b"#!/bin/sh\nkill -9 $$\n", 0o755, "is not a working LilyPond"),
    ],
)
def test_one_that_does_not_run(person, tmp_path, content, mode, words):
    program = tmp_path / "program"
    program.write_bytes(content)
    program.chmod(mode)
    person.run(*person.SHEET, setting={NONE: program}).fails(3, words)
    assert person.is_clean()


def test_one_that_may_be_run_but_not_read():
    assert identify(Path("/nonexistent"), b"GNU LilyPond 2.24.1").cairo


READS = "text = sys.stdin.read()\n"
FAILURES = {
    "killed": (
        f"{READS}os.kill(os.getpid(), signal.SIGKILL)",
        "was killed from outside, often for want of memory",
    ),
    "crashed": (f"{READS}os.kill(os.getpid(), signal.SIGSEGV)", "LilyPond crashed: signal 11 (SIGSEGV)"),
    "half a page": (
        f"{READS}open('sheet.pdf', 'wb').write(b'%PDF-1.5 ')",
        "left sheet.pdf cut off (9 bytes)",
    ),
    "no page": (READS, "LilyPond wrote no sheet.pdf"),
    "over at once": ("sys.exit(0)", "LilyPond wrote no sheet.pdf"),
    "a folder for a page": (f"{READS}os.mkdir('sheet.pdf')", "LilyPond wrote no sheet.pdf"),
    "a flood of words": (
        f"{READS}[sys.stderr.write('x' * 999 + '\\n') for _ in range(5000)]; sys.exit(1)",
        "xxx",
    ),
    "a flood on the other stream": (
        f"{READS}[print('x' * 999) for _ in range(5000)]; sys.exit(1)",
        "an error",
    ),
    "bytes for words": (
        f"{READS}sys.stderr.buffer.write(bytes(range(256))); sys.exit(1)",
        "stopped with an error",
    ),
    "words that move the cursor": (
        f"{READS}sys.exit('error: \\x1b[2J\\x1b]0;x\\x07\\u202e bad')",
        r"error: \x1b[2J\x1b]0;x\x07\u202e bad",
    ),
    "want of memory": (
        f"{READS}sys.exit('GLib: Error creating thread: x')",
        "needed more memory than it may use",
    ),
}


@pytest.mark.parametrize("how", FAILURES)
def test_one_that_fails_while_it_engraves(person, fake, how):
    body, words = FAILURES[how]
    line = person.run(*person.SHEET, setting=fake(body)).fails(3, words, "(text and log are kept in ")
    kept = Path(line.rpartition("kept in ")[2].rstrip(")"))
    assert {path.name for path in kept.iterdir()} == {"sheet.ly", "house.ily", "lilypond.log"}
    assert person.is_clean(kept=True)
    assert list(person.cache.iterdir()) == []  # no bad page is remembered


def test_of_what_failed_runs_keep_the_last_three_stay_and_nothing_else_goes(person, fake):
    mine = person.temporary / "scalewright-failed-mine"  # no name that we give
    noted = person.temporary / "scalewright-failed-0000abcd"
    for folder in (mine, noted):
        folder.mkdir()
        (folder / "lilypond.log").write_text("x")
        (folder / "my own notes.txt").write_text("x")
        os.utime(folder, (1, 1))
    (person.temporary / "scalewright-failed-0000link").symlink_to(mine)
    (person.temporary / "scalewright-failed-0000file").write_text("x")
    kept = []
    for number in range(5):
        said = person.run(*person.SHEET, setting=fake(FAILURES["crashed"][0]))
        kept.append(Path(said.fails(3).rpartition("kept in ")[2].rstrip(")")))
        os.utime(kept[-1], (1_000_000 + number, 1_000_000 + number))
    assert [path.exists() for path in kept] == [False, False, True, True, True]
    assert sorted(path.name for path in mine.iterdir()) == ["lilypond.log", "my own notes.txt"]
    assert sorted(path.name for path in noted.iterdir()) == ["lilypond.log", "my own notes.txt"]
    assert len(list(person.temporary.iterdir())) == 3 + 4


@pytest.mark.parametrize("how", ["crashed", "over at once"])
def test_one_that_fails_under_a_handout(person, fake, how):
    body, words = FAILURES[how]
    person.run(*person.HANDOUT, setting=fake(body)).fails(3, words.removesuffix("sheet.pdf"))
    assert person.is_clean(kept=True)


def test_one_that_fails_under_todays_sheet_does_not_lose_the_sheet(person, fake):
    words = (*person.TODAY[:3], "--date", "2027-02-06")
    person.run(*words, setting=fake(FAILURES["crashed"][0])).fails(3, "crashed")
    assert person.entries()["sheet"] == 1
    again = person.run(*person.TODAY, setting={NONE: "/nonexistent"})
    again.succeeds()
    assert "printed again" in again.words
    assert person.entries()["sheet"] == 1


def test_a_page_that_needs_no_text_is_still_a_page(person, fake):
    """One that never reads must not end us by a broken pipe."""
    (path,) = person.run(*person.SHEET, setting=fake(f"os.close(0)\n{GOOD}")).succeeds()
    assert person.is_clean(path)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (f"{READS}shutil.rmtree(os.getcwd())", "there is no such file or folder"),
        (f"{READS}{GOOD}; os.chmod('sheet.pdf', 0)", "there is no permission"),
    ],
)
def test_its_folder_is_spoilt(person, fake, plain_user, body, words):
    ended = person.run(*person.SHEET, setting=fake(body), before=plain_user)
    ended.fails(3, f"the folder for temporary files, {person.temporary}, cannot be used: {words}")
    assert person.is_clean()


def test_its_folder_is_made_read_only(person, fake, plain_user):
    body = f"{READS}os.chmod(os.getcwd(), 0o555)"
    person.run(*person.SHEET, setting=fake(body), before=plain_user).fails(3, "LilyPond wrote no sheet.pdf")
    assert person.is_clean()


@pytest.mark.parametrize(
    "body", ["time.sleep(60)", "os.kill(os.getpid(), signal.SIGSTOP)", "while True: pass"]
)
def test_one_that_hangs(person, fake, monkeypatch, body):
    # The usual minute is too long to wait here; that alone is why this is not the whole command.
    monkeypatch.setattr("tempfile.tempdir", str(person.temporary))
    program = Program(fake(body)[NONE], "2.24.3")
    began = time.monotonic()
    with (
        lilypond.start(program, timeout=0.5) as starting,
        pytest.raises(EngravingError, match=r"was not done after 0\.5 seconds and was stopped"),
    ):
        starting.finish("x")
    assert time.monotonic() - began < 5
    assert person.is_clean(kept=True)


@pytest.mark.lilypond
@pytest.mark.parametrize(("command", "size"), [("SHEET", 4), ("SHEET", 28), ("HANDOUT", 28)])
def test_a_full_disk_for_temporary_files(person, disk, command, size, tmp_path):
    before = disk(person.temporary, f"size={size}k")
    line = person.run(*getattr(person, command), before=before).fails(3, str(person.temporary))
    assert "the disk is full" in line or f"the disk with {person.temporary} is full" in line
    left = (tmp_path / "left").read_text().split()
    assert {name.split("/")[1].rpartition("-")[0] for name in left} <= {"scalewright-failed"}
    assert person.is_clean()


def test_a_disk_for_temporary_files_without_room_for_names(person, disk, tmp_path):
    before = disk(person.temporary, "nr_inodes=3")
    person.run(*person.SHEET, before=before).fails(3, "cannot be used: the disk is full")
    assert (tmp_path / "left").read_text() == ""


@pytest.mark.lilypond
def test_a_folder_for_temporary_files_that_is_not_there_is_done_without(person):
    (path,) = person.run(*person.SHEET, setting={"TMPDIR": "/nonexistent"}).succeeds()
    assert person.is_clean(path)


def _with_limit(person, limit, words):
    return person.shell(f"{limit}; scalewright {words}")


RUN = partial(_with_limit, words="sheet 'G major' -i flute --no-cache")


def test_no_more_files_may_be_opened(person):
    ended = RUN(person, "ulimit -n 7")
    ended.fails(3, "LilyPond cannot be started: too many files are open at once (see: ulimit -n)")
    assert person.is_clean()


@pytest.mark.lilypond
def test_few_files_may_be_opened(person):
    (path,) = RUN(person, "ulimit -n 20").succeeds()
    assert person.is_clean(path)


@pytest.mark.lilypond
def test_little_memory(person):
    RUN(person, "ulimit -v 60000").fails(3, "LilyPond needed more memory than it may use")
    assert person.is_clean(kept=True)


def test_no_memory_left_for_us(person, fake):
    prelude = "import generator.publish.sheet as p; p.render = lambda *_: bytearray(1 << 60)"
    ended = person.run(*person.SHEET, prelude=prelude, setting=fake("time.sleep(60)"))
    ended.fails(3, "there is not enough memory; close some programs, or ask for less at once")
    assert person.is_clean()


@pytest.mark.lilypond
def test_a_system_without_fonts(person, tmp_path):
    config = tmp_path / "fonts.conf"
    config.write_text(
        '<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig></fontconfig>'
    )
    ended = person.run(*person.SHEET, "--title", "\u65e5\u672c", setting={"FONTCONFIG_FILE": config})
    (path,) = ended.succeeds()
    assert (person.here / path).read_bytes().startswith(b"%PDF-")
    assert list(person.temporary.iterdir()) == []
