"""Looking at a day's sheet without noting anything: it is chosen just as it will be, from a copy of the log.

The copy is the whole trick: what looks at the sheet and what prints it go the same way, so they cannot disagree.
"""

from dataclasses import replace
from pathlib import Path

from generator.errors import OutputError
from generator.files.drafts import scratch
from generator.files.resources import why
from generator.practice.player_session import PlayerSession
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice_log import PracticeLog

_LOG = "log.sqlite"


def look_at_day(session: PlayerSession, request: DayRequest) -> TodaysPage:
    """The sheet of a day as `todays_page` would make or find it; the log stays as it is, and none is made.

    Args:
        session: the player.
        request: the day.

    Returns:
        The page; `again` says whether the log holds it already.

    Raises:
        RequestError: there is nothing to play, with the reason.
        OutputError: the log cannot be read, or there is no room for the copy.
    """
    try:
        with scratch() as folder:
            return todays_page(_beside(session, folder), request)
    except OSError as problem:
        raise OutputError(f"no temporary folder can be made: {why(problem)}") from problem


def _beside(session: PlayerSession, folder: Path) -> PlayerSession:
    """The same player with a log of no consequence."""
    copy = folder / _LOG
    if session.home.log.exists():
        with PracticeLog.open(session.home.log) as log:
            log.copy_to(copy)
    return replace(session, home=replace(session.home, log=copy, own_passages=session.home.passages))
