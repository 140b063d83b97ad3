"""Every address of the stand page: what it answers, what it writes and what it leaves alone."""

import datetime as dt
import io
import re
import threading
import time
import zipfile
from pathlib import Path
from typing import Any

import pytest

from generator.practice_log import Entry, Kind, PracticeLog
from generator.publish.screen import ScreenPress, height_of
from tests.fixtures.command import run_here
from tests.fixtures.hostile_text import PIECES
from tests.fixtures.knocking import Answer, StandHere

TODAY = "/api/today?w=390&h=430"
ROOM = {"w": 390, "h": 430}


def entries(stand: StandHere) -> list[Entry]:
    if not stand.log.exists():
        return []
    with PracticeLog.open(stand.log) as log:
        return log.as_saved()


def plays(stand: StandHere) -> list[tuple[str, int, int | None]]:
    """Number, rating and tempo of what counts."""
    if not stand.log.exists():
        return []
    with PracticeLog.open(stand.log) as log:
        return [(e.uid.split(" ")[2], e.rating or 0, e.tempo) for e in log.entries(kinds=(Kind.PLAY,))]


def tap(stand: StandHere, code: str, number: int = 1, uid: str = "tap-00000001", **more: Any) -> Answer:
    return stand.post("/api/played", {"sheet": code, "number": number, "felt": "steady", "uid": uid, **more})


def test_looking_at_today_writes_nothing_and_beginning_it_writes_the_sheet_that_was_seen(
    stand: StandHere,
) -> None:
    seen = stand.get(TODAY).data
    assert seen["sheet"] is None
    assert not stand.log.exists()
    for path in ("/api/start", "/api/progress", "/api/plan", "/api/day?day=2027-03-07", "/api/sections"):
        assert stand.get(path).status == 200
    assert not stand.log.exists()
    begun = stand.post("/api/start-today", {})
    assert begun.data == {"sheet": seen["code"]}
    before = entries(stand)
    assert [e.sheet for e in before if e.kind is Kind.SHEET] == [seen["code"]]
    again = stand.get(TODAY).data
    assert again["sheet"] == seen["code"]
    assert again["items"] == seen["items"]
    stand.post("/api/start-today", {})
    assert entries(stand) == before


def test_the_page_and_the_command_line_have_one_sheet(stand: StandHere, tmp_path: Path) -> None:
    seen = stand.get("/api/today?pictures=0").data
    words = ("today", "-i", "flute", "--level", "first notes", "--home", str(stand.home), "-o", str(tmp_path))
    said = run_here(*words, "-f", "json", now=stand.clock)
    said.succeeds()
    assert f"sheet {seen['code']}:" in said.words
    headings = [item["heading"] for item in seen["items"] if not item["rest"]]
    told = [found[1] for line in said.err if (found := re.match(r"\d+\. ([^:]+):", line))]
    assert told == [one.replace("♯", "-sharp").replace("♭", "-flat") for one in headings]


def test_a_sheet_tells_all_that_is_needed_to_play_it(stand: StandHere) -> None:
    told = stand.get(TODAY).data
    rows = [item for item in told["items"] if not item["rest"]]
    assert [row["number"] for row in rows] == list(range(1, len(rows) + 1))
    for row in rows:
        assert sum(map(sum, row["bars"])) == pytest.approx(row["length"])
        assert len(row["speeds"]) == len(row["bars"])
        ends = [note["start"] + note["length"] for note in row["notes"]]
        assert 0 < max(ends) <= row["length"] + 1e-6
        assert all(0 < note["midi"] < 128 for note in row["notes"])
        assert row["tempo"]["unit"] in ("1/4", "3/8", "1/8", "1/2")
        assert all(height_of(picture, 390) <= 430 for picture in row["pictures"])
        assert row["done"] is None
    # Minutes and seconds of rest are told by the sheet as the page prints it.
    assert told["minutes"] >= sum(row["minutes"] for row in rows)
    one = stand.get("/api/picture?number=1&w=390&h=430").data
    assert one["pictures"] == rows[0]["pictures"]


