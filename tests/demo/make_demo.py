"""Ninety invented days of an invented player, and every picture of the README made from them.

    python tests/demo/make_demo.py --home FOLDER                           writes plan and log
    python tests/demo/make_demo.py --home FOLDER --pictures shared/pictures   and draws the pictures

The player is the first alto saxophone of the Harbour Street community band. The same seed gives the same log. Each
day's sheet is the one the program chooses; how well it goes is invented: an exercise gets faster with each play, keys
with a flat or sharp in their name begin slower, and some days are days off.
"""

import argparse
import contextlib
import datetime as dt
import random
import sys
import tempfile
from collections import Counter
from io import StringIO
from pathlib import Path

from PIL import Image

from generator.cli import main as run
from generator.files.home import Home
from generator.practice.played import Said, note_played, take_back_last
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.sheet_record import SheetRow
from generator.practice.today import DayRequest, todays_page
from generator.practice_log import PracticeLog, utc_text

ROOT = Path(__file__).parents[2]
PLAN = ROOT / "shared" / "examples" / "demo-plan.toml"
GIGUE = ROOT / "shared" / "examples" / "harbour-gigue.abc"
FIRST_DAY, DAYS = dt.date(2026, 12, 7), 90
LAST_DAY = FIRST_DAY + dt.timedelta(days=DAYS - 1)
COLD = range(40, 45)  # days in bed
LAST_ROW_ADDED = 85  # the day on which the last row of the plan is added to it
SUNDAY, SKIPPED, HALF_A_SHEET, NO_TEMPO, MINUTES_NOTED = 0.35, 0.85, 0.15, 0.12, 0.8  # how often
UNLOVED = ("C-sharp", "F-sharp", "E harmonic", "B melodic", "G-flat", "D-flat dominant")
SEED = 4
WIDTH, GREYS = 820, 16  # of the pictures


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--home", type=Path, required=True, help="an empty folder for plan and log")
    words.add_argument("--pictures", type=Path, help="a folder for the pictures")
    words.add_argument("--seed", type=int, default=SEED)
    asked = words.parse_args()
    plays = write_log(asked.home, asked.seed)
    sys.stdout.write(f"{plays} plays noted in {asked.home}\n")
    if asked.pictures:
        for path in draw_pictures(asked.home, asked.pictures):
            sys.stdout.write(f"{path}\n")


def write_log(home: Path, seed: int = SEED) -> int:
    """Plan and log of the demo in a folder that holds neither; how many plays it has."""
    if (home / "log.sqlite").exists():
        sys.exit(f"{home} has a log already; name an empty folder")
    home.mkdir(parents=True, exist_ok=True)
    chance = random.Random(seed)
    learnt: Counter[str] = Counter()
    plays = 0
    plan = PLAN.read_text("utf-8")
    for number in range(DAYS):
        if number in {0, LAST_ROW_ADDED}:
            rows = plan if number else plan[: plan.rindex("[[keep]]")]
            (home / "plan.toml").write_text(rows, "utf-8")
            session = open_session(Home.at(home), PlayerOptions(), home)
        day = FIRST_DAY + dt.timedelta(days=number)
        if number in COLD or chance.random() > (SUNDAY if day.weekday() == 6 else 0.8):
            continue
        plays += practise(session, day, learnt, chance)
    return plays


def practise(session: PlayerSession, day: dt.date, learnt: Counter[str], chance: random.Random) -> int:
    """One day: the sheet the program chooses, played whole or in part; once in a while noted wrongly first."""
    evening = dt.datetime.combine(day, dt.time(19, 30), dt.UTC)
    rows = todays_page(session, DayRequest(day, day, evening)).sheet.rows
    numbers = [n for n, row in enumerate(rows, 1) if chance.random() > put_off(row)] or [1]
    timed = chance.random() < MINUTES_NOTED
    said = {n: played(rows[n - 1], learnt, chance, timed=timed) for n in numbers}
    with PracticeLog.open(session.home.log) as log:
        sheet = todays_page(session, DayRequest(day, day, evening)).sheet
        if chance.random() < 0.05:
            note_played(log, sheet, {numbers[0]: Said(felt=1)}, day, utc_text(evening))
            take_back_last(log, day, utc_text(evening), None)
        note_played(log, sheet, said, day, utc_text(evening))
    return len(said)


