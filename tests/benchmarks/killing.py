"""Running a command in a copy of this process, and killing it there at a moment or at a step."""

import contextlib
import datetime as dt
import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from generator import cli
from generator.cli import clock
from generator.files import drafts
from generator.practice_log.database import Database

# A step is one of these, or a statement given to the database, before it and after it.
STEPS = (
    "open", "os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.truncate", "sqlite3.connect",
    "subprocess.Popen", "tempfile.mkdtemp", "shutil.copyfile",
)  # fmt: skip


@dataclass(frozen=True)
class Ran:
    """One run of a command.

    Attributes:
        code: exit code, or minus the signal that ended it.
        out: standard output.
        err: standard error.
        seconds: how long it took.
        steps: the steps it took, where it came to its end: a letter each, f a file, d the database.
    """

    code: int
    out: list[str]
    err: list[str]
    seconds: float
    steps: str


@dataclass(frozen=True)
class Stop:
    """When to kill: at a step, or after some seconds."""

    step: int = 0
    seconds: float = 0.0


def run(folder: Path, words: tuple[str, ...], moment: dt.datetime, stop: Stop | None = None) -> Ran:
    """Run a command of a player whose folder this is, and kill it there."""
    told = [folder.parent / f"{folder.name}.{name}" for name in ("out", "err", "steps")]
    for path in told:
        path.write_bytes(b"")
    begun = time.perf_counter()
    child = os.fork()
    if not child:
        with contextlib.suppress(BaseException):
            _become(folder, words, moment, stop, told)
        os._exit(99)
    if stop and stop.seconds:
        time.sleep(stop.seconds)
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    out, err, steps = (path.read_text("utf-8") for path in told)
    code = os.waitstatus_to_exitcode(status)
    return Ran(code, out.splitlines(), err.splitlines(), time.perf_counter() - begun, steps)


def _become(
    folder: Path, words: tuple[str, ...], moment: dt.datetime, stop: Stop | None, told: list[Path]
) -> None:
    """Be the command; never comes back."""
    os.setsid()
    os.chdir(folder)
    os.environ |= {"SCALEWRIGHT_HOME": str(folder / "home"), "TMPDIR": str(folder / "tmp")}
    tempfile.tempdir = None
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    sys.stdout = told[0].open("w", buffering=1, encoding="utf-8")
    sys.stderr = told[1].open("w", buffering=1, encoding="utf-8")
    taken: list[str] = []

    def step(kind: str) -> None:
        taken.append(kind)
        if stop and len(taken) == stop.step:
            os.kill(os.getpid(), signal.SIGKILL)

    def heard(event: str, _: object) -> None:
        if event in STEPS:
            step("f")

    def stepping(method: Callable[..., object]) -> Callable[..., object]:
        def stepped(*values: object, **named: object) -> object:
            step("d")
            found = method(*values, **named)
            step("d")
            return found

        return stepped

    for name in ("run", "run_many", "rows", "close"):
        setattr(Database, name, stepping(getattr(Database, name)))
    clock.now = lambda: moment
    drafts._looked_through.clear()  # every run looks once
    sys.addaudithook(heard)
    code = 0
    try:
        cli.main(words)
    except SystemExit as left:
        code = int(left.code or 0)
    done = "".join(taken)
    sys.stdout.flush()
    sys.stderr.flush()
    told[2].write_text(done, "utf-8")
    os._exit(code)
