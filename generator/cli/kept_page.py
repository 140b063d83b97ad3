"""A page that was printed by command is kept in the log, so that it can be noted like the sheet of a day."""

from collections.abc import Iterator, Sequence

from generator.cli import clock
from generator.cli.messages import Message
from generator.errors import MachineError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.files.home import Home
from generator.practice.printed_page import keep_page
from generator.practice_log import PracticeLog, utc_text


def kept_page(home: Home, code: str, player: Player, exercises: Sequence[Exercise]) -> Iterator[Message]:
    """Keep it; a log that cannot be written is told, for the page is printed all the same."""
    try:
        with PracticeLog.open(home.log) as log:
            keep_page(log, code, player, exercises, clock.today(), utc_text(clock.now()))
    except MachineError as error:
        yield Message(f"what is played of this page cannot be noted by its code: {error}")