def put_off(row: SheetRow) -> float:
    """How likely an exercise of the sheet is left for another day: unloved keys often, the first ones never."""
    return SKIPPED if row.phrase.startswith(UNLOVED) else 0 if row.floor else HALF_A_SHEET


def played(row: SheetRow, learnt: Counter[str], chance: random.Random, *, timed: bool) -> Said:
    """How it went: near the goal after a dozen plays; keys with flats or sharps in their name begin slower."""
    learnt[row.item] += 1
    goal = row.goal or 80
    start = (
        0.66 - (0.09 if "-flat" in row.phrase or "-sharp" in row.phrase else 0) + chance.uniform(-0.04, 0.04)
    )
    reached = goal * (start + (1.04 - start) * (1 - 0.8 ** learnt[row.item]))
    tempo = 2 * round((reached + chance.uniform(-4, 4)) / 2)
    share = tempo / goal
    felt = 4 if share > 0.97 else 3 if share > 0.82 else 2 if share > 0.68 else 1
    minutes = max(1, row.minutes + chance.choice((-1, 0, 0, 0, 1))) if timed else None
    return Said(felt, None if chance.random() < NO_TEMPO else tempo, minutes)


def draw_pictures(home: Path, folder: Path) -> list[Path]:
    """Every picture of the README, small and grey."""
    today, week = LAST_DAY + dt.timedelta(days=1), LAST_DAY - dt.timedelta(days=6)
    own = ["--home", str(home), "--date"]
    section = ["--section", str(ROOT / "shared" / "examples" / "harbour-street.toml")]
    commands: list[tuple[list[str], dict[str, int]]] = [  # each with the pages that are shown, by number
        (["today", *own, today.isoformat()], {"today": 1}),
        (["sheet", "whole-tone on C and D-flat, every articulation", "-i", "alto saxophone"], {"sheet": 1}),
        (["handout", "concert B-flat major in thirds", *section], {"handout-score": 2}),
        (["drill", str(GIGUE), "-i", "clarinet in B-flat", "--home", str(home)], {"drill": 1}),
        (["progress", *own, LAST_DAY.isoformat(), "--weeks", "13"], {"progress-1": 1, "progress-2": 2}),
        (["progress", "--record", *own, LAST_DAY.isoformat(), "--since", week.isoformat()], {"record": 1}),
    ]
    made = []
    for words, shown in commands:
        with tempfile.TemporaryDirectory() as out:
            paths = scalewright(*words, "--format", "png", "--out", out, "--quiet")
            made += [smaller(paths[page - 1], folder / f"{name}.png") for name, page in shown.items()]
    return made


def scalewright(*words: str) -> list[Path]:
    """Run the program; the files it wrote."""
    said = StringIO()
    with contextlib.redirect_stdout(said):
        try:
            run(words)
        except SystemExit as left:
            if left.code:
                raise
    return [Path(line) for line in said.getvalue().splitlines()]


def smaller(picture: Path, target: Path) -> Path:
    """A page at a width for reading on a screen, in a few greys."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with Image.open(picture) as page:
        paper = Image.new("RGBA", page.size, "white")
        paper.alpha_composite(page.convert("RGBA"))
        grey = paper.convert("L").resize(
            (WIDTH, round(page.height * WIDTH / page.width)), Image.Resampling.LANCZOS
        )
        grey.quantize(GREYS).save(target, optimize=True)
    return target


if __name__ == "__main__":
    main()
