"""A passage of one's own on the stand page: in today's sheet, looked at recipe by recipe, kept and dropped."""

from pathlib import Path

import pytest

from generator.practice.player_session import PlayerOptions
from generator.publish.screen import ScreenPress
from tests.fixtures.browser import PHONE, Stand, Visit
from tests.fixtures.command import run_here
from tests.fixtures.knocking import StandHere

LINE = "[K:F][M:2/4][L:1/16] fgab c'bag | fedc F4"


def _planned(home: Path) -> None:
    """A plan that keeps one passage and one scale."""
    home.mkdir(parents=True, exist_ok=True)
    run_here("passage", "keep", "gigue", "--notes", LINE, "-i", "flute", "--home", str(home)).succeeds()
    (home / "plan.toml").write_text(
        'phrases = 2\ninstrument = "flute"\nminutes = 20\n[[keep]]\nphrase = "drill gigue, chunks"\n'
        '[[keep]]\nphrase = "F major, one octave"\n',
        "utf-8",
    )


@pytest.mark.lilypond
def test_a_passage_of_todays_sheet_has_its_drill_with_it(tmp_path: Path, screen_press: ScreenPress) -> None:
    _planned(tmp_path)
    stand = StandHere(tmp_path, screen_press, asked=PlayerOptions())
    items = stand.get("/api/today?w=390&h=430").data["items"]
    (item,) = [one for one in items if not one["rest"] and one["heading"].startswith("Gigue")]
    (drill,) = item["more"]
    assert drill["heading"] == "Chunks: each stops on the first note of the next beat"
    assert item["pictures"]
    assert drill["pictures"]
    one = stand.get(f"/api/picture?number={item['number']}&w=390&h=430").data
    assert (one["pictures"], one["more"]) == (item["pictures"], [drill["pictures"]])
    assert all(not one["more"] for one in items if not one["rest"] and one["heading"].startswith("F major"))


@pytest.mark.browser
@pytest.mark.lilypond
def test_a_page_turn_leads_from_the_passage_to_its_chunks(own_stand: Stand, visit: Visit) -> None:
    own_stand.close()
    _planned(own_stand.home)
    own_stand.words = ()
    page = visit(own_stand.open(), PHONE).page
    page.get_by_role("button", name="Gigue").click()
    page.get_by_role("heading", name="Gigue, bars 1–2").wait_for()
    page.get_by_alt_text("Music: Gigue, bars 1–2").wait_for()
    page.keyboard.press("PageDown")
    page.get_by_role("heading", name="Chunks: each stops on the first note of the next beat").wait_for()
    page.get_by_alt_text("Music: Chunks: each stops on the first note of the next beat").wait_for()
    assert page.locator(".music").get_attribute("data-pages") == "page 2 of 2"
    page.keyboard.press("PageUp")
    page.get_by_role("heading", name="Gigue, bars 1–2").wait_for()
