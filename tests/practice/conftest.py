"""A player at the command line: types commands as a person would, on days that go by."""

import contextlib
import datetime as dt
import io
import json
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from generator import cli
from generator.cli import clock
from generator.practice.sheet_record import SheetRecord, latest_sheet
from generator.practice_log import Entry, Kind, PracticeLog


@dataclass(frozen=True)
class Said:
    """What a command gave: exit code, the lines of standard output and of standard error."""

    code: int
    out: list[str]
    err: list[str]

    @property
    def words(self) -> str:
        return "\n".join(self.err)


class Terminal(io.StringIO):
    """Answers typed at a terminal."""

    def isatty(self) -> bool:
        return True


@dataclass
class Desk:
    """One player's folder, and the day it is."""

    folder: Path
    monkeypatch: pytest.MonkeyPatch
    day: dt.date = dt.date(2027, 1, 4)
    hour: int = 8
    minute: int = field(default=0)

    @property
    def home(self) -> Path:
        return self.folder / "home"

    def now(self) -> dt.datetime:
        """The clock; every look at it is a second later, as in life."""
        self.minute += 1
        start = dt.datetime.combine(self.day, dt.time(self.hour), dt.UTC)
        return start + dt.timedelta(seconds=self.minute)

    def type(self, *words: str, answers: str | None = None) -> Said:
        """Run a command."""
        out, err = io.StringIO(), io.StringIO()
        self.monkeypatch.chdir(self.folder)
        self.monkeypatch.setattr(clock, "now", self.now)
        self.monkeypatch.setenv("SCALEWRIGHT_HOME", str(self.home))
        self.monkeypatch.setattr(sys, "stdin", io.StringIO() if answers is None else Terminal(answers))
        code = 0
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                cli.main(list(words))
            except SystemExit as stopped:
                code = int(stopped.code or 0)
        return Said(code, out.getvalue().splitlines(), err.getvalue().splitlines())

    def today(self, *words: str) -> Said:
        """``today`` without engraving."""
        return self.type("today", "--format", "json", *words)

    def exercises(self, said: Said) -> list[dict[str, Any]]:
        """The exercises of a printed sheet, from its JSON file."""
        data = json.loads((self.folder / said.out[0]).read_text("utf-8"))
        exercises: list[dict[str, Any]] = data["exercises"]
        return exercises

    def phrases(self, said: Said) -> list[str]:
        return [exercise["phrase"] for exercise in self.exercises(said)]

    def plan(self, text: str) -> Path:
        """Write plan.toml in the current folder."""
        path = self.folder / "plan.toml"
        path.write_text(text, "utf-8")
        return path

    def log(self) -> list[Entry]:
        with PracticeLog.open(self.home / "log.sqlite") as log:
            return log.as_saved()

    def plays(self) -> list[Entry]:
        """Plays that stand, by date."""
        with PracticeLog.open(self.home / "log.sqlite") as log:
            return log.entries(kinds=(Kind.PLAY,))

    def sheet(self) -> SheetRecord:
        """The sheet printed last."""
        with PracticeLog.open(self.home / "log.sqlite") as log:
            found = latest_sheet(log, None)
        assert found is not None
        return found

    def sleep(self, days: int = 1) -> None:
        self.day += dt.timedelta(days=days)
        self.minute = 0


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    return Desk(tmp_path, monkeypatch)


@pytest.fixture(scope="session")
def desk_type() -> type[Desk]:
    """For a player who outlives one test."""
    return Desk
