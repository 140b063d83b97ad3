"""The same command again: what it printed and said last time, given back before anything else is read.

That holds as long as nothing has changed that the page came from: the words of the command, the program and its
data, LilyPond, and the files that were read (plan, log, lists). Whoever can be repeated says so with `keep`.
"""

import os
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.cli.messages import Message, hush, tell
from generator.engraving.cache import Cache, CachedPage, key_of
from generator.engraving.program import locate
from generator.errors import LilyPondMissingError, OutputError
from generator.files.atomic import place_all
from generator.files.home import Home
from generator.files.resources import data_folder

VARIABLE = "SCALEWRIGHT_CACHE"
OFF = "--no-cache"
_COMMANDS = ("sheet", "today")
_HOMES = ("PATH", "HOME", "USERPROFILE", "LOCALAPPDATA", "APPDATA", "FONTCONFIG_FILE", "FONTCONFIG_PATH")
_SOURCES = (".py", ".toml", ".ily", ".j2")
# File systems keep time in ticks of a few milliseconds.
_TICK = 50_000_000  # nanoseconds

Stamps = dict[str, tuple[int, int, int] | None]


@dataclass(frozen=True, slots=True)
class _Asked:
    """The command that runs: its key, since when, and where it may be kept."""

    key: str
    since: int
    cache: Cache


_asked: _Asked | None = None


def cache_at(home: Path | None, *, off: bool) -> Cache:
    """Where finished pages are kept.

    Args:
        home: the folder that ``--home`` names.
        off: keep nothing.
    """
    if off:
        return Cache.nothing()
    if named := os.environ.get(VARIABLE):
        return Cache(Path(named))
    if home is None and (named := os.environ.get("SCALEWRIGHT_HOME")):
        home = Path(named)
    return Cache(Home.at(home).cache / "pages")


def answer(words: Sequence[str], today: str) -> bool:
    """Print what these words printed before, if nothing has changed since.

    Args:
        words: the command line.
        today: the day, as far as the command depends on it.

    Raises:
        OutputError: a file cannot be written.
    """
    global _asked  # noqa: PLW0603  # the command this process runs
    _asked = None
    if not words or words[0] not in _COMMANDS or OFF in words or "--help" in words:
        return False
    since = time.time_ns()
    key = _key(words, today if words[0] == "today" else "")
    if key is None:
        return False
    cache = cache_at(_home(words), off=False)
    kept = cache.get(key)
    _asked = _Asked(key, since, cache)
    if kept is None or any(_stamp(path) != stamp for path, stamp in _tuples(kept.words["read"])):
        return False
    hush(kept.words["quiet"])
    place_all({Path(path): data for path, data in kept.files.items()})
    tell(Message(*line) for line in kept.words["lines"])
    for path in kept.files:
        print(path)
    return True


def stamps(paths: Iterable[Path]) -> Stamps:
    """Size, time and number of each file, None where there is none."""
    return {str(path.absolute()): _stamp(str(path)) for path in paths}


def keep(
    files: Mapping[Path, bytes], lines: Iterable[Message], read: Stamps, own: Stamps, *, quiet: bool
) -> None:
    """Let the running command be answered with this from now on.

    Args:
        files: content by path, as printed.
        lines: what is to be said to the person next time.
        read: files the page came from. If one changed while the command ran, nothing is kept.
        own: such files that the command changed itself.
        quiet: as asked for.
    """
    if _asked is None or any(stamp and stamp[1] > _asked.since - _TICK for stamp in read.values()):
        return
    said = [(line.text, line.loud) for line in lines]
    words = {"lines": said, "read": [*read.items(), *own.items()], "quiet": quiet}
    _asked.cache.put(_asked.key, CachedPage({str(path): data for path, data in files.items()}, words))


def _tuples(read: Iterable[tuple[str, list[int] | None]]) -> Iterable[tuple[str, tuple[int, ...] | None]]:
    """What JSON gave back as lists."""
    return ((path, None if stamp is None else tuple(stamp)) for path, stamp in read)


def _stamp(path: str) -> tuple[int, int, int] | None:
    try:
        stat = Path(path).stat()
    except (OSError, ValueError):
        return None
    return (stat.st_size, stat.st_mtime_ns, stat.st_ino)


def _home(words: Sequence[str]) -> Path | None:
    for word, following in zip(words, [*words[1:], ""], strict=True):
        if word == "--home" and following:
            return Path(following)
        if word.startswith("--home="):
            return Path(word.partition("=")[2])
    return None


def _key(words: Sequence[str], today: str) -> str | None:
    """What the page depends on besides the files that were read; None where that cannot be told."""
    try:
        found = locate(os.environ)
        program = getattr(found, "path", found)
        sources = [_sources(data_folder(name)) for name in ("templates", "shared")]
        here = str(Path.cwd())
    except (LilyPondMissingError, OutputError, OSError):
        return None
    around = sorted(
        (name, value)
        for name, value in os.environ.items()
        if name in _HOMES or name.startswith(("SCALEWRIGHT_", "XDG_"))
    )
    own = _sources(Path(__file__).parent.parent)
    return key_of("again", list(words), today, here, around, _stamp(str(program)), own, sources)


def _sources(folder: Path) -> list[tuple[str, int, int]]:
    """Every source file under a folder with its size and time."""
    found: list[tuple[str, int, int]] = []
    with os.scandir(folder) as entries:
        for one in entries:
            if one.is_dir():
                found += _sources(Path(one.path))
            elif one.name.endswith(_SOURCES):
                stat = one.stat()
                found.append((one.path, stat.st_size, stat.st_mtime_ns))
    return sorted(found)
