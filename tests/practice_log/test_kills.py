"""Programs killed in the middle of writing lose nothing that was acknowledged."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[1] / "benchmarks" / "log_kills.py"


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL on Windows")
def test_twenty_kills_of_two_writers_lose_nothing():
    done = subprocess.run(
        [sys.executable, SCRIPT, "--kills", "20"], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    told = re.search(r"(\d+) entries acknowledged, 0 faults", done.stdout)
    assert told
    assert int(told[1]) > 20
