"""How long a sheet takes: against LilyPond alone on the same file, and against its own first time once it is kept.

    python tests/benchmarks/sheet_speed.py [--rounds 7]

Whole processes. Every round begins in a fresh home with nothing kept: the first time, LilyPond alone on the very
same text, the same command again, and the same page by other words, for which only the text is known. We have LilyPond
not look for memory to use again; LilyPond alone so started is measured too, without a limit.
"""

import argparse
import os
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.engraving import lilypond
from generator.engraving.limits import collection
from tests.benchmarks.measure import ROOT, Row, head, run, table

INSTRUMENT = "alto saxophone"
PHRASES = (
    "G major",
    "E harmonic minor",
    "E harmonic minor in thirds",
    "G major in fourths",
    "whole-tone on B-flat, slur two tongue two",
    "D melodic minor",
    "A-flat major in thirds",
    "F major arpeggio",
    "chromatic on C",
    "B harmonic minor, staccato",
    "E-flat major, all slurred",
    "C-sharp natural minor, triplets",
)
SHEET = ("sheet", *PHRASES, "-i", INSTRUMENT, "-q")
TODAY = ("today", "--date", "2027-01-05", "-q")
FIRST_LIMIT = 1.25
AGAIN_LIMIT = 0.6


def ours(*words: str) -> list[str]:
    """Our command line, from this checkout."""
    return [sys.executable, "-m", "generator", *words]


def at_home(home: Path) -> dict[str, str]:
    """The environment of someone whose files and finished pages are all in one folder."""
    paths = os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH"))))
    return {"SCALEWRIGHT_HOME": str(home), "SCALEWRIGHT_CACHE": str(home / "pages"), "PYTHONPATH": paths}


def alone(*files: str) -> list[str]:
    """LilyPond alone, with the flags that we give it."""
    program = lilypond.find()
    backend = ["-dbackend=cairo"] if program.cairo else []
    return [str(program.path), *backend, "-dno-point-and-click", "--loglevel=WARNING", *files]


def text_of(words: Sequence[str], folder: Path, environ: Mapping[str, str]) -> Path:
    """The page that a command prints, as LilyPond text.

    Args:
        words: the command.
        folder: to work in.
        environ: as for `run`.
    """
    run(ours(*words, "-f", "ly", "--no-cache", "--out", "text"), folder, environ)
    (found,) = (folder / "text").glob("*.ly")
    return found


def rows(part: str, words: Sequence[str], rounds: int) -> list[Row]:
    """One command: nothing kept, then the same again.

    Args:
        part: what the table calls it.
        words: the command.
        rounds: how often.
    """
    costs: dict[str, list[float]] = {
        "first": [],
        "alone": [],
        "uncollected": [],
        "again": [],
    }
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        text = text_of(words, folder, at_home(folder / "before"))
        for number in range(rounds):
            home = at_home(folder / f"home-{number}")
            paper = folder / f"paper-{number}"
            paper.mkdir()
            costs["first"].append(run(ours(*words), paper, home).wall)
            assert [path.stem for path in (paper / "out").iterdir()] == [text.stem]  # the very same page
            costs["alone"].append(run(alone(str(text)), paper).wall)
            costs["uncollected"].append(run(alone(str(text)), paper, collection(on=False)).wall)
            costs["again"].append(run(ours(*words), paper, home).wall)
    first, again = tuple(costs["first"]), tuple(costs["again"])
    return [
        Row(part, "nothing kept / LilyPond alone", first, tuple(costs["alone"]), limit=FIRST_LIMIT),
        Row(part, "nothing kept / LilyPond alone, started as we do", first, tuple(costs["uncollected"])),
        Row(part, "again / first time", again, first, limit=AGAIN_LIMIT),
    ]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=7)
    rounds = parser.parse_args().rounds
    found = [*rows("sheet", SHEET, rounds), *rows("today", TODAY, rounds)]
    print("\n".join([head(), *table(found)]))


if __name__ == "__main__":
    main()
