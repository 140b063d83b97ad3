"""A few of the assorted pages, printed as pictures: none is emptier than the whole run allows."""

import importlib.util
import random
import sys
from itertools import islice
from pathlib import Path
from types import ModuleType

import pytest

from tests.fixtures.command import run_here

PAGE_FILL = Path(__file__).parents[1] / "exhaustive" / "page_fill.py"
DPI = 110  # of the pictures that LilyPond makes
SHEETS = (
    ("all keys, major in thirds", "-i", "flute", "--print", "large"),
    (
        "whole-tone on C, usual articulations",
        "all flat keys, harmonic minor",
        "-i",
        "trumpet",
        "--paper",
        "a4",
    ),
    (
        "long tones on G",
        "all keys, major",
        "all keys, harmonic minor",
        "-i",
        "alto saxophone",
        "--print",
        "small",
    ),
)


@pytest.fixture(scope="module")
def page_fill() -> ModuleType:
    spec = importlib.util.spec_from_file_location("exhaustive_page_fill", PAGE_FILL)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.lilypond
@pytest.mark.parametrize("words", SHEETS, ids=lambda words: words[-1])
def test_no_page_but_the_last_is_empty_at_its_foot(
    page_fill: ModuleType, words: tuple[str, ...], tmp_path: Path
) -> None:
    said = run_here(
        "sheet", *words, "-f", "png", "--no-cache", "--home", str(tmp_path / "home"), folder=tmp_path
    )
    seen = [page_fill.seen(tmp_path / path, DPI) for path in said.succeeds()]
    assert len(seen) > 1
    assert all(foot <= page_fill.EMPTIEST for foot, _ in seen[:-1])
    assert all(hole < page_fill.WIDEST_HOLE for _, hole in seen)


def test_the_measure_finds_what_is_empty(page_fill: ModuleType, tmp_path: Path) -> None:
    from PIL import Image, ImageDraw

    # A page of 279 mm: lines at 20, 30, 80 and 150 mm, the footer at 265 mm.
    page = Image.new("L", (800, 1207), 255)
    for line in (20, 30, 80, 150, 265):
        ImageDraw.Draw(page).line((100, line * DPI / 25.4, 700, line * DPI / 25.4), fill=0)
    page.save(tmp_path / "page.png")
    foot, hole = page_fill.seen(tmp_path / "page.png", DPI)
    assert foot == pytest.approx(115 / 279, abs=0.01)
    assert hole == pytest.approx(70, abs=0.5)


def test_commands_are_the_same_for_the_same_seed(page_fill: ModuleType) -> None:
    one, two = (list(islice(page_fill.commands(random.Random(3)), 20)) for _ in range(2))
    assert one == two
    assert {words[0] for words in one} == {"sheet", "today", "handout"}
