"""A drill is engraved once: its pages are worked out before, and LilyPond never has to be asked again."""

import stat
import sys
from pathlib import Path

import pytest

from generator.engraving import lilypond
from tests.fixtures.command import run_here

# Four bars of sixteenths, as they stand on the back page of a march.
HARD = (
    "[K:F][M:4/4][L:1/16](d'c')ba (ba)g^f (gabag=fed) | (cd)e=f (fg)ag (cba_b) (bagf) | "
    "gfga bagf efge cdec | fgab c'bag fagf e2c2 | f16"
)


@pytest.mark.lilypond
@pytest.mark.skipif(sys.platform == "win32", reason="the counting program is a shell script")
@pytest.mark.parametrize(
    ("instrument", "more"),
    [
        ("B-flat clarinet", ()),
        ("flute", ("--print", "large")),
        ("horn", ("--paper", "a4")),
    ],
)
def test_a_drill_is_engraved_once(
    instrument: str, more: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEWRIGHT_HOME", str(tmp_path / "home"))
    runs, counting = tmp_path / "runs", tmp_path / "lilypond"
    real = lilypond.find().path
    counting.write_text(f'#!/bin/sh\necho "$@" >> "{runs}"\nexec "{real}" "$@"\n', "utf-8")
    counting.chmod(counting.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("SCALEWRIGHT_LILYPOND", str(counting))
    run_here("drill", "--notes", HARD, "--goal", "120", "-i", instrument, "--no-cache", *more).succeeds()
    started = [line for line in runs.read_text("utf-8").splitlines() if "--version" not in line]
    assert len(started) == 1, started
