"""Puts a finished file where the person wants it: whole or not at all.

The bytes go to a nameless neighbour first and are moved over the target in one step, so that neither a full
disk, nor a crash, nor a second program writing the same name ever leaves half a page. (POSIX `rename` and
Windows `MoveFileEx` replace within one folder atomically.)
"""

import contextlib
import os
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

from generator.errors import OutputError
from generator.files.drafts import Drafts
from generator.files.resources import why
from generator.files.text import clean, is_bare_name

# Seconds: virus scanners and indexers open what is new for a moment.
_WAITS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.4)


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
    with _folder_of(target):
        if overwrite or not _settled(data, target):
            _write(data, target, overwrite=overwrite, lasting=lasting)
    return target


def place_all(files: Mapping[Path, bytes], *, lasting: bool = True) -> tuple[Path, ...]:
    """Write several files that belong together: all of them or, as far as a disk can promise that, none.

    All are written beside their targets before the first is moved into place, so a full disk leaves nothing.

    Args:
        files: content by path.
        lasting: as for `place`.

    Returns:
        The paths, in order.

    Raises:
        OutputError: one line that says why.
    """
    with contextlib.ExitStack() as stack, Drafts() as drafts:
        written: list[tuple[Path, Path]] = []
        for target, data in files.items():
            stack.enter_context(_folder_of(target))
            written.append((_draft(data, target, drafts, lasting=lasting), target))
        for draft, target in written:
            with _told(target):
                _move(draft, target)
    return tuple(files)


def place_in(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write several files of one folder, as `place_all`.

    Args:
        folder: where they go.
        files: content by bare name.

    Raises:
        OutputError: one line that says why.
    """
    for name in files:
        if not is_bare_name(name):
            raise OutputError(f"{name!r} is no name for a page; nothing was written")
    return place_all({folder / name: data for name, data in files.items()})


@contextlib.contextmanager
def _folder_of(target: Path) -> Iterator[None]:
    """Make the folder of a file, and take it away again if the file does not come."""
    made: list[Path] = []
    try:
        with _told(target):
            made += _missing(target.parent)
            target.parent.mkdir(parents=True, exist_ok=True)
            if target.exists() and not target.is_file():
                raise OutputError(f"{_show(target)} cannot be written: a folder or device has that name")
            yield
    except BaseException:
        for folder in made:
            with contextlib.suppress(OSError):  # it is not empty: another program uses it
                folder.rmdir()
        raise


def _missing(folder: Path) -> list[Path]:
    """The folders that are still to be made, the innermost first."""
    if os.path.lexists(folder):
        return []
    return [folder, *(_missing(folder.parent) if folder.parent != folder else [])]


@contextlib.contextmanager
def _told(target: Path) -> Iterator[None]:
    """Say what the system complains of in one line."""
    try:
        yield
    except (OSError, ValueError) as problem:  # ValueError: a name with a NUL or an unpaired surrogate
        raise OutputError(f"{_show(target)} cannot be written: {_reason(problem, target)}") from problem


def _settled(data: bytes, target: Path) -> bool:
    """Whether the target is already there with this very content; another content is an error."""
    if not target.exists():
        return False
    if target.stat().st_size == len(data) and target.read_bytes() == data:
        return True
    raise OutputError(f"{_show(target)} already exists and holds something else; it was not replaced")


def _write(data: bytes, target: Path, *, overwrite: bool, lasting: bool) -> None:
    with Drafts() as drafts:
        draft = _draft(data, target, drafts, lasting=lasting)
        if overwrite:
            _move(draft, target)
        else:
            _move_to_free_name(draft, target, data)


def _draft(data: bytes, target: Path, drafts: Drafts, *, lasting: bool) -> Path:
    """The content as a nameless neighbour of the target."""
    with _told(target):
        draft = drafts.name_in(target.parent)
        # "x" makes it with the person's usual permissions, which tempfile would narrow.
        with draft.open("xb") as file:
            file.write(data)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
    return draft


def _move_to_free_name(draft: Path, target: Path, data: bytes) -> None:
    try:
        os.link(draft, target)  # unlike a rename, fails if the name was taken meanwhile
    except FileExistsError:
        _settled(data, target)
    except (OSError, AttributeError):  # a disk, or a system, without hard links
        with target.open("xb"):
            pass  # the name is ours from here on
        _move(draft, target)


def _move(draft: Path, target: Path) -> None:
    """Move a draft over its target. On Windows a file that somebody reads cannot be replaced; most let go soon."""
    for wait in _WAITS if sys.platform == "win32" else ():
        try:
            draft.replace(target)
        except PermissionError:
            time.sleep(wait)
        else:
            return
    draft.replace(target)


def _reason(problem: OSError | ValueError, target: Path) -> str:
    if not isinstance(problem, OSError):
        return "the name holds a character that no file name can hold"
    with contextlib.suppress(OSError):
        for folder in target.parents:
            if folder.is_symlink() and not folder.exists():
                return f"{_show(folder)} is a link that leads nowhere"
    return why(problem)


def _show(target: Path) -> str:
    return clean(str(target))
