"""What a command needs of whoever started it: three open streams, and words that are text."""

import codecs
import contextlib
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Literal, TextIO, cast

from generator.errors import RequestError
from generator.files.windows_names import windows_problem

# Options whose value names a file or folder.
_PATHS = {"--out", "-o", "--home", "--plan", "--section", "-s", "--roster", "--export", "--import", "--list"}
_LINE_BREAKS = "\n\r"


def open_streams() -> None:
    """See to it that input, output and messages lead somewhere, and that any path can be printed.

    A stream that was closed by whoever started us leads nowhere. Its number must not be left free: the next file that
    is opened would get it, and stray messages of a library would end up in that file.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    sys.stdin = sys.stdin or nowhere("r")
    sys.stdout = sys.stdout or nowhere("w")
    sys.stderr = sys.stderr or nowhere("w")
    codecs.register_error("scalewright-path", _as_on_disk)
    with contextlib.suppress(AttributeError, ValueError):  # not a stream of the usual kind
        sys.stdout.reconfigure(errors="scalewright-path")  # type: ignore[union-attr]


def nowhere(mode: Literal["r", "w"]) -> TextIO:
    """A stream that says nothing, or swallows everything."""
    return cast("TextIO", Path(os.devnull).open(mode, encoding="utf-8"))


def _as_on_disk(problem: UnicodeError) -> tuple[bytes, int]:
    """A path's own bytes where the output has no such character, so that other programs find the file."""
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    part = problem.object[problem.start : problem.end]
    try:
        return os.fsencode(part), problem.end
    except UnicodeEncodeError:
        return part.encode("ascii", "backslashreplace"), problem.end


def close_output() -> None:
    """Let nothing more be written to standard output, not even at the very end."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, sys.stdout.fileno())
        os.close(null)


def readable(words: Sequence[str]) -> list[str]:
    """The words of a command with every text in it whole.

    Python hands on bytes that it cannot read as halves of characters. A path keeps them, for so it is called; a text
    is read as UTF-8, and what is none becomes the sign for an unknown character.

    Raises:
        RequestError: a path that holds a line break (output names one file a line), or that Windows takes for
            something else.
    """
    found: list[str] = []
    path = False
    for word in words:
        option, given, value = word.partition("=")
        named = path or option in _PATHS
        if named and any(sign in word for sign in _LINE_BREAKS):
            raise RequestError(
                f"{word!r} holds a line break; choose another name, for output names a file a line"
            )
        if sys.platform == "win32" and (path or (named and given)):
            problem = windows_problem(word if path else value)
            if problem:
                raise RequestError(f"{problem}; choose another name")
        found.append(word if named or word.isascii() else _text(word))
        path = word in _PATHS and not path
    return found


def _text(word: str) -> str:
    try:
        return os.fsencode(word).decode("utf-8", "replace")
    except UnicodeEncodeError:  # not from a command line of this system
        return word.encode("utf-8", "replace").decode()
