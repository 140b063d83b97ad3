"""Files that a page sends in pieces, for nothing it sends at once is large; the newest few are kept in memory."""

import base64
import binascii
import re
import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePath

from generator.api.refusals import NotThereError
from generator.errors import OutputError, RequestError, shown
from generator.files.drafts import scratch
from generator.files.resources import why
from generator.files.text import slug

PIECE = 11_000
"""Bytes of a piece at the most: as base64 in JSON they stay under what a POST may hold."""
LARGEST = 8 << 20
KEPT = 4
_ENDING = re.compile(r"\.[a-z0-9]{1,10}", re.ASCII)


@dataclass(frozen=True, slots=True, eq=False)
class SentFile:
    """A file as a person chose it.

    Attributes:
        name: as it is called at home; where it lies is not sent.
        data: what it holds.
    """

    name: str
    data: bytes

    @contextmanager
    def on_disk(self) -> Iterator[Path]:
        """A path under which it can be read, for as long as the block lasts.

        Raises:
            RequestError: its name has no ending that says what it is.
            OutputError: there is no room for it.
        """
        named = PurePath(self.name)
        ending = named.suffix.casefold()
        if not _ENDING.fullmatch(ending):
            raise RequestError(f"{shown(self.name)} has no ending that says what it is, like .mxl")
        try:
            with scratch() as folder:
                path = folder / f"{slug(named.stem, 60) or 'file'}{ending}"
                path.write_bytes(self.data)
                yield path
        except OSError as problem:
            raise OutputError(f"{shown(self.name)} cannot be read: {why(problem)}") from problem


@dataclass(slots=True)
class _Begun:
    name: str
    of: int
    pieces: list[bytes] = field(default_factory=list)


class SentFiles:
    """The files that came from a page. May be used by several threads."""

    def __init__(self) -> None:
        self._begun: OrderedDict[str, _Begun] = OrderedDict()
        self._whole: OrderedDict[str, SentFile] = OrderedDict()
        self._lock = threading.Lock()

    def add(self, file: str, name: str, at: int, of: int, data: str) -> bool:
        """Take a piece; the pieces of a file come in order.

        Args:
            file: what the page calls it, the same for all its pieces.
            name: of the file.
            at: number of the piece, from 0.
            of: how many there are.
            data: in base64.

        Returns:
            Whether the file is whole now.

        Raises:
            RequestError: it is too large, empty, or a piece is missing.
        """
        try:
            piece = base64.b64decode(data, validate=True)
        except (binascii.Error, ValueError):
            raise RequestError("data is base64") from None
        if of * PIECE > LARGEST + PIECE or len(piece) > PIECE:
            raise RequestError(
                f"{shown(name)} is larger than {LARGEST >> 20} MB; export the one part you play"
            )
        with self._lock:
            if at == 0:
                self._begun[file] = _Begun(name, of)
                while len(self._begun) > KEPT:
                    self._begun.popitem(last=False)
            begun = self._begun.get(file)
            if begun is None or begun.of != of or len(begun.pieces) != at:
                raise RequestError(f"a piece of {shown(name)} is missing; choose the file again")
            begun.pieces.append(piece)
            if len(begun.pieces) < of:
                return False
            del self._begun[file]
            whole = b"".join(begun.pieces)
            if not whole:
                raise RequestError(f"{shown(name)} is empty")
            self._whole[file] = SentFile(name, whole)
            while len(self._whole) > KEPT:
                self._whole.popitem(last=False)
        return True

    def find(self, file: str) -> SentFile:
        """A file that came whole.

        Raises:
            NotThereError: there is none, or none any more.
        """
        with self._lock:
            found = self._whole.get(file)
        if found is None:
            raise NotThereError("this file is not here any more; choose it again")
        return found
