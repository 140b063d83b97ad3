"""A finished file is there whole, or not at all."""

import errno
import os
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from generator.errors import OutputError
from generator.files import atomic
from generator.files.atomic import place, place_all, place_in


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize(
    "name",
    [
        "sheet.pdf",
        "with spaces  two.pdf",
        "-rf.pdf",
        "\U0001f3b5 \u05e9.pdf",
        "a" * 251 + ".pdf",
        "%s;$(x).pdf",
    ],
)
def test_any_name_the_disk_allows(tmp_path: Path, name: str) -> None:
    target = tmp_path / "new" / "deeper" / name
    assert place(b"page", target) == target
    assert target.read_bytes() == b"page"
    assert names(target.parent) == [name]


def test_a_name_relative_to_the_current_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    place(b"page", Path("-sheet.pdf"))
    assert names(tmp_path) == ["-sheet.pdf"]


@pytest.mark.skipif(sys.platform == "win32", reason="permission bits are POSIX")
def test_the_file_gets_the_usual_permissions(tmp_path: Path) -> None:
    with (tmp_path / "usual").open("w"):
        pass
    place(b"page", tmp_path / "ours")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_replacing(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    place(b"old", target)
    place(b"new", target)
    assert target.read_bytes() == b"new"


def test_not_replacing_another_file_but_minding_no_equal_one(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    assert place(b"old", target, overwrite=False) == target
    assert place(b"old", target, overwrite=False) == target
    with pytest.raises(OutputError, match=r"sheet\.pdf already exists and holds something else"):
        place(b"new", target, overwrite=False)
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == ["sheet.pdf"]


def test_not_replacing_a_file_that_appears_while_we_write(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "sheet.pdf"
    monkeypatch.setattr(os, "fsync", lambda _number: target.write_bytes(b"somebody else's"))
    with pytest.raises(OutputError, match="already exists"):
        place(b"ours", target, overwrite=False)
    assert target.read_bytes() == b"somebody else's"
    assert names(tmp_path) == ["sheet.pdf"]


def test_a_disk_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_names: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    place(b"page", tmp_path / "sheet.pdf", overwrite=False)
    assert (tmp_path / "sheet.pdf").read_bytes() == b"page"
    assert names(tmp_path) == ["sheet.pdf"]


def test_what_cannot_be_written_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_bytes(b"kept")
    for target, reason in (
        (tmp_path / "folder", "a folder or device has that name"),
        (tmp_path / "file" / "sheet.pdf", "a part of the path is a file, not a folder"),
        (tmp_path / "file" / "deep" / "sheet.pdf", "a part of the path is a file, not a folder"),
        (tmp_path / ("a" * 300), "the name is too long"),
        (tmp_path / "nul\0.pdf", "no file name can hold"),
        (tmp_path / "half\ud800.pdf", "no file name can hold"),
    ):
        with pytest.raises(OutputError, match=reason) as caught:
            place(b"page", target)
        assert "\n" not in str(caught.value)
        str(caught.value).encode()
    assert names(tmp_path) == ["file", "folder"]
    assert (tmp_path / "file").read_bytes() == b"kept"


@pytest.mark.parametrize(
    ("number", "reason"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EACCES, "no permission"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_a_disk_that_fails_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, reason: str
) -> None:
    place(b"old", tmp_path / "sheet.pdf")

    def fail(_number: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError, match=f"sheet.pdf cannot be written: .*{reason}"):
        place(b"new", tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes() == b"old"
    assert names(tmp_path) == ["sheet.pdf"]


@pytest.mark.skipif(sys.platform == "win32", reason="uses a POSIX limit on file size")
def test_a_write_that_really_stops_half_way(tmp_path: Path) -> None:
    import resource  # POSIX only

    place(b"old", tmp_path / "sheet.pdf")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (64 << 10, hard))
    try:
        with pytest.raises(OutputError, match=r"sheet\.pdf cannot be written"):
            place(b"x" * (1 << 20), tmp_path / "sheet.pdf")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert (tmp_path / "sheet.pdf").read_bytes() == b"old"
    assert names(tmp_path) == ["sheet.pdf"]


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="nothing is forbidden to root")
def test_a_read_only_folder(tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(OutputError, match="no permission"):
            place(b"page", tmp_path / "sheet.pdf")
    finally:
        tmp_path.chmod(0o755)
    assert names(tmp_path) == []


@pytest.mark.skipif(sys.platform == "win32", reason="a reader's open file blocks the move on Windows")
def test_writers_and_readers_of_one_name_only_ever_see_whole_files(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    place(b"0" * 300_000, target)
    torn: list[int] = []
    done = threading.Event()

    def write(letter: bytes) -> None:
        for _ in range(15):
            place(letter * 300_000, target)

    def read() -> None:
        while not done.is_set():
            seen = target.read_bytes()
            if len(seen) != 300_000 or len(set(seen)) != 1:
                torn.append(len(seen))

    reader = threading.Thread(target=read)
    writers = [threading.Thread(target=write, args=(letter,)) for letter in (b"a", b"b", b"c", b"d")]
    reader.start()
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    done.set()
    reader.join()
    assert not torn
    assert names(tmp_path) == ["sheet.pdf"]
    assert target.read_bytes()[:1] in b"abcd"


def on_windows(monkeypatch: pytest.MonkeyPatch, refusals: int) -> list[float]:
    """Let it be Windows, where a file cannot be replaced so many times; the waits between."""
    left, waits = [refusals], []
    real = Path.replace

    def replace(draft: Path, target: Path) -> Path:
        left[0] -= 1
        if left[0] >= 0:
            raise PermissionError(errno.EACCES, "Access is denied", str(draft), 5, str(target))
        return real(draft, target)

    monkeypatch.setattr(Path, "replace", replace)
    monkeypatch.setattr(time, "sleep", waits.append)
    monkeypatch.setattr(atomic, "sys", SimpleNamespace(platform="win32"))
    return waits


@pytest.mark.parametrize("refusals", [1, 5])
def test_a_file_that_another_program_reads_on_windows_is_replaced_when_it_lets_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refusals: int
) -> None:
    target = place(b"old", tmp_path / "sheet.pdf")
    waits = on_windows(monkeypatch, refusals)
    place(b"new", target)
    assert target.read_bytes() == b"new"
    assert names(tmp_path) == ["sheet.pdf"]
    assert len(waits) == refusals


def test_a_file_that_another_program_never_lets_go_is_left_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = place(b"old", tmp_path / "sheet.pdf")
    waits = on_windows(monkeypatch, 1_000)
    with pytest.raises(OutputError, match="there is no permission"):
        place_all({target: b"new", tmp_path / "other.pdf": b"new"})
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == ["sheet.pdf"]
    assert 0.5 < sum(waits) < 2


def test_a_system_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "link")
    target = tmp_path / "sheet.pdf"
    place(b"old", target, overwrite=False)
    with pytest.raises(OutputError, match="already exists"):
        place(b"new", target, overwrite=False)
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == ["sheet.pdf"]


def test_pages_go_into_their_folder_and_nowhere_else(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="no name for a page"):
        place_in(tmp_path / "out", {"sheet.pdf": b"page", "../sheet.pdf": b"page"})
    assert names(tmp_path) == []
    assert place_in(tmp_path / "out", {"sheet.pdf": b"page"}) == (tmp_path / "out" / "sheet.pdf",)
