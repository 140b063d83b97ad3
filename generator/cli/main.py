"""The ``scalewright`` command: the one place where errors become exit codes."""

import gc
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from generator.cli.messages import say
from generator.cli.terminal import Stopped, close_output, open_streams, readable, stoppable
from generator.errors import GeneratorError, MachineError, OutputError, RequestError
from generator.files.resources import why

_PROGRAM = Path(__file__).parent.parent
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

    0 done, 2 cannot be done as asked, 3 this machine failed; 128 more than the number of a signal that stopped it.
    """
    open_streams()
    with stoppable(), _without_collection():
        try:
            code = _finished(sys.argv[1:] if arguments is None else arguments)
        except GeneratorError as error:
            for line in str(error).splitlines():
                say(line)
            code = error.exit_code
        except (Stopped, KeyboardInterrupt) as stop:
            say("stopped")
            code = getattr(stop, "exit_code", 130)
        sys.exit(code)


def _finished(arguments: Sequence[str]) -> int:
    """Run the command to its end and give its exit code.

    Raises:
        GeneratorError: whatever is wrong.
    """
    try:
        return _answered(readable(arguments))
    except GeneratorError:
        raise
    except Exception as error:
        ours = _as_ours(error)
        if ours is not None:
            raise ours from error
        # Wrong options: the command-line library's own errors carry their message and exit code.
        message = getattr(error, "format_message", None)
        if message is None:
            raise
        text = " ".join(message().split())
        if text:
            say(text)
        return int(getattr(error, "exit_code", 2)) if text else 0


def _as_ours(error: Exception) -> GeneratorError | None:
    """An error of ours for what the machine does to us; None for a mistake in the program."""
    ours: GeneratorError | None = None
    match error:
        case MemoryError() | SystemError():  # the second where the interpreter's own parts run short
            error.__traceback__ = None  # lets go of what filled the memory
            ours = MachineError(_NO_MEMORY)
        case ImportError() if "failed to map segment" in str(error):
            ours = MachineError(_NO_MEMORY)
        case ImportError() | SyntaxError():
            ours = MachineError(f"the program cannot be loaded ({_line(error)}); install scalewright again")
        case OSError():
            ours = OutputError(_fault(error))
        case OverflowError():
            ours = RequestError(f"a date or a number is out of reach ({error})")
        case RuntimeError() if "home directory" in str(error):
            ours = MachineError(
                "this user has no home folder; set HOME, or name a folder with --home or SCALEWRIGHT_HOME"
            )
    return ours


def _line(error: Exception) -> str:
    return " ".join(str(error).split())[:200]


def _answered(words: Sequence[str]) -> int:
    try:
        result = _run(words)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our output has gone; there is nobody left to tell.
        close_output()
        return 0
    except SystemExit:
        # The command-line library's way of saying the same.
        close_output()
        return 0
    return result if isinstance(result, int) else 0


def _fault(error: OSError) -> str:
    """What the system complains of that no part of the program has put into words."""
    if error.errno is None:  # a template that is not there
        return f"{getattr(error, 'name', error)} is missing from this installation; install scalewright again"
    if error.filename is None:
        try:
            Path.cwd()
        except OSError:
            return "the current folder is gone; change to another"
        close_output()
        return f"standard output cannot be written: {why(error)}"
    name = os.fsdecode(error.filename) if isinstance(error.filename, bytes) else str(error.filename)
    again_ = "; install scalewright again" if Path(name).is_relative_to(_PROGRAM) else ""
    return f"{name}: {why(error)}{again_}"


def _run(words: Sequence[str]) -> object:
    """Read the command and run it."""
    # The library under the drawings of progress would start a thread for each core, and ends us where it may not.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from generator.cli.application import application  # noqa: PLC0415

    return application(words)(args=words, standalone_mode=False)
