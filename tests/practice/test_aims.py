"""Aims of the week: sheets lean towards them, the log says what was reached, the rest is carried over by itself."""

import datetime as dt
import json
from pathlib import Path

import pytest

from generator.cli import clock
from generator.documents.plan_edit import PlanChange, changed
from generator.practice.aims import AimPlay, carried_to, judged
from tests.fixtures.command import run_here

PLAN = """
instrument = "clarinet in B-flat"
minutes = 25
phrases = 2
[[keep]]
phrase = "all keys, major"
goal = 100
[[keep]]
phrase = "all keys, harmonic minor in thirds"
[[aim]]
phrase = "drill gigue"
tempo = 120
by = 2027-03-05
[[aim]]
phrase = "E-flat major"
tempo = 108
by = 2027-03-05
"""
GIGUE = "[K:F][M:4/4][L:1/16](d'c')ba (ba)g^f (gabag=fed) | (cd)e=f (fg)ag (cba_b) (bagf) | g16"
MONDAY = dt.date(2027, 3, 1)


@pytest.fixture(autouse=True)
def _in_a_folder_with_a_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEWRIGHT_HOME", str(tmp_path / "home"))
    Path("plan.toml").write_text(PLAN, "utf-8")
    run_here("passage", "keep", "gigue", "--notes", GIGUE, "-i", "clarinet", "--goal", "100").succeeds()


def day(number: int) -> str:
    return (MONDAY + dt.timedelta(days=number)).isoformat()


def sheet(number: int) -> list[dict[str, object]]:
    (path,) = run_here("today", "--date", day(number), "-f", "json").succeeds()
    found: list[dict[str, object]] = json.loads(Path(path).read_text("utf-8"))["exercises"]
    return found


def played(number: int, *said: str) -> None:
    run_here("played", "all", "--date", day(number), *said).succeeds()


def aims(number: int) -> list[str]:
    lines = run_here("progress", "--date", day(number)).succeeds()
    start = lines.index("Aims") + 1
    return [line.strip() for line in lines[start : lines.index("", start)]]


def test_an_aim_is_on_the_sheets_until_it_is_reached_and_says_why() -> None:
    for number in range(3):
        rows = sheet(number)
        gigue = next(row for row in rows if str(row["phrase"]).startswith("drill gigue"))
        flat = next(row for row in rows if str(row["phrase"]).startswith("E-flat major,"))
        assert (
            "108" in str(flat["phrase"]) or number == 0
        )  # its row of tempi leads to the aim, not to the plan's goal
        played(number, "--tempo", "96", "--felt", "3")
    assert "120" in str(gigue["phrase"])
    assert aims(2) == [
        "E-flat major at 108 by 5 March: last 96",
        "drill gigue at 120 by 5 March: last 96",
    ]
    sheet(3)
    played(3, "--tempo", "120", "--felt", "3")
    assert aims(3) == ["E-flat major at 108 reached on 4 March", "drill gigue at 120 reached on 4 March"]
    # A reached aim pulls no more: of the next three sheets at most one has it, as any scale of its row.
    later = [row["phrase"] for number in (4, 5, 6) for row in sheet(number)]
    assert sum(str(one).startswith("E-flat major,") for one in later) <= 1


def test_a_missed_aim_is_carried_over_week_by_week_and_said_so() -> None:
    sheet(0)
    played(0, "--tempo", "96", "--felt", "3")
    assert aims(4)[1] == "drill gigue at 120 by 5 March: last 96"
    assert aims(5)[1] == "drill gigue at 120 by 12 March, carried over from 5 March: last 96"
    assert aims(12)[1] == "drill gigue at 120 by 19 March, carried over from 5 March: last 96"
    assert any("carried over" in line for line in run_here("plan", "show", "--date", day(12)).succeeds())
    rows = sheet(13)
    assert any(str(row["phrase"]).startswith("drill gigue") for row in rows)


def test_the_phrase_may_say_tempo_and_dress_and_then_only_such_plays_count() -> None:
    text = PLAN.replace('phrase = "E-flat major"\ntempo = 108', 'phrase = "D major, triplets, quarter = 92"')
    Path("plan.toml").write_text(text, "utf-8")
    run_here("plan", "check").succeeds()
    rows = sheet(0)
    mine = [row for row in rows if str(row["phrase"]).startswith("D major, triplets")]
    assert len(mine) == 1
    played(0, "--tempo", "92", "--felt", "3")
    assert "D major, triplets at 92 reached on 1 March" in aims(0)
    # The same scale in the plan's own dress, faster still, was something else.
    Path("plan.toml").write_text(text.replace("triplets, ", "sixteenths, two octaves, "), "utf-8")
    assert any(
        line.startswith("D major, two octaves, sixteenths at 92 by 5 March: no tempo") for line in aims(1)
    )


