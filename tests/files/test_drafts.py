"""What a killed program leaves is cleared by the next one; what a living one writes is left alone."""

import os
import signal
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from generator.files import drafts
from generator.files.atomic import place, place_all
from generator.files.drafts import Drafts, ScratchFolder, hold, scratch

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="copies processes, and locks as POSIX does")


@pytest.fixture(autouse=True)
def _next_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "_looked_through", set())
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)


@pytest.fixture
def another_program() -> Iterator[Callable[[Callable[[], object]], int]]:
    """Starts one that does something and then waits to be killed; gives its number when it has done that."""
    started: list[int] = []

    def begin(do: Callable[[], object]) -> int:
        reading, writing = os.pipe()
        child = os.fork()
        if not child:
            try:
                done = do()
                os.write(writing, b"x")
                signal.pause()
                del done
            finally:
                os._exit(1)
        os.close(writing)
        assert os.read(reading, 1) == b"x"
        os.close(reading)
        started.append(child)
        return child

    yield begin
    for child in started:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def killed(child: int) -> None:
    os.kill(child, signal.SIGKILL)
    os.waitid(os.P_PID, child, os.WEXITED | os.WNOWAIT)  # the fixture waits for it too


def half_a_file(folder: Path) -> Drafts:
    unfinished = Drafts()
    name = unfinished.name_in(folder)
    name.write_bytes(b"half a page")
    name.with_name(f"{name.name}-journal").write_bytes(b"beside it")
    return unfinished


def test_what_a_killed_program_left_goes_with_the_next_file(tmp_path: Path, another_program) -> None:
    child = another_program(lambda: half_a_file(tmp_path))
    assert len(names(tmp_path)) == 3
    place(b"page", tmp_path / "other.pdf")
    assert len(names(tmp_path)) == 4  # it is alive
    killed(child)
    drafts._looked_through.clear()
    place(b"page", tmp_path / "sheet.pdf")
    assert names(tmp_path) == ["other.pdf", "sheet.pdf"]


def test_nothing_else_is_taken(tmp_path: Path) -> None:
    kept = [
        "notes.part",
        ".notes.part",
        ".0123456789ABCDEF.part",
        ".0123456789abcdef-x.part",
        "sheet.pdf.part",
    ]
    for name in kept:
        (tmp_path / name).write_bytes(b"a person's")
    (tmp_path / ".0000000000000000.part").symlink_to(tmp_path / "notes.part")
    os.mkfifo(tmp_path / ".1111111111111111.part")
    (tmp_path / ".2222222222222222.part").mkdir()
    before = names(tmp_path)
    place(b"page", tmp_path / "sheet.pdf")
    assert names(tmp_path) == sorted([*before, "sheet.pdf"])


def test_a_folder_is_looked_through_once_a_run(tmp_path: Path) -> None:
    place(b"page", tmp_path / "sheet.pdf")
    left = tmp_path / ".0123456789abcdef.part"
    left.touch()
    place(b"page", tmp_path / "other.pdf")
    assert left.exists()


def test_many_files_at_once_need_few_descriptors(tmp_path: Path) -> None:
    import resource  # POSIX only

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (64, hard))
    try:
        place_all({tmp_path / f"{number}.png": b"page" for number in range(200)})
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    assert len(names(tmp_path)) == 200


def test_a_lock_that_was_cleared_in_the_moment_it_was_made_is_no_lock(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    with path.open("xb") as file:
        assert hold(file.fileno(), path)
        path.unlink()
        assert not hold(file.fileno(), path)
        path.touch()  # somebody else's
        assert not hold(file.fileno(), path)


def test_scratch_folders_of_killed_programs_go(tmp_path: Path, another_program) -> None:
    for name in ("scalewright-run-notes", "scalewright-failed-abcdefgh", "scalewright-run-abcdefgh.old"):
        (tmp_path / name).mkdir()
    (tmp_path / "scalewright-run-nofolder").write_bytes(b"a person's")
    others = names(tmp_path)

    def begin() -> ScratchFolder:
        folder = ScratchFolder()
        (folder.path / "sheet.ly").write_bytes(b"music")
        return folder

    one, other = another_program(begin), another_program(begin)
    with scratch() as folder:
        assert folder.is_dir()
    assert len(names(tmp_path)) == len(others) + 2
    killed(one)
    drafts._looked_through.clear()
    with scratch():
        pass
    assert len(names(tmp_path)) == len(others) + 1
    killed(other)
    drafts._looked_through.clear()
    with scratch():
        pass
    assert names(tmp_path) == sorted(others)


def test_a_scratch_folder_that_is_cleared_before_it_is_held_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make = tempfile.mkdtemp
    made: list[str] = []

    def cleared(**words: str) -> str:
        made.append(make(**words))
        if len(made) == 1:
            Path(made[0]).rmdir()
        return made[-1]

    monkeypatch.setattr(tempfile, "mkdtemp", cleared)
    with scratch() as folder:
        assert folder.is_dir()
    assert len(made) == 2


def test_a_disk_without_locks_keeps_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_locks(*_: object) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(drafts.fcntl, "flock", no_locks)
    left = tmp_path / ".0123456789abcdef-0.part"
    left.touch()
    place(b"page", tmp_path / "sheet.pdf")
    assert names(tmp_path) == [left.name, "sheet.pdf"]


def test_a_system_without_locks_writes_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "sys", SimpleNamespace(platform="win32"))
    place(b"page", tmp_path / "sheet.pdf")
    with scratch() as folder:
        assert folder.is_dir()
    assert names(tmp_path) == ["sheet.pdf"]
