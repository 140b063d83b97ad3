"""What is done for the log once a day, whichever command comes first."""

import datetime as dt

from generator.errors import OutputError
from generator.files.shared_place import kept_in_step, on_a_server
from generator.practice_log import PracticeLog
from generator.practice_log.copies import keep_daily_copy


def daily_care(log: PracticeLog, day: dt.date) -> list[str]:
    """Lay the day's copy of the log aside, and warn of a place where a log is not safe.

    Args:
        log: a sound log.
        day: today by the clock.

    Returns:
        What the player should know; nothing at the second look on one day.
    """
    try:
        if keep_daily_copy(log, day) is None:
            return []
    except OutputError as error:
        return [f"no copy of the log was laid aside today: {error}"]
    return [*_unsafe(log)]


def _unsafe(log: PracticeLog) -> list[str]:
    folder = log.path.absolute().parent
    cure = (
        "keep the log on this computer's own disk (--home), and bring computers together with "
        "played --export and played --merge"
    )
    if place := kept_in_step(folder):
        return [
            f"the log lies in {place}, which is kept in step with other computers and may spoil it; {cure}"
        ]
    if place := on_a_server(folder):
        return [f"the log lies on {place}, a disk of another computer, where it is not safe; {cure}"]
    return []
