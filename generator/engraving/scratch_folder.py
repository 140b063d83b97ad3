"""The throw-away folder in which one page text is engraved, and what is kept of it when that fails."""

import atexit
import contextlib
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from generator.engraving.result import PLAIN_STEM
from generator.errors import EngravingError, OutputError
from generator.files.drafts import ScratchFolder
from generator.files.resources import is_full, why

LOG = "lilypond.log"
_SUFFIXES = (".ly", ".ily")
MOST_FAILED = 3  # folders of failed runs
_FAILED = "scalewright-failed-"
_FAILED_NAME = re.compile(rf"{_FAILED}[a-z0-9_]{{8}}")  # as tempfile names them
_LITTLE = 1 << 20  # bytes; a disk with less room than that counts as full
_standing: set[Path] = set()
# Given up at the end, so that there is memory to clear up with when there is no other.
_reserve = [bytearray(1 << 18)]


@contextlib.contextmanager
def scratch_folder(files: Mapping[str, str]) -> Iterator[Path]:
    """A fresh folder with these files in it, gone afterwards.

    If the block ends in an EngravingError, the texts and the log move to a folder `scalewright-failed-...`
    beside it, and the error names that folder. The last three of these stay.

    Args:
        files: text by file name, see `write`.

    Raises:
        OutputError: the system's folder for temporary files cannot be used.
    """
    try:
        held = ScratchFolder()
    except OSError as problem:
        raise OutputError(f"no temporary folder can be made: {why(problem)}") from problem
    folder = held.path
    _standing.add(folder)
    try:
        write(folder, files)
        yield folder
    except EngravingError as problem:
        full = (
            f"; the disk with {folder.parent} is full, make room or set TMPDIR"
            if is_full(folder, _LITTLE)
            else ""
        )
        kept = _keep(folder)
        where = f" (text and log are kept in {kept})" if kept else ""
        raise EngravingError(f"{problem}{full}{where}") from problem
    except OSError as problem:
        raise _unusable(folder, problem) from problem
    finally:
        _clear(folder)
        held.let_go()


def write(folder: Path, files: Mapping[str, str]) -> None:
    """Put texts into the folder.

    Args:
        folder: where to.
        files: text by file name; names are [a-z0-9-] with .ly or .ily, because LilyPond takes a name that
            begins with a hyphen for an option.

    Raises:
        EngravingError: such a name is not plain.
        OutputError: the folder cannot be written.
    """
    for name, text in files.items():
        path = folder / name
        if path.suffix not in _SUFFIXES or not PLAIN_STEM.fullmatch(name.removesuffix(path.suffix)):
            raise EngravingError(
                f"{name!r} is no name for a page text; use a-z, digits and hyphens with .ly or .ily"
            )
        try:
            path.write_bytes(text.encode())
        except OSError as problem:
            raise _unusable(folder, problem) from problem
        except UnicodeEncodeError as problem:
            raise EngravingError(f"{name} holds half a character, which cannot be written") from problem


def _unusable(folder: Path, problem: OSError) -> OutputError:
    return OutputError(
        f"the folder for temporary files, {folder.parent}, cannot be used: {why(problem)} (TMPDIR names it)"
    )


def _clear(folder: Path) -> None:
    with contextlib.suppress(OSError):
        folder.chmod(0o700)
    shutil.rmtree(folder, ignore_errors=True)
    if not folder.exists():
        _standing.discard(folder)


@atexit.register
def _clear_what_stands() -> None:
    """Whatever is left where the way out was cut short, by a second interrupt or for want of memory."""
    _reserve.clear()
    for folder in tuple(_standing):
        _clear(folder)


def _keep(folder: Path) -> Path | None:
    """Move the texts and the log out of the folder, if there are any and the disk allows."""
    kept = None
    try:
        paths = [path for path in sorted(folder.iterdir()) if _is_kept(path)]
        if not paths:
            return None
        kept = Path(tempfile.mkdtemp(prefix=_FAILED, dir=folder.parent))
        for path in paths:
            path.replace(kept / path.name)
    except OSError:
        if kept is not None:
            shutil.rmtree(kept, ignore_errors=True)
        return None
    _forget_older(kept)
    return kept


def _forget_older(kept: Path) -> None:
    """Of the folders that failed runs left, keep the last few; one into which a person put something stays as it is."""
    found: list[tuple[int, Path]] = []
    for folder in kept.parent.glob(f"{_FAILED}*"):
        with contextlib.suppress(OSError):
            status = folder.lstat()
            ours = _FAILED_NAME.fullmatch(folder.name) and status.st_uid == kept.lstat().st_uid
            if ours and stat.S_ISDIR(status.st_mode) and all(map(_is_kept, folder.iterdir())):
                found.append((status.st_mtime_ns, folder))
    for _, folder in sorted(found, reverse=True)[MOST_FAILED:]:
        with contextlib.suppress(OSError):
            for path in folder.iterdir():
                if _is_kept(path):
                    path.unlink()
            folder.rmdir()


def _is_kept(path: Path) -> bool:
    """Whether it is a text or the log."""
    return path.suffix in _SUFFIXES or path.name == LOG
