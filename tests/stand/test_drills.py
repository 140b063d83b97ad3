"""A passage of one's own on the stand page: in today's sheet, looked at recipe by recipe, kept and dropped."""

import base64
from pathlib import Path
from typing import Any

import pytest

from generator.passage.store import Passages
from generator.practice.player_session import PlayerOptions
from generator.publish.screen import ScreenPress
from tests.fixtures.browser import PHONE, Stand, Visit
from tests.fixtures.command import run_here
from tests.fixtures.knocking import Answer, StandHere

ROOM = {"w": 390, "h": 430}
UID = "file-0001"
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


def send(stand: StandHere, name: str, data: bytes, piece: int = 11_000, uid: str = UID) -> Answer:
    """A file in pieces, as the page sends it; the last answer."""
    pieces = [data[at : at + piece] for at in range(0, len(data), piece)]
    answers = [
        stand.post(
            "/api/sent-file",
            {"uid": uid, "name": name, "at": at, "of": len(pieces), "data": base64.b64encode(one).decode()},
        )
        for at, one in enumerate(pieces)
    ]
    return answers[-1]


def score(parts: int, bars: int) -> bytes:
    """A MusicXML score of quarter notes, a part for each player (MusicXML 4.0, score-partwise)."""
    names = "".join(
        f'<score-part id="P{n}"><part-name>Voice {n}</part-name></score-part>' for n in range(1, parts + 1)
    )
    note = "<note><pitch><step>{}</step><octave>5</octave></pitch><duration>1</duration><type>quarter</type></note>"
    start = (
        "<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
        "<beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
    )
    music = "".join(
        f'<measure number="{bar}">{start if bar == 1 else ""}{"".join(map(note.format, "CDEF"))}</measure>'
        for bar in range(1, bars + 1)
    )
    whole = "".join(f'<part id="P{n}">{music}</part>' for n in range(1, parts + 1))
    return (
        f'<?xml version="1.0"?><score-partwise version="4.0"><part-list>{names}</part-list>{whole}'
        "</score-partwise>"
    ).encode()


def drills(stand: StandHere, **asked: Any) -> list[Any]:
    """Every recipe of a passage, as the page asks for them."""
    first = stand.post("/api/drill", {**asked, **ROOM}).data
    return [
        first,
        *(stand.post("/api/drill", {**asked, **ROOM, "at": at}).data for at in range(1, first["count"])),
    ]


@pytest.mark.lilypond
def test_a_typed_line_is_seen_recipe_by_recipe_and_writes_nothing(stand: StandHere) -> None:
    seen = drills(stand, notes=LINE, goal=96)
    assert [one["recipes"][one["at"]]["recipe"] for one in seen] == [
        "passage", "chunks", "add a note", "rhythms", "articulations", "skeleton", "all keys",
    ]  # fmt: skip
    assert all(one["pictures"] and one["bars"] for one in seen)
    assert {(one["place"], one["goal"], one["unit"], one["kept"]) for one in seen} == {
        ("bars 1–2", 96, "1/4", False)
    }
    assert seen[1]["beneath"][0] == ["Join them", "From 1, stop on the first note of:|2|3|end"]
    assert "F major" in seen[0]["scales"][0]
    assert not (stand.home / "passages").exists()


@pytest.mark.lilypond
def test_a_file_comes_in_pieces_and_its_part_and_bars_are_chosen(stand: StandHere) -> None:
    data = score(2, 70)
    assert len(data) > 50_000
    assert send(stand, "../../etc/back page.musicxml", data).data == {"file": UID, "whole": True}
    asked = {"file": UID, **ROOM}
    refused = stand.post("/api/drill", asked)
    assert (refused.status, refused.data["error"]["parts"]) == (422, ["Voice 1", "Voice 2"])
    long = stand.post("/api/drill", {**asked, "part": "2"})
    assert long.status == 422
    assert "--" not in long.data["error"]["message"]
    seen = stand.post("/api/drill", {**asked, "part": "2", "bars": "5-6", "hard": "6.2"}).data
    assert (seen["place"], seen["hard"], seen["heading"]) == ("bars 5–6", "6.2", "The passage")
    kept = stand.post(
        "/api/passage", {**asked, "part": "2", "bars": "5-6", "hard": "6.2", "keep": "back page"}
    )
    assert kept.data["phrase"] == "drill back page"
    assert [one["name"] for one in stand.get("/api/passages").data["passages"]] == ["back page"]
    assert [path.name for path in (stand.home / "passages").iterdir()] == ["back-page.abc"]


