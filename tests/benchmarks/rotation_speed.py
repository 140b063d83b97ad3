"""How long choosing a sheet takes: fifty thousand items, ten years of log.

    python tests/benchmarks/rotation_speed.py [--items 50000] [--years 10] [--a-day 20]

Prints seconds, the best of several repeats. The log holds an entry for every item and `a-day` plays on every
day of the years, as no one really practises.
"""

import argparse
import datetime as dt
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation import EventTuple, Item, plan_sheet

STAMP = "2027-01-01T12:00:00+00:00"
START = dt.date(2017, 1, 1)
MINUTES = 60


def items_of(number: int) -> list[Item]:
    """A list over all twelve keys with lengths of one to five minutes."""
    return [
        Item(f"{one:05d}", minutes=1 + one // 12 * 7 % 5, key=one % 12, catalogue=one // 12, goal=80)
        for one in range(number)
    ]


def fill(log: PracticeLog, items: list[Item], years: int, a_day: int) -> dt.date:
    """Write the log; the day after its last."""
    chance = random.Random(11)
    log.append(
        Entry(f"in {item.id}", Kind.ITEM_IN, START, STAMP, item=item.id, minutes=item.minutes)
        for item in items
    )
    days = years * 365
    for number in range(days):
        day = START + dt.timedelta(days=number)
        log.append(
            Entry(
                f"{day} {one}",
                Kind.PLAY,
                day,
                STAMP,
                item=chance.choice(items).id,
                rating=chance.randint(1, 4),
                tempo=chance.randint(50, 100),
                goal=80,
            )
            for one in range(a_day)
        )
    return START + dt.timedelta(days=days)


def best(repeats: int, work: Callable[[], object]) -> float:
    """Seconds of the fastest of some repeats."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def say(line: str) -> None:
    """One line for whoever started this."""
    sys.stdout.write(f"{line}\n")


def count() -> int:
    """A fixed piece of work that tells how fast this machine is just now."""
    total = 0
    for number in range(1_000_000):
        total += number
    return total


def main() -> None:
    """Fill a log in a temporary folder and time the steps."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--items", type=int, default=50_000)
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--a-day", type=int, default=20)
    parser.add_argument("--repeats", type=int, default=9)
    asked = parser.parse_args()
    items = items_of(asked.items)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.sqlite"
        with PracticeLog.open(path) as log:
            today = fill(log, items, asked.years, asked.a_day)
            events = log.events(until=today)
        say(f"{len(items)} items, {len(events)} events, {path.stat().st_size / 1e6:.0f} MB")

        def read() -> list[EventTuple]:
            with PracticeLog.open(path) as log:
                return log.events(until=today)

        for name, work in (
            ("a million additions", count),
            ("open and read the log", read),
            ("replay and choose", lambda: plan_sheet(items, events, today, MINUTES)),
            ("both", lambda: plan_sheet(items, read(), today, MINUTES)),
        ):
            say(f"{name:24}{best(asked.repeats, work):.3f} s")


if __name__ == "__main__":
    main()
