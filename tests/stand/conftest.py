"""One LilyPond that stays for all tests of the stand page, and a page for each."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.errors import LilyPondMissingError
from generator.publish.screen import ScreenPress
from tests.fixtures.knocking import StandHere


@pytest.fixture(scope="session")
def screen_press() -> Iterator[ScreenPress]:
    try:
        press = ScreenPress()
    except LilyPondMissingError as problem:
        pytest.skip(str(problem))
    with press:
        yield press


@pytest.fixture
def stand(tmp_path: Path, screen_press: ScreenPress) -> StandHere:
    home = tmp_path / "home"
    home.mkdir()
    return StandHere(home, screen_press)
