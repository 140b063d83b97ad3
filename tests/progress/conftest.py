"""A player of ninety days, and small logs written by hand."""

import contextlib
import datetime as dt
import importlib.util
import sqlite3  # the raw log, past the program's own reader
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from generator.files.home import Home
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice_log import Entry, Kind, PracticeLog
from generator.progress import overview as use_case
from generator.progress.drawing import Drawing, Face, Line, Text
from generator.progress.overview import Progress, read_progress
from generator.progress.pictures import PagePainter
from tests.fixtures.command import Said, run_here

STAMP = "2027-03-05T17:04:09+00:00"
PLAN = """
player = "Odile Marsh"
instrument = "{instrument}"
minutes = 20
[[keep]]
phrase = "C, G and F major"
goal = 100
[[keep]]
phrase = "A and E harmonic minor in thirds"
goal = 80
"""


@dataclass(frozen=True)
class Player:
    """A home folder with a plan; plays are noted straight in the log."""

    home: Path

    def progress(self, day: str | dt.date, instrument: str | None = None) -> Progress:
        today = day if isinstance(day, dt.date) else dt.date.fromisoformat(day)
        return read_progress(
            open_session(Home.at(self.home), PlayerOptions(instrument=instrument), self.home), today
        )

    def note(self, day: str, item: str, instrument: str | None = "alto saxophone", **more: Any) -> str:
        """Note a play; its uid."""
        with PracticeLog.open(self.home / "log.sqlite") as log:
            uid = f"play {len(log.as_saved())}"
            more.setdefault("rating", 3)
            name = f"{instrument or 'alto saxophone'}: {item}"
            date = dt.date.fromisoformat(day)
            log.append([Entry(uid, Kind.PLAY, date, STAMP, item=name, instrument=instrument, **more)])
        return uid

    def take_back(self, day: str, uid: str) -> None:
        with PracticeLog.open(self.home / "log.sqlite") as log:
            log.take_back(uid, uid=f"void {uid}", day=dt.date.fromisoformat(day), recorded_at=STAMP)

    def type(self, *words: str, **more: Any) -> Said:
        """``scalewright progress`` as a person types it."""
        return run_here("progress", *words, "--home", str(self.home), **more)


@pytest.fixture
def player(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Player:
    monkeypatch.chdir(tmp_path)
    home = tmp_path / "home"
    home.mkdir()
    (home / "plan.toml").write_text(PLAN.format(instrument="alto saxophone"), "utf-8")
    return Player(home)


@pytest.fixture(scope="session")
def demo() -> ModuleType:
    """The script that writes the demo's log."""
    path = Path(__file__).parents[1] / "demo" / "make_demo.py"
    spec = importlib.util.spec_from_file_location("make_demo", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def ninety(demo: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Player:
    """Ninety days of the demo's player."""
    home = tmp_path_factory.mktemp("ninety") / "home"
    demo.write_log(home)
    return Player(home)


@pytest.fixture(scope="session")
def raw(ninety: Player) -> list[dict[str, Any]]:
    """Every row of the ninety days as the file has it."""
    with contextlib.closing(sqlite3.connect(ninety.home / "log.sqlite")) as file:
        file.row_factory = sqlite3.Row
        return [dict(row) for row in file.execute("SELECT * FROM event ORDER BY day, seq")]


@pytest.fixture(scope="session")
def press() -> PagePainter:
    return PagePainter(use_case.house_fonts())


Place = tuple[float, float, float, float]


@pytest.fixture(scope="session")
def places() -> Callable[..., list[tuple[Text, Place]]]:
    """Where the words of a page stand: left, top, right and bottom of each, by the widths of the faces."""

    def find(drawing: Drawing, measure: Callable[[str, float, Face], float]) -> list[tuple[Text, Place]]:
        found = []
        for mark in drawing.marks:
            if isinstance(mark, Text):
                width = measure(mark.words, mark.size, mark.face)
                left = mark.x - width * {"left": 0, "center": 0.5, "right": 1}[mark.align]
                letter = mark.size * 25.4 / 72
                found.append((mark, (left, mark.y - 0.7 * letter, left + width, mark.y + 0.05 * letter)))
        return found

    return find


@pytest.fixture(scope="session")
def ends() -> Callable[[Drawing], list[tuple[float, float]]]:
    """Every corner of what is drawn without letters."""

    def find(drawing: Drawing) -> list[tuple[float, float]]:
        found: list[tuple[float, float]] = []
        for mark in drawing.marks:
            if isinstance(mark, Line):
                found += mark.points
            elif hasattr(mark, "height"):
                found += [(mark.x, mark.y), (mark.x + mark.width, mark.y + mark.height)]
        return found

    return find
