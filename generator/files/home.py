"""Where a player's plan, log and remembered plan are kept."""

from dataclasses import dataclass
from pathlib import Path

import platformdirs

NAME = "scalewright"
PLAN = "plan.toml"


@dataclass(frozen=True, slots=True)
class Home:
    """The places of one player.

    Attributes:
        log: the practice log.
        plan: where a plan is kept that lies nowhere else.
        cache: folder for what can be made again.
    """

    log: Path
    plan: Path
    cache: Path

    @classmethod
    def at(cls, folder: Path | None) -> "Home":
        """Everything in one folder, or, without one, where this system keeps such things."""
        if folder is not None:
            return cls(folder / "log.sqlite", folder / PLAN, folder / "cache")
        return cls(
            platformdirs.user_data_path(NAME, appauthor=False) / "log.sqlite",
            platformdirs.user_config_path(NAME, appauthor=False) / PLAN,
            platformdirs.user_cache_path(NAME, appauthor=False),
        )

    def plan_file(self, asked: Path | None, here: Path) -> Path | None:
        """The plan to use: the one asked for, else plan.toml in the current folder, else the kept one, else none."""
        if asked is not None:
            return asked
        return next((path for path in (here / PLAN, self.plan) if path.is_file()), None)
