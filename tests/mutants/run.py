"""Plants faults, one at a time, in a copy of the program, and asks the tests whether they notice.

    python tests/mutants/run.py [--only NAME]... [--room ROOM]... [--jobs N] [--check]

Each fault is a row of a TOML file beside this module, one file a room: the program's file, the exact text it replaces,
what stands there instead, and what a musician or an engineer would notice. A text that is not found exactly once is
refused before anything runs: the row has to follow the program. A fault is put to the tests of its room first and to
the whole suite only if it survives those. A test counts as having caught it if it fails with the fault and passes
without it. Exit code 1 if fewer than 97 of 100 are caught, 2 if a row is
out of date, 3 if a test fails without any fault.
"""

import argparse
import json
import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
ENOUGH = 97  # of 100
LONGEST = 1800  # seconds; a whole suite takes a third of that on a slow machine
NO_TEST, FAILED = 5, 1  # exit codes of pytest
# A room's own tests, and the examples in its modules.
ROOMS = {
    "theory": ("tests/theory", "generator/theory"),
    "exercise": ("tests/exercise", "generator/exercise"),
    "rotation": ("tests/rotation", "generator/rotation"),
    "phrase": ("tests/phrase", "generator/phrase"),
    "exchange": ("tests/exchange", "generator/exchange"),
    "log": ("tests/practice_log", "tests/practice/test_played.py", "generator/practice_log"),
}
NOT_COPIED = shutil.ignore_patterns(
    ".git", ".venv", "venv", "out", "build", "dist", "*.egg-info", ".*_cache", ".hypothesis"
)


@dataclass(frozen=True)
class Mutant:
    """One fault.

    Attributes:
        room: whose tests should catch it.
        name: what it is called.
        file: of the program, from its root.
        text: what stands there, once.
        becomes: what stands there instead.
        notice: what a musician or an engineer would notice.
        explained: why no test can catch it, where that is so.
    """

    room: str
    name: str
    file: str
    text: str
    becomes: str
    notice: str
    explained: str = ""

    def planted(self, source: str) -> str:
        """The file with the fault.

        Raises:
            ValueError: the text does not stand there exactly once, or what becomes of it is no Python.
        """
        if (times := source.count(self.text)) != 1:
            raise ValueError(f"{self.name}: its text stands {times} times in {self.file}, not once")
        faulty = source.replace(self.text, self.becomes)
        if self.file.endswith(".py"):
            try:
                compile(faulty, self.file, "exec", dont_inherit=True)
            except SyntaxError as error:
                raise ValueError(f"{self.name}: {self.file} is no Python any more: {error.msg}") from None
        return faulty


@dataclass(frozen=True)
class Verdict:
    """What the tests said of a fault: the test that caught it, or "" where none did, and how long it took."""

    mutant: Mutant
    test: str
    seconds: float


def mutants() -> list[Mutant]:
    """All faults, in the order of rooms and rows."""
    found = []
    for room in ROOMS:
        file = HERE / f"{room}.toml"
        rows = tomllib.loads(file.read_text("utf-8")).get("mutant", [])
        found += [Mutant(room, **row) for row in rows]
    return found


def stale(chosen: Sequence[Mutant]) -> list[str]:
    """What is wrong with faults that cannot be planted any more."""
    wrong = []
    for mutant in chosen:
        try:
            mutant.planted((ROOT / mutant.file).read_text("utf-8"))
        except (OSError, ValueError) as error:
            wrong.append(str(error))
    return wrong


