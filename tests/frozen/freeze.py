"""What the program prints for many seeded requests, as digests: made before a change and compared after it.

    python tests/frozen/freeze.py make before.json          # the command `scalewright` of this environment
    python tests/frozen/freeze.py compare before.json       # names every request whose output differs

Everything goes through the command line, so that nothing inside the program is held fast: LilyPond text and JSON of
sheets over all instruments, handouts, thirty days of `today` with what was noted, lists, plans, reports, refusals.
"""

import argparse
import hashlib
import json
import os
import random
import re
import subprocess
import sys
import sysconfig
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

SEED, SHEETS, HANDOUTS, DAYS = 20261126, 400, 20, 30
START = "2027-01-04"
COMMAND = Path(sysconfig.get_path("scripts")) / "scalewright"
KINDS = ("instruments", "forms", "figures", "spans", "rhythms", "articulations", "sets", "routines", "lists")
LEVELS = ("first notes", "standard", "standard", "extended")
KEYS = ["C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F", "C#", "Gb"]
CLAUSES = (
    "two octaves", "one octave", "a twelfth", "a fifth", "three octaves", "down first", "up", "down",
    "from the third degree", "from the middle octave", "from the second octave", "from the top octave",
    "inside the span", "quarter = 84", "quarter = 60 to 108", "in 3/4", "all keys", "from every degree",
)  # fmt: skip
WRONG = (
    ("sheet", "G mayor"), ("sheet", "G major in thrids"), ("sheet", ""), ("sheet", "G major", "-i", "flut"),
    ("sheet", "G major", "--level", "hard"), ("sheet", "G major", "-f", "doc"), ("sheet", "G"), ("sheet",),
    ("sheet", "G major", "--low", "C9"), ("sheet", "G major, three octaves", "--exact", "-i", "horn"),
    ("handout", "concert B-flat major"), ("handout", "concert B-flat major", "--instruments", "flute, tubba"),
    ("handout", "lip slurs", "--instruments", "trumpet"), ("played", "9"), ("played", "all", "--sheet", "ZZZZ"),
    ("list", "keys"), ("today", "--date", "2027-02-29"), ("sheet", "--list", "florida"),
    ("plan", "check", "--plan", "no"),
)  # fmt: skip


BAD_FILES = {
    "bad.toml": """
player = 3
instrument = "alto saxofone"
minutes = 0
share = 2
paper = "a5"
what = 1
[[keep]]
phrase = "G mayor"
goal = 5
[[keep]]
phrase = "G major"
start = 90
goal = 60
articulations = ["slured"]
[[keep]]
phrase = "G major"
start = 90
goal = 60
[[list]]
name = "florida"
date = "2027-02-30"
[[list]]
called = "exam"
""",
    "section.toml": """
title = 4
who = 1
[[chair]]
name = "1st"
instrument = "clarinett"
[[chair]]
instrument = "flute"
level = "hard"
copies = 0
[[chair]]
instrument = "tuba"
low = "C5"
high = "C3"
players = "x"
[[chair]]
""",
    "list.toml": """
title = ""
order = "none"
year = true
tempo = 5
[[item]]
phrase = "G mayor"
[[item]]
phrase = "G major"
octaves = "9"
rhythm = "no"
unit = "quart"
memory = 3
up = "slured"
instruments = ["flutt"]
foo = 1
""",
}
STAMP = re.compile(r"DTSTAMP:\S+")


