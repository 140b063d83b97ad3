"""Files made to harm, given to the command: refused in one line, within two seconds and 150 MB, and nothing written."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.passage.hostile_files import HOSTILE, hostile_file

ROOT = Path(__file__).parents[3]
Row = tuple[str, str, str, bool]
_SECONDS, _MEGABYTES = 2, 150
# A fresh measure for each: the largest of all children ever started only grows.
_PROBE = (
    "import resource, subprocess, sys, time; t = time.perf_counter();"
    "r = subprocess.run(sys.argv[1:], capture_output=True, text=True, timeout=60);"
    "u = resource.getrusage(resource.RUSAGE_CHILDREN);"
    "print(r.returncode, time.perf_counter() - t, u.ru_utime + u.ru_stime, u.ru_maxrss,"
    " r.stderr.strip().replace(chr(10), '//'))"
)


def hostile(_most: int) -> Row:
    """Each of them once; the first run, which warms the disk, is not counted."""
    slowest, largest, wrong = 0.0, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        _run(Path(folder), hostile_file(Path(folder), "html"))
    for name in HOSTILE:
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            path = hostile_file(home, name)
            before = set(home.rglob("*"))
            code, seconds, worked, megabytes, said = _run(home, path)
            left = set(home.rglob("*")) - before
            good = code == "2" and "//" not in said and not left
            slowest, largest = max(slowest, seconds), max(largest, megabytes)
            wrong += not good
            print(
                f"    {name:18} exit {code} {seconds:5.2f} s ({worked:4.2f} s of work) {megabytes:4} MB  {said[:110]}"
                + (f"  LEFT {left}" if left else "")
            )
    good = not wrong and slowest <= _SECONDS and largest <= _MEGABYTES
    told = f"{wrong} of {len(HOSTILE)} wrong, slowest {slowest:.2f} s, largest {largest} MB"
    return "hostile files", "exit 2, <= 2 s, <= 150 MB, nothing written", told, good


def _run(home: Path, path: Path) -> tuple[str, float, float, int, str]:
    words = [
        sys.executable,
        "-m",
        "generator",
        "drill",
        str(path),
        "--bars",
        "1-4",
        "--part",
        "1",
        "-i",
        "flute",
    ]
    done = subprocess.run(
        [sys.executable, "-c", _PROBE, *words], cwd=home, text=True, capture_output=True, check=False,
        env={**os.environ, "SCALEWRIGHT_HOME": str(home / "home"), "PYTHONPATH": str(ROOT), "TMPDIR": str(home)},
    )  # fmt: skip
    code, seconds, worked, kilobytes, said = done.stdout.split(" ", 4)
    return code, float(seconds), float(worked), int(kilobytes) // 1024, said.strip()