def test_what_is_no_file_of_music_or_too_large_is_refused_in_one_line(stand: StandHere) -> None:
    send(stand, "lesson.docx", b"PK")
    for asked, words in (
        ({"file": UID}, "lesson.docx"),
        ({"file": "never-sent"}, "choose it again"),
        ({"notes": "[K:F] what?"}, "bar"),
        ({}, "notes"),
        ({"name": "gigue"}, "there is no passage called gigue"),
        ({"notes": LINE, "hard": "9.1"}, "hard spot"),
    ):
        answer = stand.post("/api/drill", {**asked, **ROOM})
        assert answer.status in (404, 422), asked
        assert words in answer.data["error"]["message"], answer.data
        assert "\n" not in answer.data["error"]["message"]
    piece = base64.b64encode(b"x" * 11_000).decode()
    for body, words in (
        ({"uid": UID, "name": "a.mid", "at": 1, "of": 3, "data": piece}, "missing"),
        ({"uid": UID, "name": "a.mid", "at": 0, "of": 3, "data": "?"}, "base64"),
        ({"uid": UID, "name": "a.mid", "at": 0, "of": 10_000, "data": piece}, "8 MB"),
        ({"uid": UID, "name": "a.mid", "at": 3, "of": 3, "data": piece}, "at"),
    ):
        answer = stand.post("/api/sent-file", body)
        assert answer.status == 422
        assert words in answer.data["error"]["message"]
    assert not (stand.home / "passages").exists()


def test_a_kept_passage_gets_another_goal_and_goes(stand: StandHere) -> None:
    stand.post("/api/passage", {"notes": LINE, "keep": "Gigue, from memory"})
    assert not (stand.home / "passages").exists(), "a comma parts a phrase"
    stand.post("/api/passage", {"notes": LINE, "keep": "gigue", "source": "Harbour Street, back page"})
    stand.post("/api/passage", {"name": "gigue", "keep": "gigue", "goal": 108, "hard": "2.1"})
    (told,) = stand.get("/api/passages").data["passages"]
    assert (told["goal"], told["hard"], told["source"]) == (108, "2.1", "Harbour Street, back page")
    assert Passages(stand.home / "passages").find("gigue").scales
    assert stand.post("/api/passage", {"drop": "gigue"}).data == {"dropped": "gigue", "passages": []}
    assert stand.post("/api/passage", {"drop": "gigue"}).status == 422


@pytest.mark.lilypond
def test_the_page_of_every_recipe_is_made_as_a_pdf(stand: StandHere) -> None:
    job = stand.post("/api/drill-sheet", {"notes": LINE, "goal": 96}).data["job"]
    while (told := stand.get(f"/api/job/{job}").data)["state"] == "working":
        pass
    (file,) = told["files"]
    assert file["name"].endswith(".pdf")
    assert stand.get(f"/api/file/{job}/{file['name']}").body.startswith(b"%PDF")


@pytest.mark.browser
@pytest.mark.lilypond
def test_a_player_types_a_line_puts_it_up_keeps_it_and_plans_it(own_stand: Stand, visit: Visit) -> None:
    page = visit(own_stand, PHONE).page
    page.get_by_role("link", name="Drill").click()
    page.get_by_label("Notes, in letters").fill("")
    page.get_by_label("Notes, in letters").type("[K:G][M:2/4][L:1/16] GABc dedc", delay=2)
    page.get_by_alt_text("Music: Chunks: each stops").wait_for()
    page.get_by_role("heading", name="Its scales").wait_for()
    page.get_by_role("article").nth(1).get_by_role("button", name="Put on the stand").click()
    page.get_by_role("heading", name="Chunks: each stops", level=1).wait_for()
    assert page.locator(".felt").count() == 0, "it is on no sheet, so it is not noted"
    page.get_by_role("button", name="Back").click()
    page.get_by_label("Goal tempo").fill("92")
    page.get_by_label("Goal tempo").blur()
    page.get_by_label("Keep it under the name").fill("scale run")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_text("Kept as scale run.").wait_for()
    page.get_by_role("button", name="Add it to my plan").click()
    page.get_by_text("In the plan: everything comes round").wait_for()
    assert Passages(own_stand.home / "passages").find("scale run").goal is not None
    assert 'phrase = "drill scale run"' in (own_stand.home / "plan.toml").read_text("utf-8")
    page.get_by_role("button", name="Drop it").click()
    page.get_by_role("button", name="Drop it for good").click()
    page.get_by_text("Dropped scale run.").wait_for()
    assert [*(own_stand.home / "passages").glob("*.abc")] == []


@pytest.mark.browser
@pytest.mark.lilypond
def test_a_player_chooses_a_file_its_part_and_its_bars(own_stand: Stand, visit: Visit) -> None:
    page = visit(own_stand, PHONE).page
    page.get_by_role("link", name="Drill").click()
    page.locator("#music-file").set_input_files(
        {"name": "suite.musicxml", "mimeType": "application/xml", "buffer": score(3, 40)}
    )
    page.get_by_role("combobox").nth(1).select_option("Voice 3")
    page.get_by_text("bars 1–40").wait_for()
    page.get_by_label("Bars, like 97-99").fill("7")
    page.get_by_label("Bars, like 97-99").blur()
    page.get_by_text("bar 7 ·").wait_for()
    page.get_by_role("heading", name="Skeleton").wait_for()
    assert page.get_by_label("Keep it under the name").input_value() == "suite"