def test_the_record_of_a_week_says_what_was_to_be_ready() -> None:
    from pypdf import PdfReader

    sheet(0)
    played(0, "--tempo", "120", "--felt", "2")
    paths = run_here("progress", "--record", "--since", day(0), "--date", day(6)).succeeds()
    text = " ".join(page.extract_text() for page in PdfReader(paths[0]).pages)
    assert "Aims" in text
    assert "Drill gigue at 120 by 12 March, carried over from 5 March: last 120" in text


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("by = 2027-03-05", "", "needs its day"),
        ("by = 2027-03-05", 'by = "soon"', "is no day of the calendar"),
        ("tempo = 120", "tempo = 900", "tempo"),
        ('"E-flat major"', '"E-flat mayor"', "not understood"),
        ('"E-flat major"', '"drill gigue"', "aims at the same as line"),
        ('"E-flat major"', '"all keys, all minors"', "at most 24"),
        ("tempo = 108", "tempo = 108\ngoal = 3", "goal"),
    ],
)
def test_a_mistake_is_told_with_its_line(old: str, new: str, told: str) -> None:
    Path("plan.toml").write_text(PLAN.replace(old, new, 1), "utf-8")
    run_here("plan", "check").fails(2, told)


def test_an_aim_that_is_reached_may_go() -> None:
    today = clock.today()
    Path("plan.toml").write_text(PLAN.replace("2027-03-05", today.isoformat()), "utf-8")
    run_here("today", "-f", "json").succeeds()
    run_here("played", "all", "--tempo", "120").succeeds()
    said = run_here("plan", "check")
    assert any("drill gigue at 120 was reached on" in line and "its row can go" in line for line in said.err)


def test_without_a_tempo_it_is_enough_that_it_feels_steady() -> None:
    plays = [AimPlay(MONDAY, 60, 2), AimPlay(MONDAY + dt.timedelta(days=1), 60, 3)]
    assert judged(plays[:1], None).reached is None
    assert judged(plays, None).reached == MONDAY + dt.timedelta(days=1)


@pytest.mark.parametrize(
    ("plays", "reached"),
    [
        ([(120, 3)], 0),
        ([(120, None)], 0),
        ([(120, 2)], None),
        ([(119, 4)], None),
        ([(120, 3), (80, 1)], 0),  # slow work takes nothing back
        ([(120, 3), (120, 1)], None),  # but at the tempo it was not there
        ([(120, 1), (126, 4)], 1),
        ([(None, 4)], None),
    ],
)
def test_reached_is_at_the_tempo_and_not_shaky(
    plays: list[tuple[int | None, int | None]], reached: int | None
) -> None:
    days = [MONDAY + dt.timedelta(days=n) for n in range(len(plays))]
    found = judged([AimPlay(d, tempo, felt) for d, (tempo, felt) in zip(days, plays, strict=True)], 120)
    assert found.reached == (None if reached is None else days[reached])


def test_weeks_are_counted_from_the_day_it_was_wanted_by() -> None:
    by = dt.date(2027, 3, 5)
    assert [carried_to(by, by + dt.timedelta(days=n))[1] for n in (-3, 0, 1, 7, 8)] == [0, 0, 1, 1, 2]
    assert carried_to(dt.date.max, dt.date.max) == (dt.date.max, 0)


def test_an_aim_for_another_instrument_is_not_there() -> None:
    text = PLAN.replace('instrument = "clarinet in B-flat"\n', "")
    text = text.replace("tempo = 120", 'tempo = 120\nonly = ["clarinets"]')
    Path("plan.toml").write_text(text, "utf-8")
    told = run_here("plan", "show", "-i", "flute").succeeds()
    assert [line for line in told if "aim:" in line] == [
        "  aim: E-flat major at 108 by 5 March: no tempo noted yet"
    ]
    assert sum("aim:" in line for line in run_here("plan", "show", "-i", "clarinet").succeeds()) == 2


def test_a_row_that_counts_other_notes_keeps_its_own_goal() -> None:
    text = PLAN.replace('"all keys, major"\ngoal = 100', '"all keys, major, half = 40 to 50"')
    Path("plan.toml").write_text(text, "utf-8")
    rows = sheet(0)
    flat = next(row for row in rows if str(row["phrase"]).startswith("E-flat major,"))
    assert "half = 40 to 50" in str(flat["phrase"])


def test_an_aim_is_changed_as_a_person_would_change_it() -> None:
    text = (
        "# mine\n[[keep]]\nphrase = 'C major'\n\n[[aim]]\nphrase = 'C major'\ntempo = 90\nby = 2027-03-05\n"
    )
    new = changed(text, [PlanChange({"tempo": 96, "by": "2027-03-12"}, "aim", line=5)])
    assert new == text.replace("90", "96").replace("03-05", "03-12")
    more = changed(text, [PlanChange({"phrase": "drill run", "by": "2027-03-12"}, "aim")])
    assert more.startswith(text)
    assert 'phrase = "drill run"\nby = 2027-03-12' in more
    assert changed(text, [PlanChange(None, "aim", number=0)]) == "# mine\n[[keep]]\nphrase = 'C major'\n\n"
