"""Every test has a cache of finished pages of its own, so that none is answered with another's page."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    monkeypatch.setenv("SCALEWRIGHT_CACHE", str(folder))
    return folder
