"""The ``scalewright`` command: the one place where errors become exit codes."""

import gc
import os
import sys
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from generator.cli.messages import flush_output, say, unwritten
from generator.cli.stopping import Stopped, stoppable
from generator.cli.terminal import close_output, open_streams, readable
from generator.errors import GeneratorError
from generator.files.loading import loading

DEBUG = "SCALEWRIGHT_DEBUG"
_NO_MEMORY = "there is not enough memory; close some programs, or ask for less at once"


@contextmanager
def _without_collection() -> Iterator[None]:
    """A command makes a great many small records and no garbage; looking for some takes long."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and leave with its exit code.

    0 done, 1 an error nobody foresaw, 2 cannot be done as asked, 3 this machine failed; 128 more than the number of a
    signal that stopped it. With SCALEWRIGHT_DEBUG=1 in the environment every error also shows where it arose.
    """
    # Called as the program itself: nothing comes after, and no signal is to disturb what Python does at the very end.
    for_good = arguments is None
    try:
        with stoppable(for_good=for_good) as finished, _without_collection():
            open_streams()
            code = _code_of(arguments)
            finished()
    except (Stopped, KeyboardInterrupt) as stop:
        if for_good:
            close_output()  # whoever reads it may have stalled, and Python would wait for them at the end
        say("stopped")
        code = getattr(stop, "exit_code", 130)
    sys.exit(code)


def _code_of(arguments: Sequence[str] | None) -> int:
    """Run the command; its exit code, whatever went wrong."""
    try:
        code = _run(readable(sys.argv[1:] if arguments is None else arguments))
        flush_output()
    except BrokenPipeError:
        # Whoever read our output has gone; there is nobody left to tell.
        close_output()
        return 0
    except Exception as error:  # the last place where one can be put into words
        if os.environ.get(DEBUG):
            traceback.print_exception(error)
        return _told(error)
    return code


def _run(words: Sequence[str]) -> int:
    """Read the command and run it."""
    # The library under the drawings of progress would start a thread for each core, and ends us where it may not.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with loading():
        from generator.cli.application import application  # noqa: PLC0415

        command = application(words)
    try:
        result = command(args=words, standalone_mode=False)
    except SystemExit:  # the command-line library's way of saying that the reader of the output has gone
        close_output()
        result = 0
    except OSError as problem:
        if isinstance(problem, BrokenPipeError) or problem.filename is not None or problem.errno is None:
            raise
        # The library writes its help itself; a write that fails names no file.
        raise unwritten(problem) from problem
    return result if isinstance(result, int) else 0


def _told(error: Exception) -> int:
    """Say what went wrong; the exit code."""
    # Wrong options: the command-line library's own errors carry their message and exit code.
    wrong_option = getattr(error, "format_message", None)
    if isinstance(error, GeneratorError):
        lines, code = str(error).splitlines(), error.exit_code
    elif isinstance(error, MemoryError):
        error.__traceback__ = None  # lets go of what filled the memory
        lines, code = [_NO_MEMORY], 3
    elif wrong_option is not None:
        text = " ".join(wrong_option().split())
        lines, code = ([text], getattr(error, "exit_code", 2)) if text else ([], 0)
    else:
        reason = " ".join(f"{type(error).__name__}: {error}".split())[:300]
        lines, code = [f"this was not foreseen ({reason}); {DEBUG}=1 shows where it arose"], 1
    for line in lines:
        say(line)
    return code
