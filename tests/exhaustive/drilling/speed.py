"""A drill of a kept passage against LilyPond alone on its page."""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[3]
Row = tuple[str, str, str, bool]


def speed(_most: int) -> Row:
    from generator.engraving import lilypond

    with tempfile.TemporaryDirectory() as folder:
        home = {**os.environ, "SCALEWRIGHT_HOME": folder, "PYTHONPATH": str(ROOT)}
        gigue = ROOT / "shared" / "examples" / "harbour-gigue.abc"
        base = [sys.executable, "-m", "generator"]

        def run(*words: str) -> list[str]:
            done = subprocess.run(
                [*base, *words], cwd=folder, env=home, text=True, capture_output=True, check=True
            )
            return done.stdout.split()

        run("passage", "keep", "gigue", str(gigue), "-i", "clarinet")
        (text,) = run("drill", "gigue", "-i", "clarinet", "-f", "ly")
        program = lilypond.find()
        backend = ["-dbackend=cairo"] if program.cairo else []
        alone, ours = [], []
        for _ in range(5):
            begun = time.perf_counter()
            subprocess.run(
                [str(program.path), *backend, "-dno-point-and-click", "-o", "alone", text],
                cwd=folder, env={**os.environ, "GC_DONT_GC": "1"}, capture_output=True, check=True,
            )  # fmt: skip
            alone.append(time.perf_counter() - begun)
            begun = time.perf_counter()
            run("drill", "gigue", "-i", "clarinet", "--no-cache")
            ours.append(time.perf_counter() - begun)
    ratio = sorted(ours)[2] / sorted(alone)[2]
    return (
        "a kept drill against LilyPond alone",
        "<= 1.25",
        f"{ratio:.2f} ({sorted(ours)[2]:.2f} s)",
        ratio <= 1.25,
    )
