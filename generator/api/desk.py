"""Where a player sits with the page on the stand: whose plan and log are meant, what is set, and the press that waits.

Each thing the page does opens plan and log anew, so that what another program or another device did meanwhile is seen.
"""

import datetime as dt
import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from generator.catalogue.players import level_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError, shown
from generator.exchange.playback import HIGHEST_A, LOWEST_A
from generator.files.atomic import place
from generator.files.home import Home
from generator.pages.screen import SIZES
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.publish.screen import ScreenPress

SETTINGS = "stand.json"
_LARGEST = 10_000  # bytes of the settings that are read


@dataclass(frozen=True, slots=True)
class StandSettings:
    """What a player sets on the page; kept beside the plan.

    Attributes:
        instrument: in place of the plan's, or None.
        level: in place of the plan's, or None.
        a4: the A above middle C, in Hz.
        accent: the first click of a bar is another one.
        size: of the music, one of `SIZES`.
    """

    instrument: str | None = None
    level: str | None = None
    a4: int = 440
    accent: bool = True
    size: str = "fit"

    @property
    def view(self) -> dict[str, Any]:
        """The same as plain data."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}

    def changed(self, changes: dict[str, Any]) -> "StandSettings":
        """With some values in place of others.

        Raises:
            RequestError: a value that cannot be.
        """
        found = self
        for name, value in changes.items():
            if name not in self.__dataclass_fields__:
                raise RequestError(
                    f"there is no setting {shown(name)}; there are {', '.join(self.__dataclass_fields__)}"
                )
            found = replace(found, **{name: _CHECKS[name](value)})
        return found


def _instrument(value: object) -> str | None:
    if value is None or value == "":
        return None
    if not isinstance(value, str):
        raise RequestError("instrument is a name, like 'alto saxophone'")
    return shared_catalogue().instruments.find(value).name


def _level(value: object) -> str | None:
    if value is None or value == "":
        return None
    if not isinstance(value, str):
        raise RequestError("level is a name, like 'standard'")
    return level_named(value)


def _a4(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not LOWEST_A <= value <= HIGHEST_A:
        raise RequestError(f"a4 is that of the A in Hz, from {LOWEST_A} to {HIGHEST_A}")
    return value


def _accent(value: object) -> bool:
    if not isinstance(value, bool):
        raise RequestError("accent is true or false")
    return value


def _size(value: object) -> str:
    if not isinstance(value, str) or value not in SIZES:
        raise RequestError(f"unknown music size {shown(value)}; it can be {', '.join(SIZES)}")
    return value


_CHECKS: dict[str, Callable[[object], Any]] = {
    "instrument": _instrument,
    "level": _level,
    "a4": _a4,
    "accent": _accent,
    "size": _size,
}


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything the page's use cases depend on.

    Attributes:
        folder: that holds plan, log and settings, or None for where this system keeps such things.
        here: the current folder, where a plan is looked for first.
        asked: what the command line says about the player.
        now: tells the moment, with its time zone.
        press: makes pictures.
        lock: one change of log, plan or settings at a time.
        memory: what was worked out, for as long as nothing it comes from has changed.
    """

    folder: Path | None
    here: Path
    asked: PlayerOptions
    now: Callable[[], dt.datetime]
    press: ScreenPress
    lock: threading.RLock = field(default_factory=threading.RLock)
    memory: dict[str, Any] = field(default_factory=dict)

    @property
    def home(self) -> Home:
        """Where plan and log are kept."""
        return Home.at(self.folder)

    @property
    def today(self) -> dt.date:
        """The player's own calendar date."""
        return self.now().date()

    @property
    def settings_file(self) -> Path:
        """Where the settings are kept."""
        return self.home.plan.with_name(SETTINGS)

    def session(self) -> PlayerSession:
        """The player: what the command line says goes before the settings, and those before the plan.

        Raises:
            RequestError: the plan has mistakes.
            OutputError: it cannot be read.
        """
        kept: tuple[str, PlayerSession] | None = self.memory.get("session")
        if kept is None or kept[0] != self._state(kept[1]):
            session = open_session(self.home, self.options(), self.here)
            kept = self.memory["session"] = self._state(session), session
        return kept[1]

    def _state(self, session: PlayerSession) -> str:
        """Changes when anything does that a player is read from."""
        home, plan = self.home, self.home.plan_file(self.asked.plan, self.here)
        lists = [plan.parent / Path(row.name).expanduser() for row in session.plan.lists] if plan else []
        known = home.log if not session.plan.instrument else None  # then the instrument played last counts
        files = (plan, known, self.settings_file, *lists)
        return repr((plan, sorted(home.log.parent.glob("*.sqlite")), *(stamp(one) for one in files if one)))

    def options(self) -> PlayerOptions:
        """What command line and settings say about the player."""
        chosen = self.settings()
        return replace(
            self.asked,
            instrument=self.asked.instrument or chosen.instrument,
            level=self.asked.level or chosen.level,
        )

    def settings(self) -> StandSettings:
        """What is set; what cannot be read counts as not set."""
        try:
            with self.settings_file.open("rb") as file:
                data = json.loads(file.read(_LARGEST))
        except (OSError, ValueError, RecursionError):
            return StandSettings()
        found = StandSettings()
        for name, value in data.items() if isinstance(data, dict) else ():
            try:
                found = found.changed({name: value})
            except RequestError:
                continue
        return found

    def change_settings(self, changes: dict[str, Any]) -> StandSettings:
        """Set something, and keep it.

        Raises:
            RequestError: a value that cannot be.
            OutputError: the file cannot be written.
        """
        with self.lock:
            found = self.settings().changed(changes)
            text = json.dumps(found.view, ensure_ascii=False, indent=1)
            place(f"{text}\n".encode(), self.settings_file)
        return found


def stamp(path: Path) -> tuple[int, int] | None:
    """What tells that a file was written anew; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size


def moment_of(desk: Desk, day: str | None) -> dt.date:
    """The player's date of a note from the page: the one it gives, if that can be, else today.

    Raises:
        RequestError: it is no date, or one that is still to come.
    """
    if day is None:
        return desk.today
    try:
        found = dt.date.fromisoformat(day)
    except ValueError:
        raise RequestError(f"{shown(day)} is no day; write one like 2027-03-07") from None
    if found > desk.today + dt.timedelta(days=1):
        raise RequestError(f"{found} is still to come")
    return found
