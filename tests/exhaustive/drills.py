"""Every number that drills are held to, in one table.

    python tests/exhaustive/drills.py                     all rows
    python tests/exhaustive/drills.py abc files --most 50    some rows, fewer of each

abc       tunes of the public-domain collections that music21's package carries, against abc2midi (Debian's abcmidi)
files     every MusicXML file of the packages music21 and partitura, against partitura as the second reader, the text
          of the file as the third; two processes, some five minutes
random    passages with ties, tuplets, rests and pickups: nothing lost, bars full, every key by interval and in range
lines     passages cut from lines of our own: the foot of the page names a request that holds every note
section   random passages handed out to a band of twenty parts and to an orchestra of beginners: same bars, cells and
          pitch classes in every part, and nobody's notes left
hostile   files made to harm: refused within two seconds and 150 MB, and nothing written
speed     a drill of a kept passage against LilyPond alone on its page
"""

import argparse
import contextlib
import resource
import sys
from collections.abc import Callable
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.exhaustive.drilling.bands import section
from tests.exhaustive.drilling.chance import random
from tests.exhaustive.drilling.hostile import hostile
from tests.exhaustive.drilling.lines import lines
from tests.exhaustive.drilling.scores import files
from tests.exhaustive.drilling.speed import speed
from tests.exhaustive.drilling.tunes import abc

Row = tuple[str, str, str, bool]
ROWS: dict[str, tuple[Callable[[int], Row], int]] = {
    "abc": (abc, 500), "files": (files, 1000), "random": (random, 10_000), "lines": (lines, 300),
    "section": (section, 200),
    "hostile": (hostile, 0), "speed": (speed, 0),
}  # fmt: skip


def main() -> None:
    """Print the table; exit code 1 where a goal is missed."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("rows", nargs="*", choices=[*ROWS, []], help="some of the rows; all without")
    words.add_argument("--most", type=int, help="of each kind")
    asked = words.parse_args()
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    table = []
    for name in asked.rows or ROWS:
        work, usual = ROWS[name]
        table.append(work(asked.most or usual))
    print()
    for what, goal, found, good in table:
        print(f"{'ok  ' if good else 'MISS'} {what:40} goal {goal:45} found {found}")
    sys.exit(not all(good for *_, good in table))


if __name__ == "__main__":
    main()
