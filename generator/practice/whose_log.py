"""Whose log it is: each player of a home has one, and it remembers what was played last.

The first player who plays keeps `log.sqlite`, by name or without one. A plan that names another player gets a log of
its own beside it, `log-ben.sqlite`, so that two children with one instrument never share a history.
"""

import contextlib
import difflib
from dataclasses import replace
from pathlib import Path

from generator.errors import MachineError, RequestError, shown
from generator.files.home import Home
from generator.files.text import slug
from generator.practice_log import PracticeLog
from generator.practice_log.facts import INSTRUMENT, PLAN, PLAYER


def home_of(home: Home, player: str) -> Home:
    """The home with the log of a player.

    Args:
        home: where the logs of all players are.
        player: the name that the plan gives, or "".

    Raises:
        OutputError: a log cannot be read.
    """
    if not player:
        return home
    own = home.log.with_name(f"{home.log.stem}-{slug(player)}{home.log.suffix}")
    if not own.exists() and home.log.exists():
        with PracticeLog.open(home.log) as log:
            owner = log.facts.get(PLAYER)
        if owner and owner.casefold() != player.casefold():
            return replace(home, log=own)
    return replace(home, log=own) if own.exists() else home


def instrument_played_last(home: Home) -> str | None:
    """The instrument of the sheet printed last, if the log can tell."""
    if home.log.exists():
        with contextlib.suppress(MachineError), PracticeLog.open(home.log) as log:
            return log.facts.get(INSTRUMENT)
    return None


def note_player(log: PracticeLog, player: str, plan: Path | None, instrument: str) -> list[str]:
    """Note whose log it is and what is played.

    Args:
        log: the log of the day's sheet.
        player: the name that the plan gives, or "".
        plan: the plan file, or None for a built-in one.
        instrument: of the sheet.

    Returns:
        What the player should know: that the log has so far been kept by somebody else, as far as can be told.
    """
    told: list[str] = []
    owner, path = log.facts.get(PLAYER), str(plan.absolute()) if plan else None
    before = log.facts.get(PLAN)
    cure = 'if two play, write player = "..." into each plan, and each has a log'
    if plan and not player and owner:
        told.append(f"this is noted in {owner}'s log, for the plan names no player; {cure}")
    elif path and not player and before and before != path:
        told.append(f"until now this log was kept from {before}; {cure}")
    for name, value in ((PLAYER, player), (PLAN, path), (INSTRUMENT, instrument)):
        if value and log.facts.get(name) != value and not (name == PLAYER and owner):
            log.note_fact(name, value)
    return told


SECTIONS = "sections"
"""Folder of a home for the logs and plans of sections."""


def any_section(home: Home) -> bool:
    """Whether a section keeps a log in this home."""
    return (home.log.parent / SECTIONS).is_dir()


def logs_at(home: Home) -> dict[str, Path]:
    """The logs of all players by name; "" for one that has none."""
    found: dict[str, Path] = {}
    folder = home.log.parent
    paths = sorted(folder.glob(f"{home.log.stem}-*{home.log.suffix}")) if folder.is_dir() else []
    if not paths:
        return {"": home.log}
    for path in [home.log, *paths]:
        if path.exists():
            name = "" if path == home.log else path.stem
            with contextlib.suppress(MachineError), PracticeLog.open(path) as log:
                name = log.facts.get(PLAYER) or name
            found[name] = path
    return found


def log_of(home: Home, player: str | None, code: str | None, named_by_plan: str) -> Path:
    """The log that is meant: of the player named, of the sheet with a code, or of the plan that lies here.

    Args:
        home: where the logs are.
        player: who is named.
        code: a sheet code that is named.
        named_by_plan: the player that the plan names, or "".

    Raises:
        RequestError: nobody of that name keeps a log here, or there are several and nothing tells which.
    """
    logs = logs_at(home)
    if player is not None:
        return logs[_called(player, list(logs))]
    if len(logs) == 1:
        return next(iter(logs.values()))
    if code is not None:
        having = [path for path in logs.values() if has_sheet(path, code)]
        if len(having) == 1:
            return having[0]
    if named_by_plan:
        with contextlib.suppress(RequestError):
            return logs[_called(named_by_plan, list(logs))]
    names = " and ".join(name or "somebody without a name" for name in logs)
    raise RequestError(f"{names} keep logs here; say whose with --player, or which sheet with --sheet")


def _called(player: str, names: list[str]) -> str:
    for name in names:
        if name.casefold() == player.casefold():
            return name
    known = ", ".join(name for name in names if name)
    near = difflib.get_close_matches(player, names, 1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    raise RequestError(
        f"nobody called {shown(player)} keeps a log here; these do: {known or 'one without a name'}{hint}"
    )


def has_sheet(path: Path, code: str) -> bool:
    """Whether a log has a sheet of a code; one that is not there or cannot be read has none."""
    if not path.exists():
        return False
    code = code.strip()
    with contextlib.suppress(MachineError), PracticeLog.open(path) as log:
        return any(entry.sheet == code.upper() for entry in log.as_saved())
    return False
