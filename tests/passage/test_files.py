"""Files from strangers: music is read as printed, everything else refused in one line."""

import json
import os
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.passage.source import read_file
from tests.passage.hostile_files import HOSTILE, hostile_file
from tests.passage.score_text import FLUTE, MUSIC, RUN, attributes, bar, note, score


def test_bars_of_the_part_that_the_player_plays(tmp_path: Path) -> None:
    path = tmp_path / "march.musicxml"
    path.write_text(MUSIC, "utf-8")
    found = read_file(path, "2-2", instrument=player_named("B-flat clarinet").instrument).passage
    assert [n.pitch.name for n in found.attacks if n.pitch] == ["C5", "D5", "F5", "G5", "A5", "B5"]
    assert [n.slurred for n in found.attacks][:3] == [False, True, False]
    assert found.bars[0].signature == -1
    assert found.landing is not None
    assert found.landing.name == "C5"


def test_an_archive_and_a_bar_with_a_letter(tmp_path: Path) -> None:
    path = tmp_path / "march.mxl"
    music = MUSIC.replace('number="3"', 'number="2a"')
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="x.xml"/></rootfiles></container>',
        )
        archive.writestr("x.xml", music)
    assert [b.number for b in read_file(path, "2-2", part="1").passage.bars] == ["2", "2a"]


def test_two_voices_chords_and_missing_parts_are_refused_with_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "march.musicxml"
    chord = note("C", 5, 8, "half") + note("E", 5, 8, "half").replace("<note>", "<note><chord/>")
    path.write_text(score(bar("1", RUN + RUN, attributes()) + bar("2", chord)), "utf-8")
    with pytest.raises(RequestError, match="bar 2 has a chord"):
        read_file(path, "1-2", part="Flute")
    with pytest.raises(RequestError, match=r"2 parts; say which with --part: 1 Flute, 2 Clarinet in Bb"):
        read_file(path, "1-2", instrument=player_named("tuba").instrument)
    with pytest.raises(RequestError, match="there is no bar 7"):
        read_file(path, "7", part="1")


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_in_one_line(tmp_path: Path, name: str) -> None:
    path = hostile_file(tmp_path, name)
    before = set(tmp_path.rglob("*"))
    begun = time.perf_counter()
    with pytest.raises(RequestError) as caught:
        read_file(path, "1", part="" if name in ("entities", "many parts") else "1")
    assert time.perf_counter() - begun < 12  # the table of drills holds it to two seconds on an idle machine
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400
    assert set(tmp_path.rglob("*")) == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system knows no named pipes")
def test_a_pipe_is_no_file(tmp_path: Path) -> None:
    path = tmp_path / "pipe.mxl"
    os.mkfifo(path)
    with pytest.raises(RequestError, match="is no file"):
        read_file(path)


@pytest.mark.parametrize("words", [["today", "--help"], ["sheet", "drill x"], ["list", "passages"]])
def test_nothing_but_the_child_loads_the_heavy_library(words: list[str], tmp_path: Path) -> None:
    code = (
        "import sys, json\nfrom generator.cli.main import main\n"
        "try:\n    main(json.loads(sys.argv[1]))\nexcept SystemExit:\n    pass\n"
        "assert not {'music21', 'numpy', 'mido'} & set(sys.modules), 'heavy'\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, json.dumps(words)], env={**os.environ, "SCALEWRIGHT_HOME": str(tmp_path)},
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


def test_a_slur_that_comes_in_from_before_or_goes_on_after_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "march.musicxml"
    begun = '<notations><slur type="start" number="1"/></notations>'
    ended = begun.replace("start", "stop")
    long = [note(step, 5, 2, "eighth") for step in "FGABFGABFGABFGAB"]
    long[1], long[14] = note("G", 5, 2, "eighth", begun), note("A", 5, 2, "eighth", ended)
    bars = ["".join(long[k : k + 4]) for k in range(0, 16, 4)]
    music = score("".join(bar(str(k + 1), bars[k], "" if k else attributes()) for k in range(4)), FLUTE)
    path.write_text(music, "utf-8")
    # By hand: G of bar 1 to A of bar 4 are under one slur, so every note between them is without a stroke.
    assert [n.slurred for n in read_file(path, "1").passage.notes] == [False, False, True, True]
    assert [n.slurred for n in read_file(path, "2").passage.notes] == [False, True, True, True]
    assert [n.slurred for n in read_file(path, "4").passage.notes] == [False, True, True, False]
    path.write_text(music.replace(ended, ""), "utf-8")  # begun and never ended: it embraces nothing
    assert not any(n.slurred for n in read_file(path, "2").passage.notes)


def test_a_tie_over_the_end_leaves_nothing_to_land_on(tmp_path: Path) -> None:
    path = tmp_path / "march.abc"
    path.write_text("X:1\nM:2/4\nL:1/8\nK:C\ncdef-|fedc|\n", "utf-8")
    assert read_file(path, "1").passage.landing is None
    path.write_text("X:1\nM:2/4\nL:1/8\nK:C\ncdef|fedc|\n", "utf-8")
    assert str(read_file(path, "1").passage.landing) == "F5"


def test_tablature_without_pitches_is_refused_with_its_bar(tmp_path: Path) -> None:
    path = tmp_path / "march.musicxml"
    bare = "<note><duration>4</duration><type>quarter</type></note>"
    path.write_text(score(bar("1", bare * 2, attributes()), FLUTE), "utf-8")
    with pytest.raises(RequestError, match="bar 1 has notes without a pitch"):
        read_file(path)
