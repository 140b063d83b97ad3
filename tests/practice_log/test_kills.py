"""Programs killed in the middle of writing lose nothing that was acknowledged."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
SCRIPT = BENCHMARKS / "log_kills.py"


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
def test_twenty_kills_of_two_writers_lose_nothing():
    done = subprocess.run(
        [sys.executable, SCRIPT, "--kills", "20"], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    told = re.search(r"(\d+) entries acknowledged, 0 faults", done.stdout)
    assert told
    assert int(told[1]) > 20


@pytest.mark.skipif(sys.platform == "win32", reason="there is no fork on Windows")
def test_killed_commands_lose_nothing_halve_nothing_and_leave_nothing():
    kinds = [word for kind in ("note", "undo", "export", "merge", "repair") for word in ("--only", kind)]
    done = subprocess.run(
        [sys.executable, BENCHMARKS / "command_kills.py", "--kills", "10", *kinds],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "10 kills" in done.stdout
