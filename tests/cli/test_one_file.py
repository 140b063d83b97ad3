"""``today --format html``: the day's sheet as one page for any device, noted like any other print."""

import re
from pathlib import Path

from tests.fixtures.command import loaded_by, run_here

SERVER = {"starlette", "uvicorn", "segno", "anyio", "tomlkit", "generator.stand.server"}


def test_the_sheet_comes_as_one_page_that_asks_nobody(tmp_path: Path) -> None:
    words = ("today", "-i", "flute", "--level", "first notes", "--home", str(tmp_path), "-o", str(tmp_path))
    (path,) = map(Path, run_here(*words, "--format", "html", "-q").succeeds())
    assert re.fullmatch(r"todays-sheet-flute-[0-9a-z]{4}\.html", path.name)
    text = path.read_text("utf-8")
    assert len(text) <= 400_000
    # Whatever a browser would fetch is written in one of these ways (HTML Living Standard, CSS Images).
    names = "http://www.w3.org/"
    assert not re.search(r"""(?:src|href)\s*=\s*["']?(?!data:|#|blob:)[\w/.]""", text.split("<script")[0])
    assert {m for m in re.findall(r"https?://[\w.]+/", text) if not m.startswith(names)} == set()
    assert "default-src 'none'" in text
    assert str(tmp_path) not in text
    again = run_here(*words, "--format", "html,pdf", "-q").succeeds()
    assert [Path(one).suffix for one in again] == [".pdf", ".html"]
    assert Path(again[1]).read_text("utf-8") == text


def test_a_page_shows_one_day_with_its_notes(tmp_path: Path) -> None:
    words = ("today", "-i", "flute", "--format", "html", "--home", str(tmp_path))
    run_here(*words, "--days", "2").fails(2, "--days")
    run_here(*words, "--show", "outline").fails(2, "--show")


def test_no_command_but_the_stand_waits_for_the_server(tmp_path: Path) -> None:
    words = ("today", "-i", "flute", "--home", str(tmp_path), "-o", str(tmp_path), "--level", "first notes")
    loaded = {name.split(".")[0] if "." not in name else name for name in loaded_by(*words, folder=tmp_path)}
    assert loaded.isdisjoint(SERVER)
    assert not any(name.startswith("generator.stand") for name in loaded)
    loaded = loaded_by("sheet", "G major, one octave", "-i", "flute", "-o", str(tmp_path), folder=tmp_path)
    assert loaded.isdisjoint(SERVER)
    assert not any(name.startswith("generator.stand") for name in loaded)