def test_a_tap_is_noted_once_however_often_it_comes(stand: StandHere, screen_press: ScreenPress) -> None:
    code = stand.get("/api/today?pictures=0").data["code"]
    first = tap(stand, code, tempo=84)
    assert (first.status, first.data["noted"], first.data["again"]) == (200, True, False)
    others = [threading.Thread(target=tap, args=(stand, code), kwargs={"tempo": 84}) for _ in range(6)]
    for one in others:
        one.start()
    for one in others:
        one.join()
    assert plays(stand) == [("1", 3, 84)]
    # The server was killed and is back.
    later = StandHere(stand.home, screen_press, clock=stand.clock)
    assert tap(later, code, tempo=84).data["again"] is True
    assert plays(stand) == [("1", 3, 84)]
    done = later.get("/api/today?pictures=0").data["items"][0]["done"]
    assert done == {"felt": "steady", "tempo": 84, "uid": "tap-00000001"}


def test_what_a_tap_replaced_counts_again_when_it_is_taken_back(stand: StandHere) -> None:
    code = stand.get("/api/today?pictures=0").data["code"]
    tap(stand, code, tempo=84)
    tap(stand, code, uid="tap-00000002", felt="lost", tempo=60)
    assert plays(stand) == [("1", 1, 60)]
    assert stand.post("/api/undo", {"uid": "tap-00000002"}).data == {"undone": True, "again": False}
    assert plays(stand) == [("1", 3, 84)]
    assert stand.post("/api/undo", {"uid": "tap-00000002"}).data == {"undone": True, "again": True}
    assert plays(stand) == [("1", 3, 84)]
    assert stand.post("/api/undo", {"uid": "tap-00000001"}).data["again"] is False
    assert plays(stand) == []
    # It comes once more, late: what was taken back stays so.
    assert tap(stand, code, tempo=84).data["again"] is True
    assert plays(stand) == []
    assert stand.post("/api/undo", {"uid": "tap-never"}).status == 422


def test_what_was_noted_on_the_command_line_is_seen_and_can_be_taken_back(stand: StandHere) -> None:
    code = stand.post("/api/start-today", {}).data["sheet"]
    run_here("played", "2", "--felt", "4", "--home", str(stand.home), now=stand.clock).succeeds()
    rows = [item for item in stand.get("/api/today?pictures=0").data["items"] if not item["rest"]]
    assert rows[1]["done"]["felt"] == "secure"
    assert stand.post("/api/undo", {"uid": rows[1]["done"]["uid"]}).status == 200
    assert plays(stand) == []
    tap(stand, code, 3)
    run_here("played", "--undo", "--home", str(stand.home), now=stand.clock).succeeds()
    assert plays(stand) == []


def test_a_tap_that_waited_over_midnight_keeps_its_day(stand: StandHere) -> None:
    code = stand.get("/api/today?pictures=0").data["code"]
    stand.clock.now += dt.timedelta(hours=14)
    assert tap(stand, code, day="2027-03-07").status == 200
    with PracticeLog.open(stand.log) as log:
        (play,) = log.entries(kinds=(Kind.PLAY,))
        (sheet,) = [e for e in log.as_saved() if e.kind is Kind.SHEET]
    assert (play.day, sheet.day) == (dt.date(2027, 3, 7), dt.date(2027, 3, 7))
    assert stand.get("/api/day?day=2027-03-07").data["sheets"][0]["done"]["1"]["felt"] == "steady"


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"sheet": "ZZZZ"}, 409),
        ({"number": 0}, 422),
        ({"number": 99}, 422),
        ({"felt": "easy"}, 422),
        ({"felt": 3}, 422),
        ({"tempo": 5}, 422),
        ({"tempo": True}, 422),
        ({"tempo": "x" * 50}, 422),
        ({"uid": "short"}, 422),
        ({"uid": "x" * 65}, 422),
        ({"uid": "no spaces here"}, 422),
        ({"uid": None}, 422),
        ({"day": "2027-03-09"}, 422),
        ({"day": "yesterday"}, 422),
    ],
)
def test_what_cannot_be_is_refused_in_a_line_and_nothing_is_noted(
    stand: StandHere, change: dict[str, object], status: int
) -> None:
    code = stand.post("/api/start-today", {}).data["sheet"]
    before = entries(stand)
    sent = {"sheet": code, "number": 1, "felt": "steady", "uid": "tap-00000001", **change}
    answer = stand.post("/api/played", sent)
    assert answer.status == status
    assert "\n" not in answer.data["error"]["message"]
    assert entries(stand) == before


