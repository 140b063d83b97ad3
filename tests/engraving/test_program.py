"""The right LilyPond is found, and the wrong ones are refused with good advice."""

import importlib
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from generator.engraving import program
from generator.engraving.lilypond import engrave, find
from generator.engraving.program import Program
from generator.errors import LilyPondMissingError

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="the stand-ins are scripts with a #! line"),
    pytest.mark.usefixtures("temporary"),
]


def test_the_python_package_is_known_without_running_it(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("lilypond")
    monkeypatch.setattr(subprocess, "run", lambda *_a, **_k: pytest.fail("LilyPond was run"))
    found = find({})
    assert found.path.is_absolute()
    assert found.cairo
    assert found.version == importlib.import_module("importlib.metadata").version("lilypond")


def test_the_variable_goes_first_and_is_asked_its_version(script: Callable[[str], Path]) -> None:
    path = script("print('GNU LilyPond 2.25.12 (running Guile 3.0)')")
    assert find({program.VARIABLE: str(path)}) == Program(path, "2.25.12", cairo=True)


def test_a_program_without_cairo_is_recognised_by_its_own_message(script: Callable[[str], Path]) -> None:
    path = script("print('GNU LilyPond 2.24.1')  # compiled without CAIRO_BACKEND")
    assert find({program.VARIABLE: str(path)}) == Program(path, "2.24.1", cairo=False)


def test_the_path_is_searched_last(script: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    hide_the_package(monkeypatch)
    path = script("print('GNU LilyPond 2.24.0')")
    path = path.rename(path.with_name("lilypond"))
    assert find({"PATH": str(path.parent)}) == Program(path, "2.24.0")


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (
            "print('GNU LilyPond 2.22.2')",
            r"is LilyPond 2\.22\.2, but 2\.24\.0 or newer is needed; get it with",
        ),
        ("print('GNU LilyPond 2.9.30')", r"is LilyPond 2\.9\.30, but"),
        ("print('hello')", "is not a working LilyPond; get it with"),
        ("sys.exit('LilyPond 2.24.3')", "is not a working LilyPond"),
        ("os.kill(os.getpid(), 11)", "is not a working LilyPond"),
    ],
)
def test_old_and_broken_programs_are_refused(body: str, message: str, script: Callable[[str], Path]) -> None:
    with pytest.raises(LilyPondMissingError, match=message):
        find({program.VARIABLE: str(script(body))})


def test_a_program_for_another_machine(tmp_path: Path) -> None:
    (tmp_path / "lilypond").write_bytes(b"\x7fELF nonsense")
    (tmp_path / "lilypond").chmod(0o755)
    with pytest.raises(LilyPondMissingError, match=r"does not run \(Exec format error\); get it with"):
        find({program.VARIABLE: str(tmp_path / "lilypond")})
    with pytest.raises(LilyPondMissingError, match="does not run"):
        engrave({"sheet.ly": ""}, program=Program(tmp_path / "lilypond", "2.24.3"))


def test_a_variable_that_points_nowhere_is_an_error_and_not_a_silent_detour(tmp_path: Path) -> None:
    for wrong in (tmp_path / "gone", tmp_path, tmp_path / "plain.txt"):
        (tmp_path / "plain.txt").write_text("not executable")
        with pytest.raises(
            LilyPondMissingError, match=r"SCALEWRIGHT_LILYPOND is set to .*, which is no program"
        ):
            find({program.VARIABLE: str(wrong), "PATH": os.environ["PATH"]})


@pytest.mark.parametrize(
    ("system", "machine", "way"),
    [
        ("linux", "x86_64", "pip install lilypond==2.24.3"),
        ("linux", "aarch64", "apt-get install lilypond"),
        ("darwin", "x86_64", "pip install lilypond==2.24.3"),
        ("darwin", "arm64", "brew install lilypond"),
        ("win32", "", "pip install lilypond==2.24.3"),
        ("freebsd14", "amd64", "the package of that name"),
    ],
)
def test_without_any_the_message_says_how_to_get_it_here(
    system: str, machine: str, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    hide_the_package(monkeypatch)
    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setattr(os, "uname", lambda: os.uname_result(("", "", "", "", machine)))
    monkeypatch.setattr(shutil, "which", lambda *_a, **_k: None)
    with pytest.raises(LilyPondMissingError, match=re.escape(way)) as caught:
        find({"PATH": "/nowhere"})
    assert "\n" not in str(caught.value)
    assert "set SCALEWRIGHT_LILYPOND" in str(caught.value)


def hide_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise ModuleNotFoundError(name)

    monkeypatch.setattr(importlib, "import_module", missing)
