"""Every promise of speed and size in one run, side by side with general notation libraries.

    python tests/benchmarks/everything.py [--rounds 3] [--only PART]... [--growth [SIZES]] [--json FILE]

Prints one table: our median, the other's, their ratio (ours over the other's, median of the rounds), the limit, and
whether it is met. A ratio below 1 says that ours takes less; only for notes a second is more the better. The parts:

    sheet     twelve exercises against LilyPond alone on the same text; again
    today     the same for today's sheet of a new player
    book      600 exercises against 60, and against one LilyPond process on the same pages
    building  notes a second against music21 streams of the same notes
    choosing  today's sheet from 50,000 items and ten years of log
    peers     the twelve through LilyPond alone, music21, abjad and verovio
    growth    books of 12, 60, 120, 600 and 1200 exercises; only with --growth

Whole processes, by turns; a busy machine blurs even ratios, so the load is printed first and last. Leaves with exit
code 1 where a limit is missed or a part fails.
"""

import argparse
import json
import re
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.engraving import lilypond
from tests.benchmarks import growth, peers, sheet_speed
from tests.benchmarks.measure import Cost, Row, head, said, table

HERE = Path(__file__).parent
PARTS = ("sheet", "today", "book", "building", "choosing", "peers", "growth")
BUILDING_GOAL = 100.0
CHOOSING_LIMIT = 0.5
ITEMS = 50_000
BOOK = 600


def read_building(text: str) -> dict[str, float]:
    """Notes a second by way, from what `building_speed.py` printed.

    Raises:
        ValueError: it is not there.
    """
    found = re.findall(r"^(\S.*?)\s{2,}([\d,]+)\s+[\d.]+ x$", text, re.MULTILINE)
    speeds = {name: float(speed.replace(",", "")) for name, speed in found}
    if not {"ours", "music21 streams"} <= speeds.keys():
        raise ValueError(f"no notes a second in {text[-300:]!r}")
    return speeds


def read_choosing(text: str) -> float:
    """Seconds of wall clock from the last line of `choosing_speed.py` that has some.

    Raises:
        ValueError: there is none.
    """
    for line in reversed(text.splitlines()):
        if found := re.search(r"\bwall\s+([\d.]+)\s*s\b", line) or re.search(r"([\d.]+)\s*s\b", line):
            return float(found[1])
    raise ValueError(f"no seconds in {text[-300:]!r}")


def script(name: str, *words: str, good: Sequence[int] = (0,)) -> str:
    """What another benchmark prints; a process of its own keeps this one small."""
    with tempfile.TemporaryDirectory() as folder:
        home = sheet_speed.at_home(Path(folder) / "home")
        return said([sys.executable, str(HERE / name), *words], Path(folder), home, good=good)


def building(rounds: int) -> list[Row]:
    """Notes a second, against music21."""
    # Its exit code only says whether the goal is met.
    speeds = read_building(script("building_speed.py", "--repeats", str(rounds), good=(0, 1)))
    mine = (speeds.pop("ours"),)
    return [
        Row(
            "building",
            f"ours / {name}",
            mine,
            (speed,),
            "notes/s",
            BUILDING_GOAL if name == "music21 streams" else None,
            at_least=True,
        )
        for name, speed in speeds.items()
    ]


def choosing(rounds: int, items: int) -> list[Row]:
    """Today's sheet from a huge list and a long log."""
    text = script("choosing_speed.py", "--items", str(items), "--rounds", str(rounds))
    return [
        Row(
            "choosing",
            f"{items:,} items and ten years, start-up taken off",
            (read_choosing(text),),
            limit=CHOOSING_LIMIT if items == ITEMS else None,
            note=" ".join(text.strip().splitlines()[-1].split()),
        )
    ]


def sizes(text: str) -> tuple[int, ...]:
    """Sizes of books, from ``12,60,120``.

    Raises:
        argparse.ArgumentTypeError: one that cannot be mixed.
    """
    try:
        found = tuple(int(word) for word in text.split(","))
        for size in found:
            growth.mixture(size)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from problem
    return found


def options() -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument(
        "--only", action="append", choices=PARTS, help="this part; may be given several times"
    )
    parser.add_argument("--growth", type=sizes, nargs="?", const=growth.SIZES, help="sizes like 12,60,120")
    parser.add_argument("--json", type=Path, metavar="FILE", help="every single figure, as data")
    parser.add_argument(
        "--peers-python", default=sys.executable, metavar="PATH", help="has the other libraries"
    )
    parser.add_argument("--book", type=int, default=BOOK, help="exercises of the big book, for a quick look")
    parser.add_argument("--items", type=int, default=ITEMS, help="items to choose from, for a quick look")
    asked = parser.parse_args()
    if asked.only and "growth" in asked.only and not asked.growth:
        asked.growth = growth.SIZES
    return asked


def measured(asked: argparse.Namespace) -> tuple[list[Row], Mapping[int, Sequence[Cost]], list[str]]:
    """Every part that is asked for: rows, what books of several sizes cost, and what went wrong."""
    books = growth.Books(asked.rounds)
    parts: dict[str, Callable[[], list[Row]]] = {
        "sheet": lambda: sheet_speed.rows("sheet", sheet_speed.SHEET, asked.rounds),
        "today": lambda: sheet_speed.rows("today", sheet_speed.TODAY, asked.rounds),
        "book": lambda: books.rows(asked.book),
        "building": lambda: building(asked.rounds),
        "choosing": lambda: choosing(asked.rounds, asked.items),
        "peers": lambda: peers.rows(asked.rounds, asked.peers_python),
    }
    rows: list[Row] = []
    grown: Mapping[int, Sequence[Cost]] = {}
    failed: list[str] = []
    for part in asked.only or PARTS:
        print(f"measuring: {part}", file=sys.stderr)
        try:
            if part == "growth":
                grown = books.growth(asked.growth) if asked.growth else {}
            else:
                rows += parts[part]()
        except (RuntimeError, ValueError, AssertionError, OSError) as problem:
            failed.append(f"{part} failed: {problem}")
    return rows, grown, failed


def main() -> int:
    """Measure, print, and say whether every limit is met."""
    asked = options()
    program = lilypond.find()
    start = [f"{head()}, LilyPond {program.version}; medians of {asked.rounds} rounds"]
    rows, grown, failed = measured(asked)
    missed = sum(row.verdict == "MISSED" for row in rows)
    lines = [*start, "", *table(rows), *(["", *growth.growth_lines(grown)] if grown else [])]
    lines += ["", *failed, f"afterwards: {head()}", f"{missed} limits missed, {len(failed)} parts failed"]
    print("\n".join(lines))
    if asked.json:
        data = {
            "head": start[0],
            "rows": [row.as_data() for row in rows],
            "growth": {
                size: [(cost.wall, cost.cpu, cost.peak, cost.together) for cost in costs]
                for size, costs in grown.items()
            },
            "failed": failed,
        }
        asked.json.write_text(json.dumps(data, indent=1) + "\n", "utf-8")
    return 1 if missed or failed else 0


if __name__ == "__main__":
    sys.exit(main())
