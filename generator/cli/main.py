"""The ``scalewright`` command: the one place where errors become exit codes.

Nothing heavy is read here before it is known that the same page is not kept already.
"""

import gc
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from generator.cli import again, clock
from generator.cli.say import say
from generator.errors import GeneratorError

_INTERRUPTED = 130  # 128 and the number of the signal, as shells have it


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
    """Run the command and leave with its exit code: 0 done, 2 cannot be done as asked, 3 this machine failed."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        with _without_collection():
            result = 0 if again.answer(words, clock.today().isoformat()) else _run(words)
    except GeneratorError as error:
        for line in str(error).splitlines():
            say(line)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        say("stopped")
        sys.exit(_INTERRUPTED)
    except BrokenPipeError:
        # Whoever read our output has gone; there is nobody left to tell.
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        # Wrong options: the command-line library's own errors carry their message and exit code.
        message = getattr(error, "format_message", None)
        if message is None:
            raise
        text = message()
        if not text:
            sys.exit(0)
        say(" ".join(text.split()))
        sys.exit(getattr(error, "exit_code", 2))
    if result == _INTERRUPTED:  # Typer has caught it
        say("stopped")
    sys.exit(result if isinstance(result, int) else 0)


def _run(words: Sequence[str]) -> object:
    """Read the command and run it."""
    # LilyPond starts first and gets ready while Typer and our own modules are read.
    from generator.engraving import early  # noqa: PLC0415

    early.start_for(words)
    try:
        from generator.cli.application import application  # noqa: PLC0415

        return application(words)(args=words, standalone_mode=False)
    finally:
        early.forget()
