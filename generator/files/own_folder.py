"""A folder in which nobody but its owner can put anything, and in which only files that we made are touched.

Where the system allows (POSIX `openat`) it is held open while it is used, so that another folder put in its place
meanwhile is not taken for it. On Windows the folders of a user are closed to others by themselves, and paths serve.
"""

import contextlib
import os
import stat
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from generator.errors import OutputError
from generator.files.drafts import is_free, lock

MARKER = "CACHEDIR.TAG"
# The first line is that of the Cache Directory Tagging Specification, by which programs for backups know what they
# need not copy.
TAG = b"""Signature: 8a477f597d28d172789f06886806bc55
# This folder belongs to scalewright. What is in it can be made again; the whole folder may be deleted.
"""
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH
_LINK = 0x400  # FILE_ATTRIBUTE_REPARSE_POINT of Windows: a link or a junction
# A name that is a link is not followed, and one that is a pipe is not waited for.
_PLAINLY = sum(getattr(os, name, 0) for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_BINARY"))


@dataclass(frozen=True, slots=True)
class OwnFolder:
    """A folder of ours while it is used, see `opened`.

    Attributes:
        path: where it is.
        held: the open folder, or None where the system works by paths alone.
    """

    path: Path
    held: int | None = None

    @classmethod
    @contextlib.contextmanager
    def opened(cls, path: Path, *, make: bool) -> Iterator[Self]:
        """The folder, for as long as the block lasts.

        Args:
            path: where it is. The folder around it may belong to several people.
            make: make it (0700) if it is not there yet.

        Raises:
            FileNotFoundError: it is not there, and is not to be made.
            OutputError: it is not ours alone; the words follow the name of the folder.
            OSError: the system does not let us use it.
        """
        _refuse_link_of_another(path.parent)
        if make:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with contextlib.suppress(FileExistsError):
                path.mkdir(mode=0o700)
        held = _hold(path)
        folder = cls(path, held)
        try:
            _refuse_others(path.lstat() if held is None else os.fstat(held))
            folder._mark(make=make)
            yield folder
        finally:
            if held is not None:
                os.close(held)

    def names(self) -> list[str]:
        """Whatever lies in it."""
        return os.listdir(self.path if self.held is None else self.held)  # noqa: PTH208  # by number

    def status(self, name: str) -> os.stat_result:
        """What the system knows of a file; of a link, not of where it leads."""
        return os.stat(self._at(name), dir_fd=self.held, follow_symlinks=False)  # by number

    def read(self, name: str, most: int) -> bytes | None:
        """A plain file of at most so many bytes; None where there is none, or something else.

        Raises:
            OSError: it cannot be read.
        """
        try:
            if not stat.S_ISREG(self.status(name).st_mode):
                return None
            number = os.open(self._at(name), os.O_RDONLY | _PLAINLY, dir_fd=self.held)
        except FileNotFoundError:
            return None
        with open(number, "rb") as file:  # noqa: PTH123  # by number
            status = os.fstat(file.fileno())
            return file.read() if stat.S_ISREG(status.st_mode) and status.st_size <= most else None

    def write(self, name: str, data: bytes, draft: str) -> None:
        """Put a file in place whole.

        Args:
            name: of the file; what is there is replaced.
            data: its content.
            draft: a name that nothing has, for as long as it is not whole.

        Raises:
            OSError: it cannot be written; nothing half-written is left.
        """
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _PLAINLY
        number = os.open(self._at(draft), flags, 0o600, dir_fd=self.held)
        try:
            with open(number, "wb") as file:  # noqa: PTH123
                lock(number)
                file.write(data)
                file.flush()
                if self.held is not None:  # elsewhere an open file cannot be moved
                    os.replace(  # by number
                        self._at(draft), self._at(name), src_dir_fd=self.held, dst_dir_fd=self.held
                    )
            if self.held is None:
                Path(self._at(draft)).replace(self._at(name))
        except BaseException:
            self.remove(draft)
            raise

    def remove(self, name: str) -> None:
        """Take a file away if that is possible; of a link, the link."""
        with contextlib.suppress(OSError):
            os.unlink(self._at(name), dir_fd=self.held)  # by number

    def forsaken(self, draft: str) -> bool:
        """Whether the program that wrote a draft is gone; False where that cannot be told."""
        with contextlib.suppress(OSError):
            number = os.open(self._at(draft), os.O_RDONLY | _PLAINLY, dir_fd=self.held)
            try:
                return is_free(number)
            finally:
                os.close(number)
        return False

    def use(self, name: str) -> None:
        """Note that a file was used just now, if that is possible."""
        with contextlib.suppress(OSError):
            os.utime(self._at(name), dir_fd=self.held)

    def _at(self, name: str) -> str:
        return str(self.path / name) if self.held is None else name

    def _mark(self, *, make: bool) -> None:
        """See that the folder is marked as ours; an empty one is marked now."""
        if self._is_marked():
            return
        if self.names() and not self._is_marked():  # another program of ours may just have marked it
            raise OutputError("holds files of something else")
        if not make:
            raise FileNotFoundError(self.path)
        with contextlib.suppress(FileExistsError):
            number = os.open(
                self._at(MARKER), os.O_WRONLY | os.O_CREAT | os.O_EXCL | _PLAINLY, 0o600, dir_fd=self.held
            )
            with open(number, "wb") as file:  # noqa: PTH123
                file.write(TAG)

    def _is_marked(self) -> bool:
        said = self.read(MARKER, 10_000)
        return said is not None and (not said or said == TAG)  # none yet: another program is just writing it


# Whether this system lets files be named from an open folder on.
_BY_NUMBER = {os.open, os.stat, os.unlink, os.rename, os.utime} <= os.supports_dir_fd and (
    os.listdir in os.supports_fd
)


def _hold(path: Path) -> int | None:
    """Hold a folder open that is no link."""
    status = path.lstat()
    if not stat.S_ISDIR(status.st_mode) or getattr(status, "st_file_attributes", 0) & _LINK:
        raise OutputError("is a link" if path.is_symlink() else "is no folder")
    if sys.platform == "win32" or not _BY_NUMBER:
        return None
    try:
        return os.open(path, os.O_RDONLY | os.O_DIRECTORY | _PLAINLY)
    except NotADirectoryError:  # it became one meanwhile
        raise OutputError("is a link") from None


def _refuse_link_of_another(path: Path) -> None:
    """A person may have their folder elsewhere by a link; nobody else may lead us there."""
    if sys.platform != "win32" and path.is_symlink() and path.lstat().st_uid not in {0, os.geteuid()}:
        raise OutputError("lies behind a link that is not yours")


def _refuse_others(status: os.stat_result) -> None:
    if sys.platform == "win32":
        return
    if status.st_uid != os.geteuid():
        raise OutputError("does not belong to you")
    if status.st_mode & _OTHERS_WRITE:
        raise OutputError(f"may be written to by others (mode {stat.S_IMODE(status.st_mode):03o})")
