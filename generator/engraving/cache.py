"""Finished pages, kept so that the same page need not be engraved twice.

What is kept can be made again at any time. So nothing here ever fails: a folder that cannot be written keeps nothing,
and an entry that is damaged, cut off or of another form counts as missing and is taken away. Each entry is one file,
moved into place whole, so that several programs may read and write at once.

Whoever may write entries decides what is printed. So they lie in a folder of their own that only the person may write,
and an entry counts only if it holds just the files that were asked for, by names that lead nowhere else.
"""

import contextlib
import hashlib
import json
import os
import re
import stat
from collections.abc import Iterator, Mapping
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import Any, Self

from generator.engraving.program import Program
from generator.engraving.result import EngravingOrder, is_whole
from generator.errors import OutputError
from generator.files.home import Home
from generator.files.own_folder import OwnFolder
from generator.files.text import clean, is_bare_name

VARIABLE = "SCALEWRIGHT_CACHE"
FORM = "scalewright pages 2"
FOLDER = "scalewright-pages"
MOST = 128 << 20  # bytes in all
LARGEST = MOST // 4  # bytes of one entry
_LARGEST_HEAD = 1 << 16  # bytes of what an entry says of itself
_ROOM = 0.75  # of what there may be, kept when there is too much
_ENTRY = re.compile(r"[0-9a-f]{40}\.pages")
_DRAFT = re.compile(r"\.[0-9a-f]{16}\.part")
_STALE = 3600 * 10**9  # nanoseconds after which a draft belongs to a program that is gone


