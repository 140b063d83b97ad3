"""Every number the stand page is to reach, in one table: what stands behind it, and what a browser shows.

    python tests/benchmarks/stand_numbers.py [--quick]

The first comes from `stand_back.py`, the other from `stand_page.py`, which is skipped with its reason where there is no
Chromium. Leaves with exit code 1 where a goal is missed.
"""

import argparse
import shutil
import subprocess
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks import stand_back
from tests.benchmarks.measure import ROOT, head, table

FRONT = Path(__file__).with_name("stand_page.py")


def main() -> None:
    """Measure both sides and print them."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer pictures, in a minute instead of ten")
    quick = parser.parse_args().quick
    print(head())
    found = stand_back.rows(40, 4, 100) if quick else stand_back.rows()
    print("\n".join(table(found)), flush=True)
    missed = any(row.verdict == "MISSED" for row in found)
    if shutil.which("chromium"):
        missed |= bool(subprocess.run([sys.executable, str(FRONT)], cwd=ROOT, check=False).returncode)
    else:
        print("the page itself was not measured: there is no chromium here")
    print(head())
    sys.exit(missed)


if __name__ == "__main__":
    main()
