"""A passage of the player's own in the rotation: recipes in turn, a reprint that never changes."""

import datetime as dt
import json
from pathlib import Path

import pytest

from generator.passage.named import apart
from generator.passage.planned import as_request, visit
from generator.passage.store import Passages
from generator.phrase.write import canonical
from tests.fixtures.command import run_here

PLAN = """
instrument = "flute"
minutes = 20
[[keep]]
phrase = "drill gigue"
goal = 132
every = 1
[[keep]]
phrase = "drill run, chunks, all keys"
every = 1
minutes = 4
[[keep]]
phrase = "all keys, major"
goal = 96
"""
GIGUE = "[K:F][M:4/4][L:1/16](d'c')ba (ba)g^f (gabag=fed) | (cd)e=f (fg)ag (cba_b) (bagf) | g16"
RUN = "[K:G][M:3/4][L:1/16] GABc dedc BAGF | G12"
FIRST = dt.date(2027, 3, 1)


@pytest.fixture(autouse=True)
def _in_a_folder_with_a_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEWRIGHT_HOME", str(tmp_path / "home"))
    Path("plan.toml").write_text(PLAN, "utf-8")
    for name, notes in (("gigue", GIGUE), ("run", RUN)):
        run_here("passage", "keep", name, "--notes", notes, "-i", "flute", "--goal", "100").succeeds()


def day(number: int) -> str:
    return (FIRST + dt.timedelta(days=number)).isoformat()


def sheet(number: int) -> list[dict[str, object]]:
    (path,) = run_here("today", "--date", day(number), "-f", "json").succeeds()
    found: list[dict[str, object]] = json.loads(Path(path).read_text("utf-8"))["exercises"]
    return found


def test_every_visit_is_the_passage_and_the_next_recipe() -> None:
    met: list[str] = []
    keys: list[str] = []
    for number in range(16):
        rows = sheet(number)
        mine = [row for row in rows if str(row["phrase"]).startswith("drill gigue")]
        if mine:
            assert mine[0]["recipe"] == "passage"
            met.append(str(mine[0]["phrase"]).split(", ")[1])
        keys += [
            bar["label"]
            for row in rows
            if row.get("recipe") == "all keys" and str(row["phrase"]).startswith("drill run")
            for bar in row["bars"]  # type: ignore[attr-defined]
            if "label" in bar
        ]
        run_here("played", "all", "--felt", "3", "--tempo", "90", "--date", day(number)).succeeds()
    assert met[:7] == ["chunks", "join", "add a note", "rhythms", "articulations", "skeleton", "all keys"]
    # Two keys a visit, nearest first.
    assert keys[:4] == ["as written", "up a half step", "down a half step", "up a whole step"]


def test_the_tempo_comes_from_the_log_and_leads_to_the_goal() -> None:
    first = next(row for row in sheet(0) if str(row["phrase"]).startswith("drill gigue"))
    assert first["tempo"] == {"unit": "1/4", "bpm": 76}  # the mark below three fifths of the goal
    run_here("played", "all", "--felt", "4", "--tempo", "90", "--date", day(0)).succeeds()
    later = next(
        row for number in range(1, 4) for row in sheet(number) if str(row["phrase"]).startswith("drill gigue")
    )
    assert later["phrase"] == "drill gigue, join, quarter = 90 to 132"


def test_a_sheet_is_printed_again_as_it_was_when_the_passage_is_gone_or_another() -> None:
    before = sheet(0)
    run_here("passage", "keep", "gigue", "--notes", RUN, "-i", "flute").succeeds()
    assert sheet(0) == before
    run_here("passage", "drop", "gigue").succeeds()
    run_here("passage", "drop", "run").succeeds()
    assert sheet(0) == before


def test_a_passage_that_is_gone_is_told_before_a_new_sheet() -> None:
    run_here("passage", "drop", "gigue").succeeds()
    run_here("today", "--date", day(0), "-f", "json").fails(2, "no passage called gigue")


def test_a_plan_refuses_what_is_no_drill_with_its_line() -> None:
    Path("plan.toml").write_text(PLAN.replace("drill run, chunks", "drill run, chonks"), "utf-8")
    run_here("plan", "check").fails(2, "plan.toml, line 9", "nearest: chunks")


def test_no_two_passages_are_neighbours() -> None:
    names = [str(row["phrase"]) for row in sheet(0) if row.get("recipe") in (None, "passage")]
    drills = [place for place, name in enumerate(names) if name.startswith("drill ")]
    assert len(drills) == 2
    assert drills[1] - drills[0] > 1
    assert apart(["drill a", "drill b"]) == [0, 1]  # nothing stands between them


def test_the_kept_request_is_the_phrase() -> None:
    for phrase in ("drill gigue", "drill gigue, chunks, quarter = 60 to 90"):
        assert canonical(as_request(phrase)) == phrase


def test_a_recipe_that_makes_no_sense_gives_way_to_the_next() -> None:
    from generator.catalogue.players import player_named

    run_here(
        "passage", "keep", "slow", "--notes", "[K:C][M:4/4][L:1/4] c2 e d | c4", "-i", "flute"
    ).succeeds()
    made = visit(
        "drill slow, rhythms, skeleton", Passages(Path("home/passages")), player_named("flute"), 0, None, None
    )
    assert [one.recipe for one in made.follows] == ["skeleton"]
