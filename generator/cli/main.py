"""The ``scalewright`` command: its subcommands, and the one place where errors become exit codes."""

import sys
from collections.abc import Sequence

import typer  # noqa: TID251

from generator import __version__
from generator.cli import handout, listing, plan, played, progress, sheet, today
from generator.cli.say import say
from generator.errors import GeneratorError

app = typer.Typer(
    name="scalewright",
    help="Scales and technique for one player or a whole section, fitted to the instrument and engraved.",
    add_completion=False,
    invoke_without_command=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("today")(today.today)
app.command("played")(played.played)
app.command("sheet")(sheet.sheet)
app.command("handout")(handout.handout)
app.command("progress")(progress.progress)
app.add_typer(plan.plan, name="plan")
app.command("list")(listing.list_names)


def _version(wanted: bool) -> None:
    if wanted:
        print(f"scalewright {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    context: typer.Context,
    version: bool = typer.Option(  # noqa: ARG001  # its callback does the work
        False, "--version", callback=_version, is_eager=True, help="Print the version."
    ),
) -> None:
    """Scales and technique for one player or a whole section, fitted to the instrument and engraved."""
    if context.invoked_subcommand is None:
        print(context.get_help())


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and leave with its exit code: 0 done, 2 cannot be done as asked, 3 this machine failed."""
    try:
        result = app(args=arguments, standalone_mode=False)
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
    sys.exit(result if isinstance(result, int) else 0)
