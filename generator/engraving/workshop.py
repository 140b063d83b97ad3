"""The throw-away folder in which one page text is engraved, and what is kept of it when that fails."""

import contextlib
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from generator.engraving.verdict import PLAIN_STEM
from generator.errors import EngravingError, OutputError

LOG = "lilypond.log"
_SUFFIXES = (".ly", ".ily")


@contextlib.contextmanager
def workshop(files: Mapping[str, str]) -> Iterator[Path]:
    """A fresh folder with these files in it, gone afterwards.

    If the block ends in an EngravingError, the texts and the log move to a folder `scalewright-failed-...`
    beside it, and the error names that folder.

    Args:
        files: text by file name, see `write`.

    Raises:
        OutputError: the system's folder for temporary files cannot be written.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix="scalewright-"))
    except OSError as problem:
        raise OutputError(f"no temporary folder can be made: {problem.strerror}") from problem
    try:
        write(folder, files)
        yield folder
    except EngravingError as problem:
        kept = _keep(folder)
        where = f" (text and log are kept in {kept})" if kept else ""
        raise EngravingError(f"{problem}{where}") from problem
    finally:
        shutil.rmtree(folder, ignore_errors=True)


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
        except (OSError, UnicodeEncodeError) as problem:
            raise OutputError(f"the temporary file {path} cannot be written: {problem}") from problem


def _keep(folder: Path) -> Path | None:
    """Move the texts and the log out of the folder, if there are any and the disk allows."""
    paths = [path for path in sorted(folder.iterdir()) if path.suffix in _SUFFIXES or path.name == LOG]
    if not paths:
        return None
    try:
        kept = Path(tempfile.mkdtemp(prefix="scalewright-failed-", dir=folder.parent))
        for path in paths:
            path.replace(kept / path.name)
    except OSError:
        return None
    return kept
