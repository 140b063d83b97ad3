"""Whole processes measured from outside: wall clock, processor time and memory; medians, ratios and their table.

Only ratios of one run mean anything on a shared machine; so both sides of a ratio are measured by turns, and the
ratio is the median of the ratios of each turn.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

ROOT = Path(__file__).parents[2]
_EVERY = 0.1  # seconds between two looks at the memory
_PAGE = os.sysconf("SC_PAGE_SIZE") / 1e6 if hasattr(os, "sysconf") else 0.0  # MB


@dataclass(frozen=True, slots=True)
class Cost:
    """What a process took, with everything it started and waited for.

    Attributes:
        wall: seconds.
        cpu: seconds of processor time.
        peak: MB of the largest single process.
        together: MB of all its processes at one time at most; 0 where nobody looked.
    """

    wall: float
    cpu: float
    peak: float
    together: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the table.

    Attributes:
        part: what `--only` calls it.
        what: measured.
        ours: a figure for each round.
        other: what it is measured against, likewise; empty where the figure itself is.
        unit: of both.
        limit: of the ratio, or of the figure itself; None where there is none.
        at_least: the limit is a goal to reach, not a bound to keep.
        note: what a reader should know beside it.
    """

    part: str
    what: str
    ours: tuple[float, ...] = ()
    other: tuple[float, ...] = ()
    unit: str = "s"
    limit: float | None = None
    at_least: bool = False
    note: str = ""
    ratios: tuple[float, ...] = field(init=False)

    def __post_init__(self) -> None:
        pairs = zip(self.ours, self.other, strict=True) if self.ours and self.other else ()
        object.__setattr__(self, "ratios", tuple(ours / other for ours, other in pairs))

    @property
    def ratio(self) -> float | None:
        """Ours over the other: the median of the rounds."""
        return statistics.median(self.ratios) if self.ratios else None

    @property
    def verdict(self) -> str:
        """Met, missed, or nothing where there is no limit or no figure."""
        judged = self.ratio if self.other else statistics.median(self.ours) if self.ours else None
        if self.limit is None or judged is None:
            return ""
        return "met" if (judged >= self.limit if self.at_least else judged <= self.limit) else "MISSED"

    def as_data(self) -> dict[str, object]:
        """For a file."""
        return {
            "part": self.part,
            "what": self.what,
            "unit": self.unit,
            "ours": self.ours,
            "other": self.other,
            "ratios": self.ratios,
            "ratio": self.ratio,
            "limit": self.limit,
            "verdict": self.verdict,
            "note": self.note,
        }


def run(
    command: Sequence[str], folder: Path, environ: Mapping[str, str] | None = None, *, watch: bool = False
) -> Cost:
    """Run a command to its end.

    Args:
        command: program and arguments.
        folder: to run it in.
        environ: added to the environment.
        watch: look at the memory of all its processes meanwhile.

    Raises:
        RuntimeError: it failed; the message ends with what it said.
    """
    with tempfile.TemporaryFile() as output:
        start = time.perf_counter()
        process = subprocess.Popen(
            command,
            cwd=folder,
            env=_environment(environ),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
        )
        with _Watch(process.pid, on=watch) as watched:
            _, status, used = os.wait4(process.pid, 0)
            wall = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            output.seek(0)
            words = output.read().decode(errors="replace").strip()
            raise RuntimeError(f"{Path(command[0]).name} ended with {process.returncode}: {words[-800:]}")
    # A process counts the memory of the one it was started from as its own, so that whoever measures stays small.
    unit = 1 if sys.platform == "darwin" else 1024
    return Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss * unit / 1e6, watched.most)


def _environment(added: Mapping[str, str] | None) -> dict[str, str]:
    # An installed program has its byte code beside it; a checkout must be let write it, or compiling is measured.
    return {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | dict(added or {})


def additions() -> float:
    """Seconds for a million additions, which tell how fast the machine is just now."""
    start = time.perf_counter()
    total = 0
    for one in range(1_000_000):
        total += one
    return time.perf_counter() - start


def said(
    command: Sequence[str],
    folder: Path,
    environ: Mapping[str, str] | None = None,
    *,
    good: Sequence[int] = (0,),
) -> str:
    """Run a command and give what it printed.

    Args:
        command: program and arguments.
        folder: to run it in.
        environ: added to the environment.
        good: exit codes that do not count as failure.

    Raises:
        RuntimeError: it failed; the message is the last line it said.
    """
    done = subprocess.run(
        command,
        cwd=folder,
        env=_environment(environ),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=False,
        text=True,
    )
    if done.returncode not in good:
        last = [line.strip() for line in f"{done.stdout}\n{done.stderr}".splitlines() if line.strip()][-1:]
        raise RuntimeError(f"ended with {done.returncode}: {''.join(last)}")
    return done.stdout


class _Watch:
    """Looks at the memory of a process and of all below it, from time to time."""

    def __init__(self, process: int, *, on: bool) -> None:
        self.most = 0.0
        self._process = process
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True) if on else None

    def __enter__(self) -> Self:
        if self._thread:
            self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        if self._thread:
            self._thread.join()

    def _look(self) -> None:
        while not self._over.wait(_EVERY):
            self.most = max(self.most, sum(map(_resident, _family(self._process))))


def _family(process: int) -> Iterator[int]:
    """A process and all below it; Linux only, elsewhere nothing."""
    above: dict[int, int] = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            above[int(entry.parent.name)] = int(entry.read_text("latin-1").rpartition(")")[2].split()[1])
        except (OSError, ValueError, IndexError):  # it is over
            continue
    found = {process}
    while more := {child for child, parent in above.items() if parent in found} - found:
        found |= more
    yield from found


def _resident(process: int) -> float:
    """MB in memory now; pages that several processes share count for each."""
    try:
        return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * _PAGE
    except (OSError, ValueError, IndexError):
        return 0.0


def head() -> str:
    """The machine, and how busy it is: a reader has to know."""
    busy = " ".join(f"{one:.2f}" for one in os.getloadavg())
    return f"{os.cpu_count()} processors, load average {busy}, Python {sys.version.split()[0]}"


def table(rows: Iterable[Row]) -> list[str]:
    """The rows as lines, each note below its row."""
    lines = [f"{'':50}{'ours':>11}{'other':>11} {'':7}{'ratio':>8}  {'lowest-highest':16}{'limit':>7}"]
    part = ""
    for row in rows:
        if row.part != part:
            part = row.part
            lines.append(part)
        lines.append(_line(row))
        if row.note:
            lines.append(f"      {row.note}")
    return lines


def _line(row: Row) -> str:
    ours, other = (_figure(values) for values in (row.ours, row.other))
    ratio = "" if row.ratio is None else f"{row.ratio:.3g}"
    spread = f"{min(row.ratios):.3g}-{max(row.ratios):.3g}" if len(row.ratios) > 1 else ""
    limit = "" if row.limit is None else f"{'>=' if row.at_least else '<='} {row.limit:g}"
    unit = row.unit if row.ours else ""
    return f"  {row.what:48}{ours:>11}{other:>11} {unit:7}{ratio:>8}  {spread:16}{limit:>7} {row.verdict}".rstrip()


def _figure(values: Sequence[float]) -> str:
    if not values:
        return ""
    middle = statistics.median(values)
    return f"{middle:,.0f}" if middle >= 100 else f"{middle:.3g}"
