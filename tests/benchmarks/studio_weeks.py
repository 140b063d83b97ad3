"""A studio of twenty: how long everyone's week takes, and whether weeks of tables keep the promise.

    python tests/benchmarks/studio_weeks.py speed [--pupils 20] [--rounds 3]
    python tests/benchmarks/studio_weeks.py promise [--pupils 20] [--weeks 12] [--seeds 3]

Speed: `today --studio --days 6` with nothing kept, in this process; LilyPond alone gets the very texts that it was
given, one run after the other, then two at a time. Only ratios of one run mean anything on a shared machine. Promise: a
table is filled in by a teacher and noted each Sunday; a quarter of the days is missed, some sheets are played in part.
"""

import argparse
import datetime as dt
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from generator.api.studios import StudioPrinted, StudioRequest, print_studio
from generator.engraving import lilypond, parallel
from generator.engraving.result import Result
from generator.publish.sheet import SheetOrder
from tests.fixtures.studio_weeks import SUNDAY, StudioWeeks

NAMES = (
    "Ada",
    "Bo",
    "Cy",
    "Di",
    "Ed",
    "Fay",
    "Gus",
    "Hal",
    "Ida",
    "Jo",
    "Kit",
    "Lou",
    "Max",
    "Ned",
    "Oz",
    "Pip",
)
SURNAMES = ("Quill", "Fenn", "Holt", "Marl", "Rusk")
WINDS = (
    "flute",
    "clarinet",
    "alto saxophone",
    "trumpet",
    "trombone",
    "horn",
    "oboe",
    "euphonium",
    "tuba",
    "bassoon",
)
PLAYS = (*WINDS, "violin", "cello", "viola", "tenor saxophone", "recorder")
LEVELS = ("first notes", "standard", "standard", "extended")
NOW = dt.datetime.combine(SUNDAY, dt.time(19), dt.UTC)
Run = tuple[Mapping[str, str], dict[str, object]]


def studio_text(pupils: int) -> str:
    """A studio of so many pupils: instruments, levels and minutes by turns."""
    rows = ['title = "Harbour Street studio"']
    for n in range(pupils):
        rows += [
            "[[pupil]]",
            f'name = "{NAMES[n % len(NAMES)]} {SURNAMES[n // len(NAMES) % len(SURNAMES)]}"',
            f'instrument = "{PLAYS[n % len(PLAYS)]}"',
            f'level = "{LEVELS[n % len(LEVELS)]}"',
            f"minutes = {(10, 20, 30)[n % 3]}",
        ]
        if n % 7 == 3:
            rows.append("reader = { staff = 24 }")
        if n % 5 == 2:
            rows.append('week = ["E-flat major, one octave"]')
    return "\n".join(rows)


def printed(folder: Path) -> StudioPrinted:
    """Everyone's week on paper; a new home each time."""
    with tempfile.TemporaryDirectory(dir=folder) as own:
        request = StudioRequest(
            file=folder / "studio.toml",
            days=6,
            day=SUNDAY + dt.timedelta(days=1),
            order=SheetOrder(out=Path(own) / "out"),
        )
        return print_studio(NOW, request, home=Path(own) / "home")


def recorded(folder: Path) -> list[Run]:
    """The texts that a week gives to LilyPond, each as a run of its own."""
    runs: list[Run] = []
    real = parallel._Bench._engraved

    def recording(bench: parallel._Bench, text: str, job: parallel.Job) -> Result:
        files = {lilypond.MAIN: text, **bench.shared}
        runs.append((files, {"formats": bench.formats, "outputs": job.outputs, "timeout": parallel.TIMEOUT}))
        return real(bench, text, job)

    parallel._Bench._engraved = recording  # type: ignore[method-assign]
    try:
        printed(folder)
    finally:
        parallel._Bench._engraved = real  # type: ignore[method-assign]
    return runs


def alone(runs: list[Run], processes: int) -> None:
    """LilyPond on the same texts."""
    with ThreadPoolExecutor(processes) as pool:
        for done in [pool.submit(lilypond.engrave, files, **options) for files, options in runs]:  # type: ignore[arg-type]
            done.result()


def timed(action: Callable[[], object]) -> float:
    """Seconds of wall clock."""
    begin = time.perf_counter()
    action()
    return time.perf_counter() - begin


def speed(pupils: int, rounds: int) -> None:
    """The table of times."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "studio.toml").write_text(studio_text(pupils), "utf-8")
        runs = recorded(folder)
        kinds: dict[str, Callable[[], object]] = {
            f"week of {pupils} pupils": lambda: printed(folder),
            "LilyPond alone, one process": lambda: alone(runs, 1),
            "LilyPond alone, two processes": lambda: alone(runs, 2),
        }
        times: dict[str, list[float]] = {kind: [] for kind in kinds}
        for _ in range(rounds):
            for kind, action in kinds.items():
                times[kind].append(timed(action))
        ours = next(iter(times.values()))
        for kind, seconds in times.items():
            ratio = statistics.median(a / b for a, b in zip(ours, seconds, strict=True))
            sys.stdout.write(f"{kind:32} {statistics.median(seconds):6.1f} s   week / this {ratio:5.2f}\n")
        done = printed(folder)
    sheets = sum(len(week.pages) for week in done.weeks)
    lines = sum(len(page.exercises) for week in done.weeks for page in week.pages)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    sys.stdout.write(
        f"{sheets} sheets, {lines} exercises, {done.pages} pages in {len(runs)} runs of LilyPond\n"
    )
    sys.stdout.write(f"memory at most: {most:.0f} MB here, {child:.0f} MB a LilyPond\n")


def promise(pupils: int, weeks: int, seeds: int) -> None:
    """What became of every page's word."""
    for seed in range(seeds):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            (folder / "studio.toml").write_text(studio_text(pupils), "utf-8")
            life = StudioWeeks(folder, seed)
            begin = time.perf_counter()
            life.live(weeks)
            took = time.perf_counter() - begin
            kept = [life.kept(pupil) for pupil in life.studio.pupils]
            unread = sum("not noted" in said.words for said in life.said)
        broken = [late for one in kept for late in one.late]
        days = sum(one.days for one in kept)
        counted = sum(one.counted for one in kept)
        sys.stdout.write(
            f"seed {seed}: {pupils} pupils, {weeks} weeks, {days} days played, {counted:.0f} of them counted; promises "
            f"{min(one.last for one in kept)} to {max(one.first for one in kept)}, broken {len(broken)}; "
            f"tables with bad rows {unread}; {took:.0f} s\n"
        )
        sys.stdout.writelines(f"  {one}\n" for one in broken[:10])
        sys.stdout.flush()


def main() -> None:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("speed", "promise"))
    parser.add_argument("--pupils", type=int, default=20)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--weeks", type=int, default=12)
    parser.add_argument("--seeds", type=int, default=3)
    asked = parser.parse_args()
    if asked.what == "speed":
        speed(asked.pupils, asked.rounds)
    else:
        promise(asked.pupils, asked.weeks, asked.seeds)


if __name__ == "__main__":
    main()
