"""Feeds strange text to everything that reads a stranger's text, for as long as you like.

    python tests/exhaustive/fuzz.py TARGET [--seconds N] [--seed S] [--keep FOLDER] [--plain]

TARGET is phrase, plan, section, roster, required-list or log-import, or all of them in turn. What is done with the
text and what has to hold stands in ``tests/exhaustive/fuzzing/targets.py``. It begins with the valid examples and
changes them.

With the package ``atheris`` (install it by that name into an environment of its own, together with this project; there
are builds for Python 3.11 to 3.13; it is no dependency) the changes are led by which lines of the program they reach.
Without it, or with ``--plain``, they are drawn by chance. A text that breaks something is saved in FOLDER and its
path is printed; then the exit code is 1.
"""

import argparse
import hashlib
import os
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

try:
    import atheris  # type: ignore[import-not-found,import-untyped,unused-ignore]
except ImportError:
    atheris = None

LONGEST = 8_000  # bytes; longer ones are slow and teach little
NAMES = ("phrase", "plan", "section", "roster", "required-list", "log-import")
DISTINCT = 40  # broken texts saved before giving up


def main() -> int:
    """Read the command line and fuzz."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("target", choices=(*NAMES, "all"))
    parser.add_argument("--seconds", type=int, default=60, help="for each target")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--keep", type=Path, default=Path("out/fuzz"), help="where broken texts and the corpus go"
    )
    parser.add_argument(
        "--plain", action="store_true", help="changes by chance even where atheris is installed"
    )
    wish = parser.parse_args()
    if wish.target == "all":
        # Coverage-guided runs end their process, so each target has one of its own.
        words = [w for w in sys.argv[1:] if w != "all"]
        codes = [
            subprocess.run([sys.executable, __file__, name, *words], check=False).returncode for name in NAMES
        ]
        return max(codes)
    folder = wish.keep / wish.target
    (folder / "broken").mkdir(parents=True, exist_ok=True)
    if atheris is None or wish.plain:
        return by_chance(wish.target, wish.seconds, wish.seed, folder)
    return guided(wish.target, wish.seconds, wish.seed, folder)


class Watch:
    """Runs a target and saves each text that breaks it, once for each place where it breaks."""

    def __init__(self, target: Callable[[bytes], bool], folder: Path) -> None:
        self.target = target
        self.folder = folder
        self.places: set[str] = set()
        self.runs = self.sound = self.broken = 0

    def __call__(self, data: bytes) -> None:
        """Run it."""
        self.runs += 1
        try:
            self.sound += self.target(data)
        except Exception as error:  # whatever it is, that is what is looked for
            self.broken += 1
            self._save(data, error)

    def _save(self, data: bytes, error: Exception) -> None:
        frames = traceback.extract_tb(error.__traceback__)
        ours = [f"{Path(f.filename).name}:{f.lineno}" for f in frames if "/generator/" in f.filename]
        checks = [
            f"{Path(f.filename).name}:{f.lineno}" for f in frames if "/exhaustive/fuzzing/" in f.filename
        ]
        place = f"{type(error).__name__} {(ours or ['-'])[-1]} {checks[-1]}"
        if place in self.places:
            return
        self.places.add(place)
        path = self.folder / "broken" / hashlib.sha256(data).hexdigest()[:16]
        path.write_bytes(data)
        print(f"BROKEN {path} {place}: {ascii(str(error))[:300]}", flush=True)

    def summary(self, begun: float) -> int:
        """Say how it went; the exit code."""
        spent = time.monotonic() - begun
        print(
            f"{self.runs} texts in {spent:.0f} s, {self.sound} of them sound, {self.broken} broke something",
            flush=True,
        )
        return 1 if self.broken else 0


def by_chance(name: str, seconds: int, seed: int, folder: Path) -> int:
    """Change the examples by chance, and what came of them again."""
    from tests.exhaustive.fuzzing import mutation, sound, targets

    watch = Watch(targets.TARGETS[name], folder)
    chance = Random(seed)
    pool = sound.seeds(name)
    begun = time.monotonic()
    while time.monotonic() < begun + seconds and len(watch.places) < DISTINCT:
        data = mutation.mutated(chance.choice(pool), chance)[:LONGEST]
        watch(data)
        if chance.random() < 0.02:
            pool = [*pool[: len(pool) % 500], data]
    return watch.summary(begun)


def guided(name: str, seconds: int, seed: int, folder: Path) -> int:
    """Let atheris choose."""
    with atheris.instrument_imports(include=["generator", "tomllib"]):
        from tests.exhaustive.fuzzing import mutation, sound, targets
    corpus = folder / "corpus"
    corpus.mkdir(exist_ok=True)
    for data in sound.seeds(name):
        (corpus / hashlib.sha256(data).hexdigest()[:16]).write_bytes(data)
    words = folder / "words.txt"
    words.write_text("\n".join(_dictionary(sound.vocabulary())), "utf-8")
    watch = Watch(targets.TARGETS[name], folder)
    begun = time.monotonic()

    def change(data: bytes, most: int, number: int) -> bytes:
        if number % 3:
            return atheris.Mutate(data, min(most, LONGEST))  # type: ignore[no-any-return]
        return mutation.mutated(data, Random(number))[: min(most, LONGEST)]

    def one(data: bytes) -> None:
        watch(data)
        if time.monotonic() > begun + seconds or len(watch.places) >= DISTINCT:
            code = watch.summary(begun)
            os._exit(code)  # libFuzzer's own way out calls no handler of ours

    options = [f"-seed={seed}", f"-dict={words}", f"-max_len={LONGEST}", "-timeout=60", "-rss_limit_mb=2500"]
    atheris.Setup([sys.argv[0], *options, "-print_final_stats=1", str(corpus)], one, custom_mutator=change)
    atheris.Fuzz()
    return watch.summary(begun)


def _dictionary(words: Sequence[str]) -> list[str]:
    """Words in the form libFuzzer reads: quoted, with everything unusual as a code."""
    fields = [
        "phrase",
        "every",
        "start",
        "goal",
        "articulations",
        "rhythms",
        "minutes",
        "heavy",
        "[[keep]]",
        "[[list]]",
        "[[chair]]",
        "[[item]]",
        "instrument",
        "level",
        "low",
        "high",
        "copies",
        "player",
        "title",
        "tempo",
        "unit",
        "octaves",
        "complete",
        "memory",
        "order",
        "share",
        "1/2",
        "date",
        "syllables",
        "void",
        "play",
        "true",
        "false",
        "recorded_at",
        "takes_back",
        "2027-02-06",
    ]
    shown = [
        "".join(chr(b) if b < 128 and chr(b).isalnum() else f"\\x{b:02x}" for b in w.encode())
        for w in (*words, *fields)
    ]
    return [f'"{word}"' for word in shown if word]


if __name__ == "__main__":
    sys.exit(main())
