"""What is not finished yet: names for it, and a lock that tells whether its program is still alive.

A program that is killed leaves its unfinished files and folders for ever, unless a later one can tell that nobody will
finish them. So each is held by a lock that the system lets go of when the program ends, however it ends (`flock`;
nothing is cleared on Windows, which has none, nor on a disk without). Only what bears a name of ours and belongs to
this user is cleared.
"""

import contextlib
import os
import re
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

if sys.platform != "win32":
    import fcntl

_LOCK = re.compile(r"\.([0-9a-f]{16})\.part", re.ASCII)
# What SQLite lays beside a log that is being made goes by the same name.
_DRAFT = re.compile(r"\.([0-9a-f]{16})-\d+\.part(-journal|-wal|-shm|\.sound)?", re.ASCII)
_BESIDE = ("", "-journal", "-wal", "-shm", ".sound")
_SCRATCH = "scalewright-run-"
_SCRATCH_NAME = re.compile(rf"{_SCRATCH}[a-z0-9_]{{8}}", re.ASCII)  # as tempfile names them
_PLAINLY = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
_looked_through: set[Path] = set()


class Drafts:
    """Names for unfinished files, in any number of folders; what still has one at the end of the block is gone."""

    def __init__(self) -> None:
        self._locks: dict[Path, tuple[Path, int | None]] = {}
        self._names: list[Path] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for name in self._names:
            for end in _BESIDE:
                with contextlib.suppress(OSError):
                    name.with_name(f"{name.name}{end}").unlink(missing_ok=True)
        for own, descriptor in self._locks.values():
            if descriptor is not None:
                with contextlib.suppress(OSError):
                    own.unlink(missing_ok=True)
                os.close(descriptor)

    def name_in(self, folder: Path) -> Path:
        """A free name in a folder that exists. Short, so that a finished file may have the longest name allowed.

        Raises:
            OSError: nothing can be made there.
        """
        if folder not in self._locks:
            self._locks[folder] = _locked(folder)
            clear_forsaken(folder)
        own, _ = self._locks[folder]
        name = folder / f"{own.name.removesuffix('.part')}-{len(self._names)}.part"
        self._names.append(name)
        return name


def _locked(folder: Path) -> tuple[Path, int | None]:
    """A lock of our own in a folder, and its descriptor; on Windows its name alone."""
    while True:
        own = folder / f".{os.urandom(8).hex()}.part"
        if sys.platform == "win32":
            return own, None
        descriptor = os.open(own, os.O_RDWR | os.O_CREAT | os.O_EXCL | _PLAINLY, 0o600)
        if hold(descriptor, own):
            return own, descriptor
        os.close(descriptor)


def hold(descriptor: int, path: Path) -> bool:
    """Lock what was made a moment ago; False if somebody who was clearing up took it for forsaken in that moment."""
    if not lock(descriptor):
        return True
    with contextlib.suppress(OSError):
        return os.path.samestat(os.fstat(descriptor), path.lstat())
    return False


def lock(descriptor: int) -> bool:
    """Lock a file or folder until it is closed; False on a disk or system without locks, where nobody clears up."""
    return _flocked(descriptor, at_once=False)


def is_free(descriptor: int) -> bool:
    """Whether nobody holds a file or folder; it is locked then. False where that cannot be told."""
    return _flocked(descriptor, at_once=True)


def _flocked(descriptor: int, *, at_once: bool) -> bool:
    if sys.platform != "win32":
        with contextlib.suppress(OSError):
            fcntl.flock(descriptor, fcntl.LOCK_EX | (fcntl.LOCK_NB if at_once else 0))
            return True
    return False


def clear_forsaken(folder: Path) -> None:
    """Take away what killed programs left in a folder of finished files; looked for once in each run."""
    if sys.platform == "win32" or folder in _looked_through:
        return
    _looked_through.add(folder)
    with contextlib.suppress(OSError):
        names = os.listdir(folder)  # noqa: PTH208  # far quicker where there are thousands
        for name in filter(_LOCK.fullmatch, names):
            _clear(folder / name)
        for name in names:
            match = _DRAFT.fullmatch(name)
            if match and not os.path.lexists(folder / f".{match[1]}.part"):
                _clear(folder / name)


def _clear(path: Path, *, folder: bool = False) -> None:
    """Take a file, or a folder, away if it is one, is this user's and nobody holds it."""
    if sys.platform == "win32":
        return
    with contextlib.suppress(OSError):
        descriptor = os.open(path, os.O_RDONLY | _PLAINLY)
        try:
            status = os.fstat(descriptor)
            if status.st_uid == os.getuid() and is_free(descriptor):
                if folder and stat.S_ISDIR(status.st_mode):
                    shutil.rmtree(path, ignore_errors=True)
                elif not folder and stat.S_ISREG(status.st_mode):
                    path.unlink()
        finally:
            os.close(descriptor)


class ScratchFolder:
    """A fresh folder among the system's temporary files, held until it is let go."""

    def __init__(self) -> None:
        """Make it, and clear away those of killed programs.

        Raises:
            OSError: none can be made.
        """
        self._descriptor: int | None = None
        while True:
            self.path = Path(tempfile.mkdtemp(prefix=_SCRATCH))
            if sys.platform == "win32":
                break
            with contextlib.suppress(
                FileNotFoundError
            ):  # somebody who was clearing up took it before it was held
                self._descriptor = os.open(self.path, os.O_RDONLY)
                if hold(self._descriptor, self.path):
                    break
                os.close(self._descriptor)
        _clear_scratch(self.path.parent)

    def let_go(self) -> None:
        """Anybody may clear it now; doing so twice is harmless."""
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None


@contextlib.contextmanager
def scratch() -> Iterator[Path]:
    """A fresh folder for files of a moment, gone afterwards.

    Raises:
        OSError: none can be made.
    """
    folder = ScratchFolder()
    try:
        yield folder.path
    finally:
        shutil.rmtree(folder.path, ignore_errors=True)
        folder.let_go()


def _clear_scratch(parent: Path) -> None:
    if sys.platform == "win32" or parent in _looked_through:
        return
    _looked_through.add(parent)
    for path in parent.glob(f"{_SCRATCH}*"):
        if _SCRATCH_NAME.fullmatch(path.name):
            _clear(path, folder=True)