def test_a_phrase_is_seen_as_it_is_typed(stand: StandHere) -> None:
    told = stand.post(
        "/api/preview", {"phrase": "concert B-flat major in thirds", "instrument": "alto sax", **ROOM}
    ).data
    # The alto saxophone sounds a major sixth below what it reads, so concert B-flat is its G.
    assert (told["heading"], told["concert"]) == ("G major in thirds", "concert B♭")
    assert told["concert_tonic_midi"] % 12 == 10
    assert told["svg"] == told["pictures"][0]
    assert told["svg"].lstrip().startswith("<?xml")
    several = stand.post("/api/preview", {"phrase": "C, G and D major", "at": 1, **ROOM}).data
    assert (several["count"], several["heading"]) == (3, "G major")
    assert not stand.log.exists()


def test_what_is_wrong_with_a_phrase_is_told_as_data(stand: StandHere) -> None:
    answer = stand.post("/api/preview", {"phrase": "G major in thrids", **ROOM})
    assert answer.status == 422
    error = answer.data["error"]
    assert {"message", "span", "expected", "suggestions"} <= set(error)
    assert "G major in thrids"[slice(*error["span"])] == "thrids"
    assert "G major in thirds" in error["suggestions"]
    one = next(one for one in error["replacements"] if one["phrase"] == "G major in thirds")
    assert ("G major in thrids"[slice(*one["span"])], one["text"]) == ("thrids", "thirds")


def test_places_count_as_the_page_counts_characters(stand: StandHere) -> None:
    phrase = "G major 𝄞𝄞 in thrids"
    error = stand.post("/api/preview", {"phrase": phrase, **ROOM}).data["error"]
    units = phrase.encode("utf-16-le")
    first, last = error["span"]
    assert 0 <= first <= last <= len(units) // 2
    assert units[2 * first : 2 * last].decode("utf-16-le") in phrase


@pytest.mark.parametrize(
    "text", [*PIECES, "", " ", "\0", "G major\nG minor", "A" * 2001, "\ud800", "G major, " * 200]
)
def test_a_strangers_text_harms_nothing(stand: StandHere, text: str) -> None:
    answer = stand.post("/api/preview", {"phrase": text, **ROOM})
    assert answer.status in (200, 422)
    if answer.status == 422:
        assert "\n" not in answer.data["error"]["message"]
    assert stand.post("/api/preview", {"phrase": "G major", **ROOM}).status == 200


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b"null", b'"x"', b"\xff", b"[" * 9000, b'{"w": 1e999}'])
def test_what_is_no_object_is_refused(stand: StandHere, body: bytes) -> None:
    assert stand.post("/api/preview", body).status == 422


@pytest.mark.parametrize("w", [None, 10, "wide", 390.5, -1, True, 10**9])
def test_no_window_is_like_that(stand: StandHere, w: object) -> None:
    assert stand.post("/api/preview", {"phrase": "G major", "w": w, "h": 400}).status == 422


PLAN = """\
# My own plan, with a word on everything.
instrument = "flute"
level = "first notes"
minutes = 20   # no more on weekdays

[[keep]]
phrase = "all keys, major"   # the old friends
goal = 96
"""


def test_a_change_of_the_plan_is_tried_first_and_keeps_the_comments(stand: StandHere) -> None:
    path = stand.home / "plan.toml"
    path.write_text(PLAN)
    plan = stand.get("/api/plan").data
    (row,) = plan["keep"]
    assert (row["line"], row["goal"], plan["fields"]["minutes"]) == (6, 96, 20)
    changes = [{"field": "minutes", "value": 40}, {"keep": 6, "set": {"goal": 108}}]
    tried = stand.post("/api/plan", {"changes": changes, "try": True, "base": plan["base"]}).data
    assert path.read_text() == PLAN
    assert sorted(one.name for one in stand.home.iterdir()) == ["plan.toml"]
    assert tried["before"] == plan["promise"]
    assert tried["promise"] != tried["before"]
    kept = stand.post("/api/plan", {"changes": changes, "base": plan["base"]}).data
    assert (kept["saved"], kept["promise"]) == (True, tried["promise"])
    assert path.read_text() == PLAN.replace("= 20", "= 40").replace("96", "108")
    late = stand.post("/api/plan", {"changes": changes, "base": plan["base"]})
    assert late.status == 409


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"field": "minutes", "value": 0}, "minutes"),
        ({"field": "colour", "value": "red"}, "unknown field 'colour'"),
        ({"keep": 6, "set": {"phrase": "all kees, major"}}, "all kees"),
        ({"keep": 5, "set": {"goal": 90}}, "line 5"),
        ({"remove": 6}, "keeps nothing alive"),
        ({"add": {}}, "needs its fields"),
        ({"add": {"phrase": "major \\include"}}, "phrase"),
    ],
)
def test_a_plan_with_mistakes_is_never_written(stand: StandHere, change: dict[str, object], why: str) -> None:
    path = stand.home / "plan.toml"
    path.write_text(PLAN)
    answer = stand.post("/api/plan", {"changes": [change]})
    assert answer.status == 422
    assert why in " ".join(answer.data["error"]["faults"])
    assert path.read_text() == PLAN


