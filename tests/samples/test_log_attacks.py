"""A few of the histories and damaged logs that the long commands go through."""

import subprocess
import sys
from pathlib import Path

EXHAUSTIVE = Path(__file__).parents[1] / "exhaustive"


def run(script: str, *options: str) -> str:
    done = subprocess.run(
        [sys.executable, str(EXHAUSTIVE / script), *options], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_logs_kept_on_several_computers_come_out_the_same() -> None:
    assert run("log_merging.py", "--histories", "60", "--seed", "500").startswith("60 histories")


def test_damage_never_goes_by_in_silence() -> None:
    assert "0 silent changes, 0 tracebacks" in run("log_damage.py", "--logs", "40", "--seed", "500")
