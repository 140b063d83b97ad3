"""The ``scalewright`` command: its subcommands, and the one place where errors become exit codes."""

import gc
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module

import typer  # noqa: TID251

from generator import __version__
from generator.cli.say import say
from generator.engraving import early
from generator.errors import GeneratorError

# Each command by name: its module and what to register. Only the one that is run gets imported: reading the others
# would take longer than LilyPond needs for a line of music.
_COMMANDS = {
    "today": ("generator.cli.today", "today"),
    "played": ("generator.cli.played", "played"),
    "sheet": ("generator.cli.sheet", "sheet"),
    "handout": ("generator.cli.handout", "handout"),
    "progress": ("generator.cli.progress", "progress"),
    "plan": ("generator.cli.plan", "plan"),
    "list": ("generator.cli.listing", "list_names"),
}


def _version(wanted: bool) -> None:
    if wanted:
        print(f"scalewright {__version__}")
        raise typer.Exit


def _common(
    context: typer.Context,
    version: bool = typer.Option(  # noqa: ARG001  # its callback does the work
        False, "--version", callback=_version, is_eager=True, help="Print the version."
    ),
) -> None:
    """Scales and technique for one player or a whole section, fitted to the instrument and engraved."""
    if context.invoked_subcommand is None:
        print(context.get_help())


def application(arguments: Sequence[str]) -> typer.Typer:
    """The command with the one subcommand the arguments name, or with all of them."""
    app = typer.Typer(
        name="scalewright",
        add_completion=False,
        invoke_without_command=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
    )
    app.callback()(_common)
    first = next((word for word in arguments if not word.startswith("-")), "")
    for name in [first] if first in _COMMANDS else _COMMANDS:
        module, attribute = _COMMANDS[name]
        found = getattr(import_module(module), attribute)
        if isinstance(found, typer.Typer):
            app.add_typer(found, name=name)
        else:
            app.command(name)(found)
    return app


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
    early.start_for(words)
    try:
        with _without_collection():
            result = application(words)(args=words, standalone_mode=False)
    except GeneratorError as error:
        for line in str(error).splitlines():
            say(line)
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        say("stopped")
        sys.exit(130)
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
    finally:
        early.forget()
    sys.exit(result if isinstance(result, int) else 0)
