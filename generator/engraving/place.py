"""Puts a finished file where the person wants it: whole or not at all.

The bytes go to a nameless neighbour first and are moved over the target in one step, so that neither a full
disk, nor a crash, nor a second program writing the same name ever leaves half a page. (POSIX `rename` and
Windows `MoveFileEx` replace within one folder atomically.)
"""

import contextlib
import errno
import os
import sys
from pathlib import Path

from generator.engraving.escape import clean
from generator.errors import OutputError

_REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "there is no permission to write there",
    errno.EPERM: "there is no permission to write there",
    errno.ENAMETOOLONG: "the name is too long",
    errno.ENOTDIR: "a part of the path is a file, not a folder",
    errno.EEXIST: "a part of the path is a file, not a folder",
    errno.EINVAL: "the name is not allowed on this disk",
}


def place(data: bytes, target: Path, *, overwrite: bool = True, lasting: bool = True) -> Path:
    """Write a file atomically, making its folder if need be.

    Args:
        data: the whole content.
        target: where it goes.
        overwrite: whether another file of this name may be replaced. One with the same content never
            matters.
        lasting: wait until the disk has it, so that it survives even a failing machine.

    Returns:
        The target.

    Raises:
        OutputError: one line that says why; nothing half-written is left behind.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_file():
            raise OutputError(f"{_show(target)} cannot be written: a folder or device has that name")
        if not overwrite and _settled(data, target):
            return target
        _write(data, target, overwrite=overwrite, lasting=lasting)
    except (OSError, ValueError) as problem:  # ValueError: a name with a NUL or an unpaired surrogate
        raise OutputError(f"{_show(target)} cannot be written: {_reason(problem)}") from problem
    return target


def _settled(data: bytes, target: Path) -> bool:
    """Whether the target is already there with this very content; another content is an error."""
    if not target.exists():
        return False
    if target.stat().st_size == len(data) and target.read_bytes() == data:
        return True
    raise OutputError(f"{_show(target)} already exists and holds something else; it was not replaced")


def _write(data: bytes, target: Path, *, overwrite: bool, lasting: bool) -> None:
    # A short name of its own, so that a target name of the full length allowed still works.
    draft = target.parent / f".{os.urandom(8).hex()}.part"
    try:
        # "x" makes it with the person's usual permissions, which tempfile would narrow.
        with draft.open("xb") as file:
            file.write(data)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        if overwrite:
            draft.replace(target)
        else:
            _move_to_free_name(draft, target, data)
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)


def _move_to_free_name(draft: Path, target: Path, data: bytes) -> None:
    try:
        os.link(draft, target)  # unlike a rename, fails if the name was taken meanwhile
    except FileExistsError:
        _settled(data, target)
    except OSError:  # a disk without hard links
        with target.open("xb"):
            pass  # the name is ours from here on
        draft.replace(target)


def _reason(problem: OSError | ValueError) -> str:
    if not isinstance(problem, OSError):
        return "the name holds a character that no file name can hold"
    if sys.platform == "win32" and isinstance(problem, PermissionError):
        return "there is no permission to write there, or another program has the file open"
    return _REASONS.get(problem.errno or 0, problem.strerror or type(problem).__name__)


def _show(target: Path) -> str:
    return clean(str(target))
