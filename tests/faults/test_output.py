"""The place where pages are to go is unfit for it: nothing is written, or all of it."""

import os
import shutil

import pytest

from generator.errors import OutputError
from generator.files.atomic import place_all
from tests.fixtures.command import ended

NAME = "out/g-major-flute-dgaa.json"
LEFT = "left"


@pytest.mark.parametrize("command", ["OPEN", "HANDOUT"])
def test_a_folder_that_may_not_be_written(person, plain_user, command):
    out = person.here / "out"
    out.mkdir()
    out.chmod(0o555)
    ended = person.run(*getattr(person, command), "-f", "json", before=plain_user)
    ended.fails(3, "out/", "there is no permission; choose another place")
    assert person.is_clean()


def test_a_current_folder_in_which_out_cannot_be_made(person, plain_user):
    person.here.chmod(0o555)
    person.run(*person.OPEN, before=plain_user).fails(3, NAME, "there is no permission")


def test_a_disk_that_is_read_only(person, disk):
    before = disk(person.here / "out", "ro")
    person.run(*person.OPEN, before=before).fails(3, NAME, "the disk is read-only; choose another place")
    assert person.is_clean()


@pytest.mark.parametrize("size", ["4k", "16k"])
def test_a_disk_that_is_full(person, disk, size, tmp_path):
    before = disk(person.here / "out", f"size={size}")
    person.run(*person.SHEET, "-f", "json,musicxml,wav", before=before).fails(
        3, "the disk is full; make room"
    )
    assert (tmp_path / LEFT).read_text() == ""  # all of the formats or none


def test_a_full_disk_leaves_no_folder_of_a_handout(person, disk, tmp_path):
    before = disk(person.here / "out", "size=64k", room=4096)
    person.run(*person.HANDOUT, "-f", "json", before=before).fails(3, "the disk is full; make room")
    assert (tmp_path / LEFT).read_text() == ""  # the first file was too large already


def test_a_file_larger_than_is_allowed(person):
    ended = person.shell("ulimit -f 1; scalewright sheet 'G major' -i flute -f musicxml")
    ended.fails(3, "cannot be written: it is larger than a file may be here (see: ulimit -f)")
    assert person.is_clean()
    assert not (person.here / "out").exists()


@pytest.mark.parametrize("name", ["a b \U0001f3b7", "-rf", b"caf\xe9"])
def test_any_folder_the_disk_allows(person, name):
    (path,) = person.run(*person.OPEN, "--out", name).succeeds()
    assert (person.here / path).read_bytes().startswith(b"{")
    assert person.is_clean(path)


def test_a_path_in_a_strict_terminal_that_lacks_its_letters(person):
    (path,) = person.run(*person.OPEN, "--out", "\u00e9", setting={"PYTHONIOENCODING": "ascii"}).succeeds()
    assert path == "\u00e9/g-major-flute-dgaa.json"


@pytest.mark.parametrize("word", ["--out", "--out=x\ny"])
def test_a_folder_with_a_line_break_would_look_like_two(person, word):
    ended = person.run(*person.OPEN, word, *(() if "=" in word else ("x\ny",)))
    ended.fails(2, "holds a line break; choose another name")
    assert person.is_clean()


@pytest.mark.parametrize("name", ["x" * 300, "/".join(["x" * 200] * 25)])
def test_a_folder_with_too_long_a_name(person, name):
    person.run(*person.OPEN, "--out", name).fails(3, "the name is too long; choose a shorter one")
    assert list(person.here.iterdir()) == []


@pytest.mark.parametrize("name", ["mine", "mine/deeper"])
def test_a_file_in_place_of_the_folder(person, name):
    (person.here / "mine").write_text("precious")
    person.run(*person.OPEN, "--out", name).fails(3, "a part of the path is a file, not a folder")
    assert (person.here / "mine").read_text() == "precious"
    assert person.is_clean("mine")


@pytest.mark.parametrize("goal", ["nowhere", "link"])
def test_a_link_that_leads_nowhere_in_place_of_the_folder(person, goal):
    (person.here / "link").symlink_to(goal)
    person.run(*person.OPEN, "--out", "link").fails(3, "link is a link that leads nowhere")
    assert (person.here / "link").is_symlink()


def test_a_link_to_a_folder_is_followed(person):
    (person.here / "real").mkdir()
    (person.here / "link").symlink_to("real")
    person.run(*person.OPEN, "--out", "link").succeeds()
    assert person.is_clean("real/g-major-flute-dgaa.json")


