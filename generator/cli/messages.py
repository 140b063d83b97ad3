"""Speaking to the person: standard error, so that standard output holds nothing but paths and lists."""

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from generator.cli.terminal import close_output, nowhere
from generator.errors import OutputError
from generator.files.resources import why

_quiet = False
# What a title may hold and a Windows console often cannot show.
_WRITTEN_OUT = str.maketrans({"\u266d": "b", "\u266f": "#", "\u266e": "", "\u2192": "->", "\u2026": "..."})


@dataclass(frozen=True, slots=True)
class Message:
    """Something to be said.

    Attributes:
        text: one line.
        loud: a warning, shown even with --quiet.
    """

    text: str
    loud: bool = False


def tell(lines: Iterable[Message]) -> None:
    """Say some lines."""
    for line in lines:
        (say if line.loud else remark)(line.text)


def hush(quiet: bool) -> None:
    """Say nothing but errors from now on."""
    global _quiet  # noqa: PLW0603  # one switch for the whole run
    _quiet = quiet


def say(line: str) -> None:
    """An error or warning, always shown."""
    _put(f"scalewright: {line}")


def remark(line: str) -> None:
    """Something good to know, unless --quiet."""
    if not _quiet:
        _put(line)


def put_out(line: object) -> None:
    """A line of standard output: a path, or a row of a list.

    Raises:
        OutputError: it cannot be written. That its reader has gone is no error of this kind.
    """
    with _written():
        print(line)


def show_line(line: str) -> None:
    """A line of a report on standard output; what the terminal cannot show is shown as a code."""
    encoding = sys.stdout.encoding or "utf-8"
    put_out(line.encode(encoding, "backslashreplace").decode(encoding))


def flush_output() -> None:
    """Write what still waits to be written to standard output; errors as `put_out`."""
    with _written():
        sys.stdout.flush()


@contextmanager
def _written() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as problem:
        raise unwritten(problem) from problem


def unwritten(problem: OSError) -> OutputError:
    """What is said when standard output takes nothing more; nothing more is written to it."""
    close_output()
    return OutputError(f"standard output cannot be written: {why(problem)}")


def _put(line: str) -> None:
    """A line to the person; where nobody can hear it the work goes on in silence."""
    try:
        print(_plain(line), file=sys.stderr, flush=True)
    except (OSError, ValueError):  # the terminal is gone, its disk is full, or it was closed
        sys.stderr = nowhere("w")


def _plain(line: str) -> str:
    """What the terminal cannot show is shown as a code, and nothing can move its cursor."""
    line = "".join(c if c.isprintable() else repr(c)[1:-1] for c in line)
    encoding = sys.stderr.encoding or "utf-8"
    try:
        line.encode(encoding)
    except UnicodeEncodeError:
        line = line.translate(_WRITTEN_OUT)
    return line.encode(encoding, "backslashreplace").decode(encoding)
