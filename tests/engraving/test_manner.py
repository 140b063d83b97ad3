"""Readers' pages through LilyPond: whatever can be asked for engraves without a complaint, and is seen."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from generator.catalogue.players import player_named
from generator.engraving import lilypond
from generator.engraving.include import house_style
from generator.engraving.render import render
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.reader import ReaderNeeds
from generator.pages.sheet import Words, lay_out
from generator.phrase import expand
from tests.fixtures.command import run_here

pytestmark = pytest.mark.lilypond
PHRASES = (
    "F-sharp major in thirds, two octaves",
    "G major, triplets, slur two tongue one",
    "long tones on G",
)
KNOBS = {
    "lines": ReaderNeeds(lines=2.5),
    "landscape": ReaderNeeds(landscape=True),
    "letters": ReaderNeeds(letters="plain"),
    "names in": ReaderNeeds(names="in"),
    "names under": ReaderNeeds(names="under"),
    "tint": ReaderNeeds(tint="peach"),
    "all": ReaderNeeds(30, True, 1.5, "plain", 2, 1.4, "under", "green", True),
}


def pictures(reader: ReaderNeeds) -> list[np.ndarray]:
    made = expand.exercises(PHRASES, player_named("flute")).exercises
    sheet = lay_out(
        made, Words("Sheet", "Flute", subtitle="S", footer="F"), Paper.of("letter", "normal", reader)
    )
    files = {lilypond.MAIN: render(sheet, data_folder("templates")), **house_style(data_folder("templates"))}
    done = lilypond.engrave(files, formats=("png",))
    assert not done.warnings
    assert not done.overfull
    names = sorted(name for name in done.files if name.endswith(".png"))
    assert len(names) == sheet.pages
    return [np.asarray(Image.open(BytesIO(done.files[name])).convert("RGB")) for name in names]


@pytest.fixture(scope="module")
def usual() -> np.ndarray:
    return pictures(ReaderNeeds())[0]


@pytest.mark.parametrize("name", KNOBS)
def test_each_thing_is_engraved_and_seen(name: str, usual: np.ndarray) -> None:
    (page, *_) = pictures(KNOBS[name])
    assert page.shape != usual.shape or (page != usual).any()


def test_lines_are_thicker_and_nothing_else_moves(usual: np.ndarray) -> None:
    (thick,) = pictures(KNOBS["lines"])
    ink, more = (usual < 128).mean(), (thick < 128).mean()
    assert more > 1.3 * ink


def test_the_paper_is_tinted_to_its_edges_and_the_notes_stay_black(tmp_path: Path) -> None:
    plan = '[reader]\ntint = "peach"\n[[keep]]\nphrase = "all keys, major"\n'
    (tmp_path / "plan.toml").write_text(plan)
    words = ("sheet", "G major", "-i", "flute", "-f", "png", "--no-cache", "--home", str(tmp_path / "home"))
    (path,) = run_here(*words, folder=tmp_path).succeeds()
    page = np.asarray(Image.open(tmp_path / path).convert("RGB"))
    assert {tuple(page[y, x]) for y in (1, -2) for x in (1, -2)} == {(255, 232, 214)}
    assert (page.max(axis=2) < 40).any()


def test_paper_on_its_long_side_is_wider_than_high(usual: np.ndarray) -> None:
    (page,) = pictures(replace(KNOBS["landscape"], staff=14.0))
    assert page.shape[:2] == usual.shape[1::-1]