@pytest.mark.parametrize("exists", [True, False])
def test_a_link_in_place_of_the_page_is_replaced_and_its_goal_left_alone(person, exists):
    (person.here / "out").mkdir()
    if exists:
        (person.here / "mine").write_text("precious")
    (person.here / NAME).symlink_to("../mine")
    person.run(*person.OPEN).succeeds()
    assert not (person.here / NAME).is_symlink()
    if exists:
        assert (person.here / "mine").read_text() == "precious"
    assert person.is_clean(NAME, *(["mine"] if exists else []))


@pytest.mark.parametrize("make", [os.mkdir, os.mkfifo])
def test_something_else_in_place_of_the_page(person, make):
    (person.here / "out").mkdir()
    make(person.here / NAME)
    person.run(*person.OPEN).fails(3, f"{NAME} cannot be written: a folder or device has that name")
    assert [path.name for path in (person.here / "out").iterdir()] == ["g-major-flute-dgaa.json"]


def test_a_folder_removed_while_the_page_is_made_comes_again(person, fake):
    (person.here / "out").mkdir()
    body = f"shutil.rmtree({str(person.here / 'out')!r}); sys.stdin.read()\n"
    body += "open('sheet.pdf', 'wb').write(b'%PDF-1.5 ... %%EOF')"
    (path,) = person.run(*person.SHEET, setting=fake(body)).succeeds()
    assert person.is_clean(path)


@pytest.mark.parametrize("umask", ["077", "000"])
def test_the_person_decides_who_may_read_the_pages(person, umask):
    person.shell(f"umask {umask}; scalewright sheet 'G major' -i flute -f json").succeeds()
    mode = (person.here / NAME).stat().st_mode & 0o777
    assert mode == 0o666 & ~int(umask, 8)


def test_a_current_folder_that_is_gone(person):
    for command in ("today -i flute -f json", "sheet 'G major' -i flute -f json"):
        ended = person.shell(f"mkdir gone; cd gone; rmdir ../gone; PYTHONPATH= scalewright {command}")
        ended.fails(3, "the current folder is gone")
    assert person.is_clean()


def test_many_programs_write_the_same_page_at_once(person):
    words = (*person.SHEET, "-f", "json,ly,musicxml", "--no-cache")
    programs = [person.start(*words) for _ in range(5)]
    names, *others = [ended(program).succeeds() for program in programs]
    assert others == [names] * 4
    assert person.is_clean(*names)
    alone = type(person)(_fresh(person.root / "alone"))
    alone.run(*person.SHEET, "-f", "json,ly,musicxml").succeeds()
    for name in names:
        if not name.endswith(".musicxml"):  # which holds the date
            assert (person.here / name).read_bytes() == (alone.here / name).read_bytes()


def _fresh(folder):
    folder.mkdir()
    return folder


@pytest.mark.parametrize(
    "words",
    [
        ("plan", "new", "-i", "flute", "--plan"),
        ("plan", "calendar", "-i", "flute", "--out"),
        ("handout", "concert G major", "--instruments", "flute", "-f", "json", "--export"),
    ],
)
def test_a_file_of_another_command_on_a_full_disk(person, disk, words, tmp_path):
    folder = person.here / "disk"
    before = disk(folder, "size=4k", room=0)
    ended = person.run(*words, folder / "file", before=before)
    ended.fails(3, "disk/file", "cannot be written: the disk is full")
    assert (tmp_path / LEFT).read_text() == ""


def test_an_export_of_the_log_on_a_full_disk_leaves_no_half(player, disk, tmp_path):
    folder = player.here / "disk"
    before = disk(folder, "size=4k")
    player.run("played", "--export", folder / "log.csv", before=before).fails(
        3, "log.csv", "the disk is full"
    )
    assert (tmp_path / LEFT).read_text() == ""
    assert shutil.disk_usage(tmp_path).free > 0


def test_files_that_belong_together_come_all_or_not_at_all(person):
    out = person.here / "out"
    (out / "c").mkdir(parents=True)
    (out / "a").write_bytes(b"old")
    with pytest.raises(OutputError, match="c cannot be written: a folder or device has that name"):
        place_all({out / "a": b"new", out / "deeper" / "b": b"new", out / "c": b"new"})
    assert (out / "a").read_bytes() == b"old"
    assert sorted(path.name for path in out.iterdir()) == ["a", "c"]
    assert place_all({out / "a": b"new", out / "deeper" / "b": b"new"}) == (out / "a", out / "deeper" / "b")
    assert [(out / "a").read_bytes(), (out / "deeper" / "b").read_bytes()] == [b"new", b"new"]
    assert person.is_clean("out/a", "out/deeper/b")