def test_without_a_plan_the_first_change_writes_one(stand: StandHere) -> None:
    plan = stand.get("/api/plan").data
    assert plan["path"] is None
    stand.post("/api/plan", {"changes": [{"field": "minutes", "value": 30}]})
    text = (stand.home / "plan.toml").read_text()
    assert "minutes = 30" in text
    assert text.startswith("# What you want to keep alive")
    assert stand.get("/api/start").data["plan"] == str(stand.home / "plan.toml")


def test_a_section_shows_its_chairs_and_one_chairs_music(stand: StandHere) -> None:
    names = [one["name"] for one in stand.get("/api/sections").data["sections"]]
    assert "harbour-street.toml" in names
    asked = {"section": "harbour-street.toml", "phrase": "concert B-flat major", "chair": 6, **ROOM}
    told = stand.post("/api/section", asked).data
    chairs = {one["name"]: one for one in told["chairs"]}
    # An E-flat clarinet reads a minor third below concert pitch, a B-flat clarinet a tone above.
    assert chairs["E-flat Clarinet"]["reads"] == ["G"]
    assert chairs["1st Clarinet"]["reads"] == ["C"]
    assert told["pictures"]
    assert told["heading"].startswith("G major")
    roster = {"text": "name,instrument\nAda Quill,tuba\nBen Lark,qqqq\n", "kind": "csv"}
    mistaken = stand.post("/api/section", roster).data
    assert [one["person"] for one in mistaken["chairs"]] == ["Ada Quill"]
    assert "line 3 (Ben Lark)" in mistaken["faults"][0]
    refused = stand.post("/api/handout", {**roster, "phrases": ["concert F major"]})
    assert refused.status == 422
    assert "Ben Lark" in refused.data["error"]["message"]
    broken = stand.post("/api/section", {"text": "[[chair]]\ninstrument = 'qqqq'\n", "kind": "toml"}).data
    assert broken["chairs"] == []
    assert "line 2" in broken["faults"][0]
    for name in ("../plan.toml", "/etc/passwd", "", "x" * 200):
        assert stand.post("/api/section", {"section": name}).status == 422


def test_a_rosters_doubtful_cells_are_mended_on_the_page_and_kept_as_a_section(stand: StandHere) -> None:
    roster = "Name;Inst.;Grade\nAnna Quay;Cl. 2;4\nBen Pier;Bass;8\nCleo Mole;Bass;9\nDan Dock;qqqq;3\n"
    asked: dict[str, Any] = {"text": roster, "kind": "csv", "phrase": "concert B-flat major"}
    bass, other = stand.post("/api/section", asked).data["questions"]
    assert (bass["said"], bass["field"]) == ("Bass", "instrument")
    assert [one["line"] for one in bass["lines"]] == [3, 4]
    assert "tuba" in bass["likely"]
    asked["answers"] = [{"field": "instrument", "said": "Bass", "means": "tuba"}]
    assert [one["said"] for one in stand.post("/api/section", asked).data["questions"]] == ["qqqq"]
    wrong = {**asked, "answers": [{"field": "instrument", "said": "qqqq", "means": "zzzz"}]}
    assert stand.post("/api/section", wrong).status == 422
    asked["answers"].append({"field": "instrument", "said": "qqqq", "means": "-"})
    told = stand.post("/api/section", asked).data
    assert (told["questions"], told["faults"]) == ([], [])
    assert [one["instrument"] for one in told["chairs"]] == ["clarinet in B-flat", "tuba", "tuba"]
    first = stand.post("/api/keep-section", asked).data
    again = stand.post("/api/keep-section", asked).data
    assert first["section"] != again["section"], "nothing is written over"
    kept = stand.post("/api/section", {"section": first["section"]}).data
    assert [one["person"] for one in kept["chairs"]] == ["Anna Quay", "Ben Pier", "Cleo Mole"]
    assert other["lines"] == [{"line": 5, "person": "Dan Dock"}]


