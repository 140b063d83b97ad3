"""Stand-ins for LilyPond, LilyPond itself, and a folder for temporary files in which leftovers show."""

import sys
import tempfile
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

from generator.engraving.lilypond import find
from generator.engraving.program import Program
from generator.errors import LilyPondMissingError


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for temporary files of its own, so that leftovers show."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


@pytest.fixture
def script(tmp_path: Path) -> Callable[[str], Path]:
    """Makes a program of a few Python lines."""

    def make(body: str) -> Path:
        path = tmp_path / f"lily{len(list(tmp_path.iterdir()))}"
        path.write_text(f"#!{sys.executable} -SE\nimport os, sys, time, signal\n{textwrap.dedent(body)}\n")
        path.chmod(0o755)
        return path

    return make


@pytest.fixture
def fake(script: Callable[[str], Path]) -> Callable[[str], Program]:
    return lambda body: Program(script(body), "2.24.3")


@pytest.fixture
def real() -> Program:
    try:
        return find()
    except LilyPondMissingError as problem:
        pytest.skip(str(problem))
