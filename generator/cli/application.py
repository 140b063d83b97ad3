"""The command line as Typer knows it: the subcommands, read only as far as they are needed."""

from collections.abc import Sequence
from importlib import import_module
from typing import Any

import typer  # noqa: TID251

from generator.files.version import VERSION

# Each command by name: its module and what to register. Only the one that is run gets imported: reading the others
# would take longer than LilyPond needs for a line of music.
_COMMANDS = {
    "today": ("generator.cli.today", "today"),
    "played": ("generator.cli.played", "played"),
    "sheet": ("generator.cli.sheet", "sheet_command"),
    "drill": ("generator.cli.drill", "drill_command"),
    "passage": ("generator.cli.passages", "passage"),
    "handout": ("generator.cli.handout", "handout"),
    "section": ("generator.cli.section", "section"),
    "stand": ("generator.cli.stand", "stand"),
    "tuning": ("generator.cli.tuning", "tuning"),
    "progress": ("generator.cli.progress", "progress"),
    "plan": ("generator.cli.plan", "plan"),
    "list": ("generator.cli.listing", "list_names"),
    "completion": ("generator.cli.completion", "completion"),
    "complete": ("generator.cli.completion", "complete"),
}
_HIDDEN = ("complete",)
NAMES = tuple(name for name in _COMMANDS if name not in _HIDDEN)
"""The commands, as people know them."""


def _version(wanted: bool) -> None:
    if wanted:
        print(f"scalewright {VERSION}")
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
            app.command(name, hidden=name in _HIDDEN)(found)
    return app


def command_named(name: str) -> Any:  # noqa: ANN401
    """A command with its parameters or its own commands, as the library under Typer keeps them, or None."""
    if name not in _COMMANDS:
        return None
    group: Any = typer.main.get_command(application([name]))
    return group.commands[name]
