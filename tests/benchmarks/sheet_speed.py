"""How long a whole sheet takes against LilyPond alone on the same file: medians and ratios in one run.

python tests/benchmarks/sheet_speed.py [--rounds 7]
"""

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from generator.engraving import lilypond

PHRASES = [
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
]


def timed(command: list[str], folder: Path) -> float:
    start = time.perf_counter()
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=7)
    rounds = parser.parse_args().rounds
    ours = [sys.executable, "-m", "generator", "sheet", *PHRASES, "-i", "alto saxophone", "-q"]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        subprocess.run([*ours, "-f", "ly"], cwd=folder, check=True, capture_output=True)
        text = next((folder / "out").glob("*.ly"))
        (folder / "sheet.ly").write_bytes(text.read_bytes())
        program = lilypond.find()
        backend = ["-dbackend=cairo"] if program.cairo else []
        alone = [str(program.path), *backend, "-dno-point-and-click", "--loglevel=WARNING", "sheet.ly"]
        rows: dict[str, list[float]] = {"scalewright sheet": [], "LilyPond alone": [], "ratio": []}
        for _ in range(rounds):
            mine, its = timed(ours, folder), timed(alone, folder)
            rows["scalewright sheet"].append(mine)
            rows["LilyPond alone"].append(its)
            rows["ratio"].append(mine / its)
    for label, values in rows.items():
        middle = statistics.median(values)
        print(f"{label:<20} median {middle:6.3f}   best {min(values):6.3f}   worst {max(values):6.3f}")


if __name__ == "__main__":
    main()
