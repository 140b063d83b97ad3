"""Whose plan and log a command is about: a player's, or those of a section."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_plan
from generator.errors import RequestError
from generator.files.home import Home, current_folder
from generator.files.loading import loading
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.whose_log import any_section, log_of, logs_at

BOTH = "--section and --studio keep different logs; name one of them"


def session_of(home: Path | None, asked: PlayerOptions, section: Path | None) -> PlayerSession:
    """The session of a player, or of a section where one is named.

    Args:
        home: folder of plan and log, or None for where this system keeps such things.
        asked: what the command line says of the player.
        section: a section file, or None.

    Raises:
        RequestError: plan or section have mistakes, or something is asked that a section has not.
        OutputError: a file cannot be read.
    """
    if section is None:
        return open_session(Home.at(home), asked, current_folder())
    if asked.instrument or asked.low or asked.high:
        raise RequestError(
            "the section file says what each chair plays; leave out --instrument, --low and --high"
        )
    with loading():
        from generator.practice.band_session import open_band  # noqa: PLC0415  # a player alone needs none of it
    return open_band(Home.at(home), section, asked.plan, asked.level)


def told_to(session: PlayerSession) -> Callable[[str], str]:
    """How sentences are said to whoever keeps a log: a section's practice days are rehearsals."""
    if session.band is None:
        return str
    with loading():
        from generator.practice.band_words import in_rehearsals  # noqa: PLC0415  # a player alone needs none of it
    return in_rehearsals


@dataclass(frozen=True, slots=True)
class WhoseLog:
    """What a command says of whose log it is about.

    Attributes:
        section: a section file.
        studio: a studio file.
        pupil: one of its pupils.
        player: a player of the home.
        instrument: what is played.
        code: of a sheet.
    """

    section: Path | None
    studio: Path | None
    pupil: str | None
    player: str | None
    instrument: str | None
    code: str | None


def log_of_command(home: Home, whose: WhoseLog, words: list[str] | None, *, undo: bool) -> Path | None:
    """The log that is meant; None where a studio's tables were noted, or the last was taken back, which is all.

    Args:
        home: where the logs are.
        whose: what is said.
        words: what may name tables.
        undo: something is to be taken back.

    Raises:
        RequestError: nothing tells whose log is meant, or two things do; or rows of a table cannot be noted.
    """
    if whose.section is not None and (whose.player or whose.instrument):
        raise RequestError(
            "a section has one log, and no instrument of its own; leave out --player and --instrument"
        )
    if whose.studio is None and whose.pupil is None:
        return _log_meant(home, whose.player, whose.code, whose.section)
    if whose.section is not None:
        raise RequestError(BOTH)
    with loading():
        from generator.cli.studio import noted_or_log  # noqa: PLC0415  # a player alone needs none of it
    tables = [] if whose.instrument else (words or [])
    return noted_or_log(
        whose.studio, whose.pupil, tables, home, code=whose.code, player=whose.player, undo=undo
    )


def _log_meant(home: Home, player: str | None, code: str | None, section: Path | None) -> Path:
    """The log of whoever is meant; the plan that lies here is asked only where several players keep one."""
    if section is not None or (code and player is None):
        together = _section_log(home, section, code)
        if together is not None:
            return together
    if player is None and len(logs_at(home)) == 1:
        return log_of(home, None, None, "")
    plan = home.plan_file(None, current_folder())
    named = read_plan(plan, shared_catalogue(), rows=False)[0].player if plan else ""
    return log_of(home, player, code, named)


def _section_log(home: Home, section: Path | None, code: str | None) -> Path | None:
    """The log of a section that is named, or that printed the sheet of a code."""
    if section is None and not any_section(home):
        return None
    with loading():
        # A player alone needs none of it.
        from generator.practice.band import band_of  # noqa: PLC0415
        from generator.practice.band_session import band_home, section_log_with  # noqa: PLC0415
    if section is not None:
        return band_home(home, band_of(section)).log
    return section_log_with(home, code or "")
