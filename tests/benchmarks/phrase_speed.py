"""How long reading a phrase takes: those that people type, and the worst that 2,000 characters can be.

    python tests/benchmarks/phrase_speed.py [--seconds N] [--seed S]

Processor time, so that other programs do not count. Ends with exit code 1 where anything took more than a tenth of a
second.
"""

import argparse
import contextlib
import random
import sys
import time
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from generator.catalogue.tables import shared_catalogue  # noqa: E402
from generator.errors import RequestError  # noqa: E402
from generator.phrase.read import LONGEST_PHRASE, parse_all  # noqa: E402
from generator.phrase.vocabulary import vocabulary_of  # noqa: E402

LIMIT = 0.1  # seconds


def spent(text: str) -> float:
    """Processor time of one reading, a refusal included."""
    begun = time.process_time()
    with contextlib.suppress(RequestError):
        parse_all(text, shared_catalogue())
    return time.process_time() - begun


def hostile(chance: random.Random) -> str:
    """As many characters as a phrase may have, of few names or many."""
    names = [name for of_kind in vocabulary_of(shared_catalogue()).names.values() for name in of_kind]
    words = sorted(
        {word for name in names for word in name.split()} | {"and", "zz", "1", "80", "C", "a", "f", "majr"}
    )
    pool = chance.sample(chance.choice((names, words)), chance.choice((1, 2, 3, 8, 40)))
    head = chance.choice(("", "C major ", "C major, "))
    return (head + chance.choice((" ", ", ")).join(chance.choices(pool, k=1200)))[:LONGEST_PHRASE]


def main() -> None:
    """Measure and say."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    spent("zzz")  # what is read once is read now
    said = tomllib.loads((ROOT / "tests" / "data" / "said.toml").read_text("utf-8"))
    typed = sorted(spent(text) for rows in said.values() for text in rows)
    mean, slowest = (1000 * one for one in (sum(typed) / len(typed), typed[-1]))
    print(f"{len(typed)} phrases as typed: {mean:.1f} ms each, the slowest {slowest:.0f} ms")
    chance = random.Random(asked.seed)
    worst, count, end = (0.0, ""), 0, time.monotonic() + asked.seconds
    while time.monotonic() < end:
        text = hostile(chance)
        worst, count = max(worst, (spent(text), text)), count + 1
    print(f"{count} of {LONGEST_PHRASE} characters: the slowest {worst[0] * 1000:.0f} ms: {worst[1][:60]!r}")
    sys.exit(max(worst[0], typed[-1]) > LIMIT)


if __name__ == "__main__":
    main()
