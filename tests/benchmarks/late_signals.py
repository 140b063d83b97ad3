"""Signals around the end of a command: it is done, or says that it was stopped, and nothing else.

    python tests/benchmarks/late_signals.py [--runs 200]

How long the command takes is measured first; each run then gets Ctrl-C, a request to end or a closed terminal at a
drawn instant of its last third, or up to a tenth after its usual end. `tests/faults/test_last_instants.py` hits each
line of the end instead.
"""

import argparse
import random
import signal
import statistics
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.fixtures.command import Said, ended, program, run_apart, start

WORDS = ("sheet", "all keys, major", "-i", "flute", "-f", "json", "-q")
CODES = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}


def fault(said: Said, number: int) -> str:
    """What is wrong with how a command ended that got a signal, or ""."""
    if said.code not in {0, CODES[signal.Signals(number)]}:
        return f"exit code {said.code} after {signal.Signals(number).name}: {said.words[-300:]}"
    if said.code == 0 and len(said.out) != 1:
        return f"exit code 0 and {len(said.out)} paths"
    if set(said.err) - {"scalewright: stopped"}:
        return said.words[-300:]
    return ""


def hit(folder: Path, after: float, number: int) -> Said:
    """Run the command and send it a signal after so many seconds."""
    process = start(program(*WORDS), folder)
    time.sleep(after)
    process.send_signal(number)
    return ended(process)


def main(arguments: list[str] | None = None) -> int:
    """Run them all; 1 if any ended otherwise."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    draw = random.Random(options.seed)
    codes: Counter[int] = Counter()
    faults: list[str] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        times = []
        for _ in range(5):
            begun = time.perf_counter()
            run_apart(*WORDS, folder=folder).succeeds()
            times.append(time.perf_counter() - begun)
        usual = statistics.median(times)
        for _ in range(options.runs):
            number = draw.choice(tuple(CODES))
            said = hit(folder, usual * draw.uniform(0.67, 1.1), number)
            codes[said.code] += 1
            if wrong := fault(said, number):
                faults.append(wrong)
    print(
        f"{options.runs} runs of {usual:.2f} s; exit codes {dict(sorted(codes.items()))}; {len(faults)} faults"
    )
    for wrong in faults[:10]:
        print(wrong)
    return bool(faults)


if __name__ == "__main__":
    sys.exit(main())