class Workshop:
    """A copy of the program in which faults are planted and taken out again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "tree"
        self.told = folder / "told"
        self.files = folder / "files"
        shutil.copytree(ROOT, self.folder, ignore=NOT_COPIED)
        # Tests ask git which files belong to the program.
        for words in (("init", "-q"), ("add", "-A")):
            subprocess.run(["git", "-C", str(self.folder), *words], check=True)

    @contextmanager
    def planted(self, mutant: Mutant) -> Iterator[None]:
        """While a fault is in the copy."""
        path = self.folder / mutant.file
        good, times = path.read_text("utf-8"), path.stat()
        path.write_text(mutant.planted(good), "utf-8")
        try:
            yield
        finally:
            path.write_text(good, "utf-8")
            os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))

    def first_failure(self, *words: str) -> str:
        """The first test that fails, "" if none does; words are pytest's.

        Raises:
            RuntimeError: pytest could not run.
        """
        shutil.rmtree(self.told, ignore_errors=True)
        options = ["-x", "-q", "-n", "0", "-p", "no:randomly", "-o", f"cache_dir={self.told}"]
        options.append(f"--basetemp={self.files}")
        code, said = _run([sys.executable, "-m", "pytest", *options, *words], self.folder)
        if code in (0, NO_TEST):
            return ""
        if code is None:
            return f"(still running after {LONGEST} s)"
        with suppress(OSError):
            failed = json.loads((self.told / "v/cache/lastfailed").read_text("utf-8"))
            return str(next(iter(failed)))
        if "ImportError while loading conftest" in said:
            return "(the program cannot be loaded)"
        raise RuntimeError(f"pytest {' '.join(words)} ended with {code}:\n{said[-2000:]}")


_RUNNING: set[subprocess.Popen[bytes]] = set()


def _run(command: list[str], folder: Path) -> tuple[int | None, str]:
    """Exit code, None if it had to be stopped, and what was said."""
    around = {**os.environ, "PYTHONPATH": str(folder)}
    with subprocess.Popen(
        command, cwd=folder, env=around, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        start_new_session=True,
    ) as process:  # fmt: skip
        _RUNNING.add(process)
        try:
            said, _ = process.communicate(timeout=LONGEST)
        except subprocess.TimeoutExpired:
            return None, ""
        finally:
            _stop(process)
    return process.returncode, said.decode("utf-8", "replace")


def _stop(process: subprocess.Popen[bytes]) -> None:
    """End a run of the tests with all that it started."""
    _RUNNING.discard(process)
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)


class Trial:
    """Puts faults to the tests."""

    def __init__(self, workshops: Sequence[Workshop], *, quick: bool = False) -> None:
        self._quick = quick
        self._free: queue.SimpleQueue[Workshop] = queue.SimpleQueue()
        for workshop in workshops:
            self._free.put(workshop)
        self._sound: set[str] = set()
        self.unsound: list[str] = []

    def verdict(self, mutant: Mutant) -> Verdict:
        """Whether a test notices a fault: those of its room, then all, LilyPond's last."""
        begun = time.monotonic()
        workshop = self._free.get()
        try:
            everything = () if self._quick else (("-m", "not lilypond"), ("-m", "lilypond"))
            for words in (ROOMS[mutant.room], *everything):
                if test := self._noticed(mutant, workshop, words):
                    return Verdict(mutant, test, time.monotonic() - begun)
            return Verdict(mutant, "", time.monotonic() - begun)
        finally:
            self._free.put(workshop)

    def _noticed(self, mutant: Mutant, workshop: Workshop, words: tuple[str, ...]) -> str:
        """The first test that fails with a fault and passes without it."""
        while True:
            left_out = [f"--deselect={test}" for test in self.unsound]
            with workshop.planted(mutant):
                test = workshop.first_failure(*words, *left_out)
            if not test or test.startswith("(") or test in self._sound:
                return test
            if not workshop.first_failure(test):
                self._sound.add(test)
                return test
            if test not in self.unsound:
                self.unsound.append(test)


def try_all(chosen: Sequence[Mutant], jobs: int, unsound: list[str], *, quick: bool) -> Iterator[Verdict]:
    """Verdicts in order, as they come; tests that fail without any fault are put into a list."""
    with tempfile.TemporaryDirectory() as folder:
        places = [Path(folder) / str(number) for number in range(min(jobs, len(chosen)))]
        trial = Trial([Workshop(place) for place in places], quick=quick)
        trial.unsound = unsound
        with ThreadPoolExecutor(len(places)) as pool:
            try:
                yield from pool.map(trial.verdict, chosen)
            finally:
                pool.shutdown(wait=False, cancel_futures=True)
                for process in tuple(_RUNNING):
                    _stop(process)


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--only", action="append", metavar="NAME", help="a fault, or a word of its name")
    parser.add_argument("--room", action="append", choices=ROOMS)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, metavar="N")
    parser.add_argument(
        "--check", action="store_true", help="only see whether every fault can still be planted"
    )
    parser.add_argument("--quick", action="store_true", help="ask the tests of the room only")
    asked = parser.parse_args(words)
    chosen = [one for one in mutants() if not asked.room or one.room in asked.room]
    if asked.only:
        names = {one.name for one in chosen}
        chosen = [
            one
            for one in chosen
            if any(one.name == word or (word not in names and word in one.name) for word in asked.only)
        ]
    if not chosen:
        parser.error("no fault has such a name")
    if wrong := stale(chosen):
        print(*wrong, "the program has changed there: change the row with it", sep="\n", file=sys.stderr)
        return 2
    if asked.check:
        print(f"{len(chosen)} faults can be planted")
        return 0
    return _tried(chosen, max(1, asked.jobs), quick=asked.quick)


def _tried(chosen: Sequence[Mutant], jobs: int, *, quick: bool) -> int:
    begun = time.monotonic()
    survived: list[Mutant] = []
    unsound: list[str] = []
    for verdict in try_all(chosen, jobs, unsound, quick=quick):
        one = verdict.mutant
        if not verdict.test:
            survived.append(one)
        fate = f"caught by {verdict.test}" if verdict.test else "SURVIVED"
        print(f"{one.room:9} {one.name}: {fate} ({verdict.seconds:.0f} s)", flush=True)
    caught = len(chosen) - len(survived)
    print(f"\n{caught} of {len(chosen)} caught, in {time.monotonic() - begun:.0f} s")
    for one in survived:
        print(f"survived: {one.name} ({one.file}): {one.notice}; {one.explained or 'NOT EXPLAINED'}")
    for test in unsound:
        print(f"not asked, for it fails without any fault: {test}")
    if unsound:
        return 3
    return 0 if 100 * caught >= ENOUGH * len(chosen) else 1


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    sys.exit(main())