def finished(stand: StandHere, job: str) -> dict[str, Any]:
    deadline = time.monotonic() + 60
    while (told := stand.get(f"/api/job/{job}").data)["state"] == "working":
        assert time.monotonic() < deadline
        time.sleep(0.05)
    return told


@pytest.mark.lilypond
def test_a_handout_is_made_and_fetched_file_by_file(stand: StandHere) -> None:
    asked = {"instruments": "flute, 2 clarinet, tuba", "phrases": ["concert F major, one octave"]}
    told = finished(stand, stand.post("/api/handout", asked).data["job"])
    assert (told["state"], told["error"], told["done"]) == ("done", None, told["of"])
    names = [one["name"] for one in told["files"]]
    assert names[0] == "everything.pdf"
    assert names[-1] == "everything.zip"
    part = stand.get("/api/file/work-1/" + next(name for name in names if "tuba" in name))
    assert part.body.startswith(b"%PDF-")
    assert "filename=" in part.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(stand.get("/api/file/work-1/everything.zip").body)) as archive:
        assert archive.namelist() == names[:-1]
    assert stand.get("/api/file/work-1/other.pdf").status == 404
    assert stand.get("/api/job/work-9").status == 404
    assert not stand.log.exists()
    assert not (stand.home / "out").exists()


@pytest.mark.lilypond
def test_work_can_be_given_up(stand: StandHere) -> None:
    asked = {"section": "harbour-street.toml", "phrases": ["usual band keys, major"]}
    job = stand.post("/api/handout", asked).data["job"]
    assert stand.post(f"/api/job/{job}/stop", {}).data["state"] == "stopped"
    assert finished(stand, job)["files"] == []
    sheet = finished(stand, stand.post("/api/sheet", {"phrases": ["G major"]}).data["job"])
    assert [one["kind"] for one in sheet["files"]] == ["pdf"]


def test_settings_are_kept_and_what_cannot_be_is_refused(stand: StandHere) -> None:
    assert stand.get("/api/settings").data["a4"] == 440
    assert (
        stand.post("/api/settings", {"a4": 442, "instrument": "tenor sax"}).data["instrument"]
        == "tenor saxophone"
    )
    for wrong in (
        {"a4": 300},
        {"a4": "442"},
        {"size": "huge"},
        {"instrument": "kazoo"},
        {"colour": 1},
        {"accent": 1},
    ):
        assert stand.post("/api/settings", wrong).status == 422
    told = stand.get("/api/settings").data
    assert (told["a4"], told["instrument"]) == (442, "tenor saxophone")
    (stand.home / "stand.json").write_text('{"a4": 1, "size": "large", "x": [[[')
    assert stand.get("/api/settings").data["a4"] == 440
    (stand.home / "stand.json").write_text('{"a4": 1, "size": "large", "x": 1}')
    assert stand.get("/api/settings").data == {
        "instrument": None, "level": None, "a4": 440, "accent": True, "size": "large",
    }  # fmt: skip


def test_progress_tells_what_was_played(stand: StandHere) -> None:
    code = stand.get("/api/today?pictures=0").data["code"]
    tap(stand, code, 1, felt="secure")
    told = stand.get("/api/progress").data
    played = [cell for cell in (*told["map"], *told["keyless"]) if cell["last"] == 0]
    assert [cell["felt"] for cell in played] == ["secure"]
    assert len(told["columns"]) == 12
    assert told["practised"] == 1


def test_names_are_those_of_the_catalogue(stand: StandHere) -> None:
    told = stand.get("/api/names").data
    assert "alto saxophone" in [one["name"] for one in told["instruments"]]
    assert [one["name"] for one in told["keys"]][:3] == ["C", "F", "B-flat"]
    assert told["felt"] == ["lost", "shaky", "steady", "secure"]
    offers = stand.post("/api/complete", {"phrase": "G major in thi"}).data["offers"]
    assert offers[0]["phrase"] == "G major in thirds"
