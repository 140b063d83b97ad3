"""Where a player's plan, log and remembered plan are kept."""

from dataclasses import dataclass
from pathlib import Path

import platformdirs

from generator.errors import MachineError, OutputError
from generator.files.resources import is_there
from generator.files.text import slug

NAME = "scalewright"
PLAN = "plan.toml"


@dataclass(frozen=True, slots=True)
class Home:
    """The places of one player.

    Attributes:
        log: the practice log.
        plan: where a plan is kept that lies nowhere else.
        cache: folder for what can be made again.
        own_passages: folder of the passages, where it does not lie beside the log.
    """

    log: Path
    plan: Path
    cache: Path
    own_passages: Path | None = None

    @classmethod
    def at(cls, folder: Path | None) -> "Home":
        """Everything in one folder, or, without one, where this system keeps such things.

        Raises:
            MachineError: this user has no home folder.
        """
        if folder is not None:
            return cls(folder / "log.sqlite", folder / PLAN, folder / "cache")
        try:
            return cls(
                platformdirs.user_data_path(NAME, appauthor=False) / "log.sqlite",
                platformdirs.user_config_path(NAME, appauthor=False) / PLAN,
                platformdirs.user_cache_path(NAME, appauthor=False),
            )
        except RuntimeError as problem:  # what pathlib says of a user in no list
            raise MachineError(
                "this user has no home folder; set HOME, or name a folder with --home or SCALEWRIGHT_HOME"
            ) from problem

    def within(self, kind: str, name: str) -> "Home":
        """The places of somebody else who is kept in this home: a section, say, with a log and a plan of its own.

        Args:
            kind: folder for all of that kind, like "sections".
            name: of the one that is meant.
        """
        folder = self.log.parent / kind / slug(name)
        return Home(folder / self.log.name, folder / PLAN, self.cache)

    @property
    def passages(self) -> Path:
        """Folder of the passages a player keeps."""
        return self.own_passages or self.log.parent / "passages"

    def plan_file(self, asked: Path | None, here: Path) -> Path | None:
        """The plan to use: the one asked for, else plan.toml in the current folder, else the kept one, else none."""
        if asked is not None:
            return asked
        return next((path for path in (here / PLAN, self.plan) if is_there(path) and path.is_file()), None)


def current_folder() -> Path:
    """The folder in which the program was started.

    Raises:
        OutputError: it is gone.
    """
    try:
        return Path.cwd()
    except OSError as problem:
        raise OutputError("the current folder is gone; change to another") from problem