@dataclass(frozen=True, slots=True)
class CachedPage:
    """What was kept under a key.

    Attributes:
        files: content by name.
        loose: whether the page was engraved without our line breaks.
    """

    files: Mapping[str, bytes]
    loose: bool = False


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of finished pages.

    Attributes:
        folder: where their own folder lies, or None to keep nothing.
        most: bytes it may hold; the entries not used for longest go first.
    """

    folder: Path | None = None
    most: int = MOST

    @classmethod
    def at(cls, home: Path | None) -> Self:
        """The usual one: where SCALEWRIGHT_CACHE says, else in the home folder, else in the user's cache folder.

        Args:
            home: the folder that holds a player's things, or None for where this system keeps them.
        """
        if named := os.environ.get(VARIABLE):
            return cls(Path(named))
        if home is None and (named := os.environ.get("SCALEWRIGHT_HOME")):
            home = Path(named)
        return cls(Home.at(home).cache)

    @classmethod
    def nothing(cls) -> Self:
        """One that keeps nothing."""
        return cls()

    def trouble(self) -> str | None:
        """Why the folder is not used though it is there, in one line for the person; None where it serves."""
        if self.folder is None:
            return None
        try:
            with OwnFolder.opened(self.folder / FOLDER, make=False):
                return None
        except OutputError as problem:
            where = clean(str(self.folder / FOLDER))
            return f"finished pages are not kept: {where} {problem}; {VARIABLE} names another place for them"
        except OSError:
            return None

    def get(self, key: str, order: EngravingOrder) -> CachedPage | None:
        """What was kept under this key, or None.

        Args:
            key: see `page_key`.
            order: what was asked for; an entry that holds anything else counts as none.
        """
        with self._opened(make=False) as folder:
            if folder is None:
                return None
            data = folder.read(_name(key), LARGEST)
            if data is None:
                return None
            kept = _unpacked(data, order)
            (folder.use if kept else folder.remove)(_name(key))
            return kept
        return None

    def put(self, key: str, kept: CachedPage) -> None:
        """Keep this under a key, in place of what was kept under it."""
        data = _packed(kept)
        if data is None or len(data) > min(LARGEST, self.most):
            return
        with self._opened(make=True) as folder:
            if folder is not None:
                folder.write(_name(key), data, f".{os.urandom(8).hex()}.part")
                self._make_room(folder, folder.status(_name(key)).st_mtime_ns)

    @contextlib.contextmanager
    def _opened(self, *, make: bool) -> Iterator[OwnFolder | None]:
        """The folder, or None; whatever is wrong with it, or goes wrong inside, is passed over."""
        with contextlib.ExitStack() as stack, contextlib.suppress(OutputError, OSError):
            found = None
            if self.folder is not None:
                with contextlib.suppress(OutputError, OSError):
                    found = stack.enter_context(OwnFolder.opened(self.folder / FOLDER, make=make))
            yield found

    def _make_room(self, folder: OwnFolder, now: int) -> None:
        """Take away what is too much, and what programs left half-written that are gone: files with our names only."""
        entries: list[tuple[int, int, str]] = []
        for name in folder.names():
            draft = _DRAFT.fullmatch(name)
            if not (draft or _ENTRY.fullmatch(name)):
                continue
            with contextlib.suppress(OSError):  # another program was quicker
                status = folder.status(name)
                if not stat.S_ISREG(status.st_mode):
                    continue
                if not draft:
                    entries.append((status.st_mtime_ns, status.st_size, name))
                elif now - status.st_mtime_ns > _STALE or folder.forsaken(name):
                    folder.remove(name)
        held = sum(size for _, size, _ in entries)
        if held <= self.most:
            return
        for _, size, name in sorted(entries):
            folder.remove(name)
            held -= size
            if held <= self.most * _ROOM:
                return


def key_of(*parts: object) -> str:
    """A key for whatever these say: equal parts, equal key.

    Args:
        parts: strings, numbers, None, and lists, tuples and string-keyed dicts of them.
    """
    text = json.dumps([FORM, *parts], ensure_ascii=False, separators=(",", ":"), default=list)
    return hashlib.sha256(text.encode(errors="surrogatepass")).hexdigest()[:40]


def page_key(program: Program, files: Mapping[str, str], order: EngravingOrder) -> str | None:
    """The key of engraved pages, or None where they cannot have one.

    Args:
        program: which LilyPond engraves.
        files: all texts by name.
        order: what is asked of it.
    """
    try:
        return key_of("pages", program.identity, sorted(files.items()), astuple(order))
    except OSError:  # the program has gone; whoever runs it says so
        return None


def _name(key: str) -> str:
    return f"{key}.pages"


def _packed(kept: CachedPage) -> bytes | None:
    """An entry, or None for what none can hold."""
    sizes = [(name, len(data)) for name, data in kept.files.items()]
    head = json.dumps({"files": sizes, "loose": kept.loose}, separators=(",", ":")).encode()
    if len(head) > _LARGEST_HEAD:
        return None
    body = b"".join((len(head).to_bytes(8, "big"), head, *kept.files.values()))
    return b"".join((FORM.encode(), b"\n", hashlib.sha256(body).digest(), body))


def _unpacked(data: bytes, order: EngravingOrder) -> CachedPage | None:
    """The entry, or None if it is not whole or not what was ordered."""
    front = f"{FORM}\n".encode()
    start = len(front) + 32
    body = memoryview(data)[start:]
    if not data.startswith(front) or hashlib.sha256(body).digest() != data[len(front) : start]:
        return None
    at = 8 + int.from_bytes(body[:8], "big")
    if at > 8 + _LARGEST_HEAD:
        return None
    # The digest tells what was damaged, not who wrote it: nothing is taken for what it says it is.
    try:
        match json.loads(bytes(body[8:at])):
            case {"files": [*sizes], "loose": bool(loose), **rest} if not rest and all(map(_is_size, sizes)):
                pass
            case _:
                return None
    except (ValueError, RecursionError):
        return None
    if len({name for name, _ in sizes}) < len(sizes) or at + sum(size for _, size in sizes) != len(body):
        return None
    files: dict[str, bytes] = {}
    for name, size in sizes:
        files[name] = bytes(body[at : at + size])
        at += size
    return CachedPage(files, loose) if is_whole(files, order) else None


def _is_size(pair: Any) -> bool:  # noqa: ANN401  # whatever JSON can say
    match pair:
        case [str(name), int(size)]:
            return is_bare_name(name) and size >= 0 and size is not True
    return False
