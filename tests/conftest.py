"""Every test has a cache of finished pages of its own, and programs it starts hear Ctrl-C.

Drawn examples are the same in every run; SCALEWRIGHT_EXAMPLES=1 in the environment draws fresh ones.
"""

import contextlib
import os
import signal
from pathlib import Path

import pytest
from hypothesis import settings

pytest_plugins = ["tests.fixtures.browser", "tests.fixtures.desk", "tests.fixtures.section"]

settings.register_profile("steady", deadline=None, derandomize="SCALEWRIGHT_EXAMPLES" not in os.environ)
settings.load_profile("steady")


def pytest_configure() -> None:
    # A shell starts what runs in the background with this signal ignored, and so would all that we start.
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        with contextlib.suppress(ValueError):  # not in the main thread
            signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    monkeypatch.setenv("SCALEWRIGHT_CACHE", str(folder))
    return folder
