"""A player who does everything that writes a file, day after day, on the same log."""

import datetime as dt
import os
import random
import re
import shutil
import signal
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from generator.practice_log import Entry, Kind, PracticeLog
from tests.benchmarks.killing import Ran, run

FIRST_DAY = dt.date(2027, 1, 4)
OTHERS = 6  # entries of another computer's log


@dataclass
class Player:
    """A player's folder, to which things are done day after day."""

    root: Path
    chance: random.Random
    day: int = 0
    moments: int = 0

    def __post_init__(self) -> None:
        self.folder = self.root / "player"
        for name in ("home", "tmp", "out"):
            (self.folder / name).mkdir(parents=True)
        (self.folder / "plan.toml").write_text(PLAN, "utf-8")
        self.sleep()

    @property
    def log(self) -> Path:
        return self.folder / "home" / "log.sqlite"

    def sleep(self) -> None:
        """Another day, with its sheet."""
        self.day += 1
        self.quietly("today", "-f", "json", "-q")

    def now(self) -> dt.datetime:
        """A moment that never comes again."""
        self.moments += 1
        start = dt.datetime.combine(FIRST_DAY + dt.timedelta(days=self.day), dt.time(8), dt.UTC)
        return start + dt.timedelta(seconds=self.moments)

    def quietly(self, *words: str) -> Ran:
        """Run a command to its end, which must be a good one."""
        ran = run(self.folder, words, self.now())
        if ran.code:
            raise RuntimeError(f"{words} ended with {ran.code}: {ran.err}")
        return ran

    def copied(self) -> Path:
        """The whole folder once more."""
        copy = self.root / "copy"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(self.folder, copy)
        return copy


PLAN = """
instrument = "flute"
minutes = 25

[[keep]]
phrase = "all flat keys, major, two octaves, quarter = 60 to 100"

[[keep]]
phrase = "all sharp keys, harmonic minor, one octave, all slurred"
"""


def note(player: Player) -> tuple[str, ...]:
    """Note what was played; on a new day the day's copy of the log comes with it."""
    if player.chance.random() < 0.5:
        player.sleep()
    numbers = player.chance.choice(("1", "1-2", "all"))
    return ("played", numbers, "--tempo", str(player.chance.randint(60, 160)))


def undo(player: Player) -> tuple[str, ...]:
    """Take the last action back, which may be a merge."""
    if player.chance.random() < 0.4:
        player.quietly(*merge(player))
    else:
        player.quietly("played", "all", "--tempo", str(player.chance.randint(60, 160)), "-q")
    return ("played", "--undo")


def export(player: Player) -> tuple[str, ...]:
    """Write the log out, in place of an earlier export."""
    return ("played", "--export", player.chance.choice(("out/log.csv", "out/log.jsonl")))


def _other(player: Player, name: str) -> None:
    """The log of another computer of this player's, under a name."""
    day = FIRST_DAY + dt.timedelta(days=player.day)
    stamp = f"{day}T06:00:00.{player.moments:06}+00:00"
    place = player.root / "other.sqlite"
    place.unlink(missing_ok=True)
    with PracticeLog.open(place) as log:
        log.append(
            Entry(
                f"{player.moments} {number}",
                Kind.PLAY,
                day,
                stamp,
                item="C major",
                rating=3,
                phrase="C major",
            )
            for number in range(OTHERS)
        )
    shutil.copyfile(place, player.folder / name)


def merge(player: Player) -> tuple[str, ...]:
    """Bring two logs of other computers in."""
    _other(player, "other.sqlite")
    player.moments += 1
    _other(player, "another.sqlite")
    return ("played", "--merge", "other.sqlite", "another.sqlite", "--mine")


def import_(player: Player) -> tuple[str, ...]:
    """Bring one log in."""
    _other(player, "other.sqlite")
    return ("played", "--import", "other.sqlite", "--mine")


def repair(player: Player) -> tuple[str, ...]:
    """Mend a log in which bytes have changed; often with entries that still wait beside the file."""
    player.quietly("played", "all", "--tempo", str(player.chance.randint(60, 160)), "-q")
    player.sleep()
    player.quietly("played", "1", "-q")  # a copy is laid aside
    if player.chance.random() < 0.6:
        _leave_waiting(player)
    _spoil(player)
    return ("played", "--repair")


def _leave_waiting(player: Player) -> None:
    """Note something and be killed before the log is closed: it is saved, in the file beside the log."""
    day, moment = FIRST_DAY + dt.timedelta(days=player.day), player.now()
    child = os.fork()
    if not child:
        log = PracticeLog.open(player.log)
        stamp = moment.isoformat(timespec="microseconds")
        log.append([Entry(f"waits {player.moments}", Kind.PLAY, day, stamp, item="C major", rating=3)])
        os.kill(os.getpid(), signal.SIGKILL)
    os.waitpid(child, 0)


def _spoil(player: Player) -> None:
    """Change letters of one entry in the file, past all that guards it."""
    data = bytearray(player.log.read_bytes())
    places = [found.start() for found in re.finditer(rb"play [0-9A-Z]{4} \d", data)]
    place = player.chance.choice(places)
    data[place : place + 4] = b"pl\xffy"
    player.log.write_bytes(data)


def sheet(player: Player) -> tuple[str, ...]:
    """Print a sheet, sometimes through LilyPond."""
    phrase = (
        f"{player.chance.choice('CDEFGAB')} major, one octave, quarter = {player.chance.randint(60, 160)}"
    )
    formats = player.chance.choice(("json", "midi,musicxml,json", "midi,musicxml,json", "pdf"))
    return ("sheet", phrase, "-i", "flute", "-f", formats)


def today(player: Player) -> tuple[str, ...]:
    """Print the sheet of a new day."""
    player.day += 1
    return ("today", "-f", player.chance.choice(("json", "json,midi", "json,midi", "pdf")))


KINDS: dict[str, Callable[[Player], tuple[str, ...]]] = {
    "note": note,
    "undo": undo,
    "export": export,
    "merge": merge,
    "import": import_,
    "repair": repair,
    "sheet": sheet,
    "today": today,
}
PARTS = {"note": 0, "undo": 0, "import": 0, "merge": OTHERS}
"""Kinds of which an action is there whole or not at all, and how many entries are one: 0 all of them."""
