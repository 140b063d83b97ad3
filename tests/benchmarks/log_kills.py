"""Kills programs in the middle of writing the practice log and looks whether anything was lost.

    python tests/benchmarks/log_kills.py [--kills 1000] [--writers 2] [--seed 1]

Several writers add to one log at the same time, two entries at a time, and note each pair that was
acknowledged. One of them after another is killed with SIGKILL at a random moment and started again; it then
saves its last pair once more, as a program does that does not know whether the first try arrived. In the end
every acknowledged entry must be there, once, in whole pairs, in a file that SQLite finds sound.

Exits with 1 if anything is missing.
"""

import argparse
import datetime as dt
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.practice_log import Entry, Kind, PracticeLog

STAMP = "2027-01-01T12:00:00+00:00"
DAY = dt.date(2027, 1, 1)
SHORTEST, LONGEST = 0.02, 0.35  # seconds a writer lives; starting takes about a third of the longest


def pair(name: str, number: int) -> list[Entry]:
    """Two entries that are saved together."""
    return [
        Entry(f"{name}-{number}-{half}", Kind.PLAY, DAY, STAMP, item="G major", rating=3, phrase="x" * 300)
        for half in ("a", "b")
    ]


def write(path: Path, name: str, notes: Path) -> None:
    """The writer: never comes back by itself."""
    told = len(acknowledged(notes))
    number = max(0, told - 1)
    with PracticeLog.open(path, busy_seconds=60) as log:
        file = os.open(notes, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        while True:
            log.append(pair(name, number))
            if number >= told:
                os.write(file, f"{number}\n".encode())
            number += 1


def acknowledged(notes: Path) -> list[str]:
    """The numbers of the pairs a writer was told are saved."""
    return notes.read_text().splitlines() if notes.exists() else []


class Writer:
    """One writer that can be started, killed and started again."""

    def __init__(self, path: Path, name: str) -> None:
        self.path, self.name, self.notes = path, name, path.with_name(f"{name}.txt")
        self.start()

    def start(self) -> None:
        """Start the program."""
        order = [sys.executable, __file__, "--write", str(self.path), self.name, str(self.notes)]
        self.process = subprocess.Popen(order)

    def kill(self) -> None:
        """Kill it on the spot."""
        if self.process.poll() is not None:
            raise SystemExit(f"Writer {self.name} stopped by itself with {self.process.returncode}.")
        self.process.kill()
        self.process.wait()


def kill_many(path: Path, kills: int, writers: int, chance: random.Random) -> list[Writer]:
    """Kill and start again so many times, then stop everything."""
    running = [Writer(path, f"writer{number}") for number in range(writers)]
    for _ in range(kills):
        time.sleep(chance.uniform(SHORTEST, LONGEST))
        victim = chance.choice(running)
        victim.kill()
        victim.start()
    time.sleep(3 * LONGEST)
    for writer in running:
        writer.kill()
    return running


def faults(path: Path, writers: list[Writer]) -> list[str]:
    """What is missing, double, halved or unsound."""
    found = []
    with PracticeLog.open(path) as log:
        uids = Counter(entry.uid for entry in log.as_saved())
        found += log.problems()
    found += [f"{uid} is there {times} times" for uid, times in uids.items() if times > 1]
    for writer in writers:
        for number in acknowledged(writer.notes):
            found += [f"{one.uid} is lost" for one in pair(writer.name, int(number)) if one.uid not in uids]
    whole = Counter(uid.rpartition("-")[0] for uid in uids)
    found += [f"{name} is half there" for name, halves in whole.items() if halves != 2]
    return found


def say(line: str) -> None:
    """One line for whoever started this."""
    sys.stdout.write(f"{line}\n")


def main() -> None:
    """Kill, look, report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--writers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--write", nargs=3, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.write:
        write(Path(asked.write[0]), asked.write[1], Path(asked.write[2]))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.sqlite"
        start = time.perf_counter()
        writers = kill_many(path, asked.kills, asked.writers, random.Random(asked.seed))
        seconds = time.perf_counter() - start
        told = sum(len(acknowledged(writer.notes)) for writer in writers)
        found = faults(path, writers)
    say(f"{asked.kills} kills in {seconds:.0f} s, {2 * told} entries acknowledged, {len(found)} faults")
    for fault in found[:20]:
        say(fault)
    if found or not told:
        sys.exit(1)


if __name__ == "__main__":
    main()
