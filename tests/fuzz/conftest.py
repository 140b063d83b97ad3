"""Files of the targets live in a folder that goes with the run."""

from collections.abc import Iterator

import pytest

from tests.fuzz.targets import close_workshop


@pytest.fixture(scope="session", autouse=True)
def _workshop() -> Iterator[None]:
    yield
    close_workshop()
