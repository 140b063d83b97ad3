"""Whose plan and log a command is about: a player's, or those of a section."""

from collections.abc import Callable
from pathlib import Path

from generator.errors import RequestError
from generator.files.home import Home, current_folder
from generator.files.loading import loading
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session


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
