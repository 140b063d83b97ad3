"""Which LilyPond this machine has. Looks only; `lilypond` does the asking."""

import importlib
import os
import re
import shutil
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from generator.errors import LilyPondMissingError

VARIABLE = "SCALEWRIGHT_LILYPOND"
OLDEST = (2, 24, 0)


@dataclass(frozen=True, slots=True)
class Program:
    """A LilyPond that can be run.

    Args:
        path: absolute path of the program.
        version: as it calls itself, for instance "2.24.3".
        cairo: whether it can write through Cairo (faster, and much faster for SVG). A copy with False goes
            the PostScript way, which is the only one that writes PDF bookmarks.
    """

    path: Path
    version: str
    cairo: bool = True

    @property
    def identity(self) -> tuple[str, str, int, int]:
        """Changes when another program, or another build of it, takes its place."""
        stat = self.path.stat()
        return (self.version, str(self.path), stat.st_size, stat.st_mtime_ns)


def locate(environ: Mapping[str, str]) -> Program | Path:
    """The one SCALEWRIGHT_LILYPOND names, else the Python package `lilypond`, else the first on the PATH.

    Returns:
        The program, or only its path if it has to be asked what it is.

    Raises:
        LilyPondMissingError: there is none, or the variable names none.
    """
    if named := environ.get(VARIABLE):
        path = shutil.which(named, path=environ.get("PATH"))
        if path is None:
            raise LilyPondMissingError(
                f"{VARIABLE} is set to {named!r}, which is no program; correct or unset it"
            )
        return Path(path).absolute()
    if (packaged := _packaged()) is not None:
        return packaged
    path = shutil.which("lilypond", path=environ.get("PATH", ""))
    if path is None:
        raise LilyPondMissingError(f"LilyPond, which engraves the pages, was not found; {advice()}")
    return Path(path).absolute()


def _packaged() -> Program | Path | None:
    """The LilyPond of the Python package, known without running it."""
    try:
        module = importlib.import_module("lilypond")
        path = Path(module.executable())
    except (ImportError, AttributeError, TypeError):
        return None
    if not path.is_file():
        return None
    # importlib.metadata would tell the same, but loading it takes longer than all the rest here.
    found = [entry.name for entry in Path(str(module.__file__)).parent.glob("lilypond-*.dist-info")]
    if len(found) != 1:
        return path
    version = found[0].removeprefix("lilypond-").removesuffix(".dist-info")
    return Program(path, version) if _numbers(version) >= OLDEST else None


def identify(path: Path, said: bytes) -> Program:
    """Make a program of a path and of what it said when asked for its version.

    Raises:
        LilyPondMissingError: it is no LilyPond, or one older than 2.24.0.
    """
    found = re.search(rb"LilyPond (\d+\.\d+\.\d+)", said)
    if found is None:
        raise LilyPondMissingError(f"{path} is not a working LilyPond; {advice()}")
    version = found[1].decode()
    if _numbers(version) < OLDEST:
        raise LilyPondMissingError(f"{path} is LilyPond {version}, but 2.24.0 or newer is needed; {advice()}")
    try:
        # The message is in the program only where Cairo is not.
        cairo = b"compiled without CAIRO_BACKEND" not in path.read_bytes()
    except OSError:  # a program may be run without being readable; then its first run tells
        cairo = True
    return Program(path, version, cairo=cairo)


def advice() -> str:
    """How to get LilyPond on this system, as the end of a sentence."""
    if sys.platform == "win32" or (os.uname().machine == "x86_64" and sys.platform in {"linux", "darwin"}):
        how = "pip install lilypond==2.24.3"
    elif sys.platform == "darwin":
        how = "brew install lilypond"
    else:
        how = "apt-get install lilypond (elsewhere than on Debian and Ubuntu: the package of that name)"
    return f"get it with: {how}, or set {VARIABLE} to the path of one"


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", version)[:3])
