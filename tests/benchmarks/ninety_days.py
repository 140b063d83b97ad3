"""Ninety days with several players at the command line, each with the starter plan: was the promise kept?

    python tests/benchmarks/ninety_days.py [--days 90] [--seeds 3] [--engrave 0]

For each player and seed: practice days, sheets, the promise of the first day, the longest wait counted from the log
alone, keys and kinds met, and processor time of ``today`` and ``played`` in one process. Days are missed one in four,
one week is a holiday, ratings are drawn. ``--engrave 5`` prints every fifth sheet as a page.
"""

import argparse
import contextlib
import datetime as dt
import io
import os
import random
import sys
import tempfile
import time
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

from generator import cli
from generator.cli import clock
from generator.practice.sheet_record import latest_sheet
from generator.practice_log import Entry, Kind, PracticeLog

PLAYERS = (("alto saxophone", 20), ("trombone", 30), ("flute", 10), ("clarinet", 45))
START = dt.date(2027, 1, 4)


class Days:
    """The clock, set by hand."""

    day = START

    @classmethod
    def now(cls) -> dt.datetime:
        return dt.datetime.combine(cls.day, dt.time(8), dt.UTC)


def typed(*words: str) -> float:
    """Run a command; processor seconds it took."""
    start = time.process_time()
    said = io.StringIO()
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(said):
        try:
            cli.main(list(words))
        except SystemExit as stopped:
            if stopped.code:
                sys.exit(f"{' '.join(words)}: {said.getvalue()}")
    return time.process_time() - start


def gaps(entries: list[Entry]) -> dict[str, int]:
    """The longest wait of each exercise in practice days, the first and the last one included."""
    gone = {entry.takes_back for entry in entries if entry.kind is Kind.VOID}
    plays = [entry for entry in entries if entry.kind is Kind.PLAY and entry.uid not in gone]
    days = sorted({entry.day for entry in plays})
    index = {day: number for number, day in enumerate(days, 1)}
    on: dict[str, set[int]] = defaultdict(set)
    for play in plays:
        on[play.item or ""].add(index[play.day])
    items = {entry.item or "" for entry in entries if entry.kind is Kind.ITEM_IN}
    return {item: max(b - a for a, b in pairwise([0, *sorted(on[item]), len(days) + 1])) for item in items}


def live(instrument: str, minutes: int, seed: int, days: int, engrave: int) -> str:
    """One player's days."""
    chance = random.Random(seed)
    today_took, played_took, promise = [], [], 0
    Days.day = START
    for number in range(days):
        if chance.random() > 0.25 and not 40 <= number < 47:
            form = "pdf" if engrave and number % engrave == 0 else "json"
            words = ("today", "-i", instrument, "-m", str(minutes), "-f", form)
            today_took.append(typed(*words))
            played_took.append(typed("played", "all", "--felt", str(chance.choice([1, 2, 3, 3, 3, 4]))))
            if not promise:
                with PracticeLog.open(Path(os.environ["SCALEWRIGHT_HOME"]) / "log.sqlite") as log:
                    sheet = latest_sheet(log, None)
                    promise = sheet.promise if sheet else 0
        Days.day += dt.timedelta(days=1)
    with PracticeLog.open(Path(os.environ["SCALEWRIGHT_HOME"]) / "log.sqlite") as log:
        longest = gaps(log.as_saved())
    worst = max(longest.values())
    kept = "kept" if worst <= promise else "BROKEN"
    return (
        f"{instrument:<15} {minutes:>3} min  seed {seed}: {len(today_took)} practice days, {len(longest)} exercises, "
        f"promise {promise}, longest wait {worst} {kept}; "
        f"today {1000 * sum(today_took) / len(today_took):4.0f} ms, "
        f"played {1000 * sum(played_took) / len(played_took):4.0f} ms"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=90)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--engrave", type=int, default=0)
    asked = parser.parse_args()
    clock.now = Days.now
    for instrument, minutes in PLAYERS:
        for seed in range(asked.seeds):
            with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
                os.environ["SCALEWRIGHT_HOME"] = folder
                print(live(instrument, minutes, seed, asked.days, asked.engrave), flush=True)


if __name__ == "__main__":
    main()
