"""Scalewright: scales and technique, built, fitted to an instrument, engraved.

    from generator import exercises, handout, player, sheet, today

What is named here is what other programs may rely on. Each name is loaded when it is first used, so that the command
line does not wait for what it does not need.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from generator.files import version

if TYPE_CHECKING:
    from generator.api.band_days import today_together
    from generator.api.days import Today, today
    from generator.api.handouts import handout
    from generator.api.sheets import Sheet, book, exercises, pictures, sheet
    from generator.catalogue.players import player_named as player
    from generator.errors import GeneratorError, MachineError, RequestError
    from generator.exercise.build import Player
    from generator.practice.player_session import PlayerOptions
    from generator.publish.handout import HandoutOrder
    from generator.publish.sheet import SheetOrder

__version__ = version.VERSION

_HOMES = {
    "Today": "api.days",
    "today": "api.days",
    "today_together": "api.band_days",
    "handout": "api.handouts",
    "Sheet": "api.sheets",
    "book": "api.sheets",
    "exercises": "api.sheets",
    "pictures": "api.sheets",
    "sheet": "api.sheets",
    "player": "catalogue.players:player_named",
    "GeneratorError": "errors",
    "MachineError": "errors",
    "RequestError": "errors",
    "Player": "exercise.build",
    "PlayerOptions": "practice.player_session",
    "HandoutOrder": "publish.handout",
    "SheetOrder": "publish.sheet",
}

__all__ = [
    "GeneratorError",
    "HandoutOrder",
    "MachineError",
    "Player",
    "PlayerOptions",
    "RequestError",
    "Sheet",
    "SheetOrder",
    "Today",
    "__version__",
    "book",
    "exercises",
    "handout",
    "pictures",
    "player",
    "sheet",
    "today",
    "today_together",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401  # whatever the name stands for
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module, _, own = _HOMES[name].partition(":")
    return getattr(import_module(f"generator.{module}"), own or name)


def __dir__() -> list[str]:
    return sorted(__all__)