def run(words: Sequence[str], home: Path, folder: Path) -> str:
    """One command in a folder of its own: the digest of all it said, wrote and answered."""
    environment = {**os.environ, "SCALEWRIGHT_HOME": str(home), "PYTHONWARNINGS": "ignore"}
    done = subprocess.run(
        [COMMAND, *words], cwd=folder, env=environment, capture_output=True, text=True, timeout=300, check=False,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    told = [str(done.returncode), done.stdout, done.stderr]
    for line in done.stdout.splitlines():
        path = folder / line
        if len(line) < 200 and path.is_file():
            told.append(path.read_text("utf-8"))
    text = STAMP.sub("", "\x1f".join(told).replace(str(folder), ""))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def names(kind: str) -> list[str]:
    """Every name of a kind; of the instruments those with a definite pitch."""
    done = subprocess.run([COMMAND, "list", kind, "--json"], capture_output=True, text=True, check=True)
    return [row["name"] for row in json.loads(done.stdout) if row.get("family") != "percussion"]


def sheets(chance: random.Random) -> Iterator[tuple[str, ...]]:
    """Requests over all instruments, forms, figures and dressings, many of them far-fetched."""
    tables = {kind: names(kind) for kind in KINDS[:-1]}
    for number in range(SHEETS):
        instrument = tables["instruments"][number % len(tables["instruments"])]
        form = chance.choice(tables["forms"])
        phrase = f"{form} on {chance.choice(KEYS)}"
        if chance.random() < 0.7:
            phrase += f" in {chance.choice(tables['figures'])}"
        if chance.random() < 0.04:
            phrase = chance.choice(tables["routines"])
        clauses = [clause for clause in (chance.choice(CLAUSES),) if chance.random() < 0.6]
        for kind, share in (("rhythms", 0.4), ("articulations", 0.5)):
            if chance.random() < share and "," not in phrase:
                clauses.append(chance.choice(tables[kind]))
        if "all keys" in clauses:
            clauses.remove("all keys")
            phrase = f"all keys, {form}"
        words = ["sheet", ", ".join([phrase, *clauses]), "-i", instrument, "-l", chance.choice(LEVELS)]
        if chance.random() < 0.1:
            words += ["--paper", "a4", "--print", chance.choice(("small", "large"))]
        if chance.random() < 0.1:
            words += ["--show", chance.choice(("outline", "both"))]
        yield (*words, "-f", "ly,json,musicxml")


def handouts(chance: random.Random) -> Iterator[tuple[str, ...]]:
    """Sections of random chairs, the options in turn."""
    winds = names("instruments")[:40]
    phrases = (
        "concert B-flat major in thirds", "concert E-flat major, one octave", "usual band keys, major",
        "concert F harmonic minor, two octaves", "written G major", "chromatic on concert B-flat",
        "concert A-flat major arpeggio", "whole-tone on concert C, eighths", "concert C major, slur two tongue two",
    )  # fmt: skip
    extras = (
        (), ("--own-range",), ("--concert-score",), ("--keys", "flats"), ("--warm-up", "10"), ("--test",),
        ("--levels", "first notes, standard"), ("--no-score",),
    )  # fmt: skip
    for number in range(HANDOUTS):
        chairs = [*chance.sample(winds, chance.randint(2, 7)), *(["snare drum"] if number % 3 == 0 else [])]
        yield (
            "handout", chance.choice(phrases), chance.choice(phrases), "--instruments", ", ".join(chairs),
            *extras[number % len(extras)], "-f", "ly,json,musicxml", "--export", "given.csv",
        )  # fmt: skip


def days(chance: random.Random) -> Iterator[tuple[str, ...]]:
    """A month of practice with days off, weak plays, tempi, a second sheet and an action taken back."""
    for number in range(1, DAYS + 1):
        day = f"2027-01-{number:02d}"
        minutes = ("--minutes", str(chance.choice((10, 30)))) if chance.random() < 0.2 else ()
        if chance.random() < 0.15:
            continue
        yield ("today", "--date", day, "-i", "alto saxophone", *minutes, "-f", "ly,json")
        if number % 9 == 0:
            yield ("today", "--date", day, "-i", "alto saxophone", "--sheet-number", "2", "-f", "ly,json")
        felt = ("--felt", str(chance.randint(1, 4))) if chance.random() < 0.7 else ()
        tempo = ("--tempo", str(chance.randint(50, 120))) if chance.random() < 0.5 else ()
        part = "all" if chance.random() < 0.7 else "1-3"
        yield ("played", part, "--date", day, *felt, *tempo, "--minutes", str(chance.randint(5, 30)))
        if number % 11 == 0:
            yield ("played", "--undo")
        yield ("today", "--date", day, "-i", "alto saxophone", "-f", "ly")
    for what in (("plan", "show"), ("progress",), ("progress", "--since", "2027-01-10")):
        yield (*what, "-i", "alto saxophone", "--date", "2027-02-01")
    yield (
        "plan",
        "calendar",
        "--weeks",
        "2",
        "-i",
        "alto saxophone",
        "--date",
        "2027-02-01",
        "-o",
        "cal.ics",
    )


def plans(folder: Path) -> Iterator[tuple[str, ...]]:
    """The demo plan with its dated list, and files with mistakes on many lines."""
    demo = Path(__file__).parents[2] / "shared" / "examples" / "demo-plan.toml"
    (folder / "demo.toml").write_text(demo.read_text("utf-8"), "utf-8")
    for name, text in BAD_FILES.items():
        (folder / name).write_text(text, "utf-8")
    for day in ("2027-01-05", "2027-01-25"):
        yield ("today", "--plan", "demo.toml", "--date", day, "-f", "ly,json")
    yield ("plan", "show", "--plan", "demo.toml", "--date", "2027-01-05")
    yield ("plan", "check", "--plan", "demo.toml")
    yield ("plan", "check", "--plan", "bad.toml")
    yield ("handout", "concert F major", "--section", "section.toml")
    yield ("sheet", "--list", "list.toml")


def scratch(root: Path, name: str) -> Path:
    """A new folder."""
    folder = root / name
    folder.mkdir()
    return folder


def digests() -> dict[str, str]:
    """Everything, by the words of its command."""
    found: dict[str, str] = {}
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(2) as pool:
        root = Path(name)
        chance = random.Random(SEED)
        apart = [*sheets(chance), *handouts(chance), *(("list", kind, "--json") for kind in KINDS), *WRONG]
        month = list(days(chance))
        lists = [("sheet", "--list", one, "-i", "trombone", "-f", "ly") for one in names("lists")]

        def alone(job: tuple[int, tuple[str, ...]]) -> tuple[str, str]:
            folder = scratch(root, str(job[0]))
            return f"{job[0]:04d} {' '.join(job[1])}", run(job[1], folder, folder)

        def together(label: str, jobs: Sequence[tuple[str, ...]], folder: Path) -> list[tuple[str, str]]:
            return [
                (f"{label} {n:04d} {' '.join(job)}", run(job, folder, folder)) for n, job in enumerate(jobs)
            ]

        month_folder, plan_folder = scratch(root, "month"), scratch(root, "plan")
        running = [
            pool.submit(together, "month", month, month_folder),
            pool.submit(together, "plan", list(plans(plan_folder)), plan_folder),
        ]
        found |= dict(pool.map(alone, enumerate([*apart, *lists])))
        for future in running:
            found |= dict(future.result())
    return found


def main() -> None:
    """Make digests, or compare with some."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("make", "compare"))
    parser.add_argument("file", type=Path)
    asked = parser.parse_args()
    found = digests()
    if asked.what == "make":
        asked.file.write_text(json.dumps(found, indent=0, ensure_ascii=False), "utf-8")
        print(f"{len(found)} digests in {asked.file}")
        return
    before = json.loads(asked.file.read_text("utf-8"))
    differ = [words for words in before if found.get(words) != before[words]]
    for words in differ:
        print(words)
    print(f"{len(before)} compared, {len(differ)} differ, {len(found.keys() - before.keys())} new")
    sys.exit(1 if differ else 0)


if __name__ == "__main__":
    main()
