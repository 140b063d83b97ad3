"""What lies outside our own code: templates/ and shared/, installed or in a checkout, and the system's complaints.

The only module that knows where the first are and what the second mean.
"""

import errno
import shutil
import sys
from pathlib import Path

from generator.errors import OutputError

_PACKAGE = Path(__file__).parent.parent
_REASONS = {
    errno.ENOSPC: "the disk is full; make room, or choose another place",
    errno.EDQUOT: "the disk quota is used up; make room, or choose another place",
    errno.EFBIG: "it is larger than a file may be here (see: ulimit -f)",
    errno.EROFS: "the disk is read-only; choose another place",
    errno.EACCES: "there is no permission; choose another place, or ask its owner",
    errno.EPERM: "there is no permission; choose another place, or ask its owner",
    errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
    errno.ENOTDIR: "a part of the path is a file, not a folder",
    errno.EEXIST: "a part of the path is a file, not a folder",
    errno.ENOENT: "there is no such file or folder",
    errno.ELOOP: "it is a link that leads back to itself",
    errno.EINVAL: "the name is not allowed on this disk",
    errno.EMFILE: "too many files are open at once (see: ulimit -n)",
    errno.ENFILE: "too many files are open on this machine; close some programs",
    errno.ENOMEM: "there is not enough memory; close some programs",
    errno.EAGAIN: "too many programs run at once, or memory is short; close some programs",
}


def data_folder(name: str) -> Path:
    """The folder ``templates`` or ``shared``.

    Raises:
        OutputError: this installation lacks it.
    """
    installed = _PACKAGE / "_data" / name
    if installed.is_dir():
        return installed
    checkout = _PACKAGE.parent
    # pyproject.toml beside it tells a checkout from a stray folder in site-packages.
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise OutputError(
        f"the data folder {name!r} is missing from this installation; install scalewright again"
    )


def own_text(path: Path) -> str:
    """The text of one of the program's own files.

    Raises:
        OutputError: this installation lacks it.
    """
    try:
        return path.read_text("utf-8")
    except OSError as problem:
        raise OutputError(f"{path}: {why(problem)}; install scalewright again") from problem


def is_there(path: Path) -> bool:
    """Whether anything is at a path that a person named.

    Raises:
        OutputError: the system does not tell: no permission, a name that is too long.
    """
    try:
        return path.exists()
    except OSError as problem:
        raise OutputError(f"{path}: {why(problem)}") from problem


def is_full(folder: Path, little: int) -> bool:
    """Whether the disk of a folder has less room than so many bytes."""
    try:
        usage = shutil.disk_usage(folder)
    except OSError:
        return False
    return usage.total > 0 and usage.free < little  # what is no real disk, like /proc, has no size


def why(problem: OSError) -> str:
    """What the system complains of, in plain words and with a way out where there is one."""
    if sys.platform == "win32" and isinstance(problem, PermissionError):
        return "there is no permission, or another program has the file open"
    return _REASONS.get(problem.errno or 0) or problem.strerror or type(problem).__name__
