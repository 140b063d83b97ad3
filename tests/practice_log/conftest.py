import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from generator.practice_log import Entry, Kind, PracticeLog

STAMP = "2027-03-05T17:04:09.123456+00:00"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "Harbour Street" / "log.sqlite"


@pytest.fixture
def log(path: Path) -> Iterator[PracticeLog]:
    with PracticeLog.open(path) as opened:
        yield opened


@pytest.fixture(scope="session")
def play() -> Callable[..., Entry]:
    def make(uid: str, item: str = "G major", day: str = "2027-03-05", **more: object) -> Entry:
        more.setdefault("rating", 3)
        return Entry(uid, Kind.PLAY, dt.date.fromisoformat(day), STAMP, item=item, **more)

    return make


@pytest.fixture(scope="session")
def enter() -> Callable[..., Entry]:
    def make(uid: str, item: str = "G major", day: str = "2027-03-05", **more: object) -> Entry:
        return Entry(uid, Kind.ITEM_IN, dt.date.fromisoformat(day), STAMP, item=item, minutes=2, **more)

    return make
