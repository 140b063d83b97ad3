"""How long today's sheet takes to choose from a huge list and a long log, as a whole process.

    python tests/benchmarks/choosing_speed.py [--items 50000] [--years 10] [--a-day 20] [--rounds 5]

Times ``scalewright today --format json`` for one small sheet and takes off what ``scalewright --help`` takes, so that
the start of Python and of the command line is not counted. The plan, the list spelled out from it and the log are
made first. Then mornings go by: on each the sheet is made and as many exercises as on every other day are played
after it. Wall and processor time, medians; a million additions beside them tell how fast the machine was.
"""

import argparse
import contextlib
import datetime as dt
import io
import os
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.catalogue.tables import shared_catalogue
from generator.files.home import Home
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice_log import Entry, Kind, PracticeLog
from tests.benchmarks.measure import additions, run

STAMP = "2027-01-01T12:00:00+00:00"
START = dt.date(2017, 1, 1)
SPANS = ("full range", "two octaves", "a twelfth", "one octave")


def write_plan(path: Path, items: int) -> None:
    """Forms, figures, spans and degrees until there are enough."""
    names = shared_catalogue()
    figures = [row.name for row in names.figures.rows if row.kind == "moving"]
    forms = [row.name for row in names.forms.rows if row.distinct == 12 and row.size >= 5]
    rows = [
        f'[[keep]]\nphrase = "all keys, {form} in {figure}, {span}, from every degree"\nminutes = 2\n'
        for span in SPANS
        for figure in figures
        for form in forms
    ]
    path.write_text("minutes = 8\n" + "".join(rows[: max(1, items // 80)]), "utf-8")


def fill(log: PracticeLog, items: list[str], years: int, a_day: int) -> dt.date:
    """An entry for every item and so many plays on every day."""
    log.append(
        Entry(f"in {item}", Kind.ITEM_IN, START, STAMP, item=item, minutes=2, instrument="flute")
        for item in items
    )
    for number in range(years * 365):
        play(log, items, START + dt.timedelta(days=number), a_day)
    return START + dt.timedelta(days=years * 365)


def play(log: PracticeLog, items: list[str], day: dt.date, a_day: int) -> None:
    """So many plays on one day."""
    chance = random.Random(day.toordinal())
    log.append(
        Entry(
            f"{day} {one}",
            Kind.PLAY,
            day,
            STAMP,
            item=chance.choice(items),
            rating=chance.randint(1, 4),
            tempo=chance.randint(50, 100),
            goal=80,
            instrument="flute",
        )
        for one in range(a_day)
    )


def timed(words: list[str], folder: Path) -> tuple[float, float]:
    """Wall and processor seconds of a whole process."""
    cost = run([sys.executable, "-m", "generator", *words], folder)
    return cost.wall, cost.cpu


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--items", type=int, default=50_000)
    parser.add_argument("--years", type=int, default=10)
    parser.add_argument("--a-day", type=int, default=20)
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name, contextlib.redirect_stderr(io.StringIO()):
        folder = Path(name)
        os.environ["SCALEWRIGHT_HOME"] = name
        write_plan(folder / "plan.toml", asked.items)
        start = time.perf_counter()
        session = open_session(Home.at(folder), PlayerOptions(), folder)
        spelled = time.perf_counter() - start
        ids = [item.id for item in session.repertoire.items(START)]
        with PracticeLog.open(folder / "log.sqlite") as log:
            day = fill(log, ids, asked.years, asked.a_day)
        print(
            f"{len(ids)} items, {asked.years} years of {asked.a_day} plays a day; spelled out in {spelled:.1f} s, once"
        )
        rows: dict[str, list[tuple[float, float]]] = {"--help": [], "today": []}
        for number in range(asked.rounds):
            morning = day + dt.timedelta(days=number)
            rows["--help"].append(timed(["--help"], folder))
            words = ["today", "--format", "json", "--date", morning.isoformat()]
            rows["today"].append(timed(words, folder))
            with PracticeLog.open(folder / "log.sqlite") as log:
                play(log, ids, morning, asked.a_day)
        for label, values in rows.items():
            wall, cpu = (statistics.median(column) for column in zip(*values, strict=True))
            print(f"{label:<8} wall {wall:.3f} s   processor {cpu:.3f} s")
        wall, cpu = (
            statistics.median(t[k] - h[k] for t, h in zip(rows["today"], rows["--help"], strict=True))
            for k in (0, 1)
        )
        print(
            f"{'choosing':<8} wall {wall:.3f} s   processor {cpu:.3f} s   (a million additions {additions():.3f} s)"
        )


if __name__ == "__main__":
    main()
