"""Short runs of what is long in tests/exhaustive, and checks of tests/benchmarks: these belong to the suite.

Files of the fuzzed targets live in a folder that goes with the run.
"""

from collections.abc import Iterator

import pytest

from tests.exhaustive.fuzzing.targets import close_workshop


@pytest.fixture(scope="session", autouse=True)
def _workshop() -> Iterator[None]:
    yield
    close_workshop()
