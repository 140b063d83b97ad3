"""Finished pages, kept so that the same page need not be engraved twice.

What is kept can be made again at any time. So nothing here ever fails: a folder that cannot be written keeps nothing,
and an entry that is damaged, cut off or of another form counts as missing and is taken away. Each entry is one file,
moved into place whole, so that several programs may read and write at once.
"""

import contextlib
import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

from generator.engraving.program import Program
from generator.errors import OutputError
from generator.files.atomic import place
from generator.files.home import Home

VARIABLE = "SCALEWRIGHT_CACHE"
FORM = "scalewright pages 1"
MOST = 128 << 20  # bytes in all
LARGEST = MOST // 4  # bytes of one entry
_ROOM = 0.75  # of what there may be, kept when there is too much
_SUFFIX = ".pages"


@dataclass(frozen=True, slots=True)
class CachedPage:
    """What was kept under a key.

    Attributes:
        files: content by name.
        words: anything JSON can say that belongs to them.
    """

    files: Mapping[str, bytes]
    words: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of finished pages.

    Attributes:
        folder: where they are, or None to keep nothing.
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
        return cls(Home.at(home).cache / "pages")

    @classmethod
    def nothing(cls) -> Self:
        """One that keeps nothing."""
        return cls()

    def get(self, key: str) -> CachedPage | None:
        """What was kept under this key, or None."""
        if self.folder is None:
            return None
        path = self._path(key)
        try:
            kept = _unpacked(path.read_bytes())
        except OSError:
            return None
        with contextlib.suppress(OSError):  # a folder that may only be read serves as well
            if kept is None:
                path.unlink()
            else:
                os.utime(path)
        return kept

    def put(self, key: str, kept: CachedPage) -> None:
        """Keep this under a key, in place of what was kept under it."""
        data = _packed(kept)
        if self.folder is None or len(data) > min(LARGEST, self.most):
            return
        with contextlib.suppress(OutputError, OSError):
            place(data, self._path(key), lasting=False)
            self._make_room()

    def _path(self, key: str) -> Path:
        assert self.folder is not None  # noqa: S101  # both callers have looked
        return self.folder / f"{key}{_SUFFIX}"

    def _make_room(self) -> None:
        assert self.folder is not None  # noqa: S101
        with os.scandir(self.folder) as found:
            entries = [
                (stat.st_mtime_ns, stat.st_size, one.path)
                for one in found
                if one.name.endswith((_SUFFIX, ".part")) and (stat := one.stat())
            ]
        held = sum(size for _, size, _ in entries)
        if held <= self.most:
            return
        for _, size, path in sorted(entries):
            with contextlib.suppress(OSError):  # another program was quicker
                Path(path).unlink()
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


def page_key(program: Program, files: Mapping[str, str], *order: object) -> str | None:
    """The key of engraved pages, or None where they cannot have one.

    Args:
        program: which LilyPond engraves.
        files: all texts by name.
        order: whatever else decides what comes out: formats, outputs, resolution.
    """
    try:
        return key_of("pages", program.identity, sorted(files.items()), *order)
    except OSError:  # the program has gone; whoever runs it says so
        return None


def _packed(kept: CachedPage) -> bytes:
    sizes = [(name, len(data)) for name, data in kept.files.items()]
    head = json.dumps({"files": sizes, "words": kept.words}, separators=(",", ":")).encode()
    body = b"".join((len(head).to_bytes(8, "big"), head, *kept.files.values()))
    return b"".join((FORM.encode(), b"\n", hashlib.sha256(body).digest(), body))


def _unpacked(data: bytes) -> CachedPage | None:
    """The entry, or None if it is not whole."""
    front = f"{FORM}\n".encode()
    start = len(front) + 32
    body = memoryview(data)[start:]
    if not data.startswith(front) or hashlib.sha256(body).digest() != data[len(front) : start]:
        return None
    size = int.from_bytes(body[:8], "big")
    head = json.loads(bytes(body[8 : 8 + size]))
    files: dict[str, bytes] = {}
    at = 8 + size
    for name, length in head["files"]:
        files[name] = bytes(body[at : at + length])
        at += length
    return CachedPage(files, head["words"])
