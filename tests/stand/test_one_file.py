"""The day's sheet as one file: its modules laid end to end, in a browser without any server."""

import re
from pathlib import Path
from typing import Any

import pytest
import segno

from generator.practice_log import Kind, PracticeLog
from generator.stand.one_file import HERE, MODULES
from tests.fixtures.browser import FELT, PHONE, Stand, Visit
from tests.fixtures.command import run_here

TOP = re.compile(r"^(?:export )?(?:async )?(?:const|let|class|function)\*? +(\{[^}]*\}|\w+)", re.MULTILINE)


def test_modules_that_are_laid_end_to_end_share_no_name() -> None:
    names = [name for module in MODULES for name in TOP.findall((HERE / module).read_text("utf-8"))]
    assert len(names) > 60
    assert sorted({name for name in names if names.count(name) > 1}) == []


def test_modules_import_by_plain_names_from_those_before_them() -> None:
    for place, module in enumerate(MODULES):
        text = (HERE / module).read_text("utf-8")
        for names, source in re.findall(
            r'^import (.*?) from "[./]*(?:page/)?(\w+\.js)";$', text, re.MULTILINE
        ):
            assert re.fullmatch(r"\{ [\w, ]+ \}", names), f"{module}: {names}"
            assert source in [one.partition("/")[2] for one in MODULES[:place]], f"{module} before {source}"


@pytest.fixture
def one_file(tmp_path: Path) -> Path:
    words = ("today", "--format", "html", "-i", "alto saxophone", "--home", str(tmp_path / "home"))
    said = run_here(*words, "--out", str(tmp_path / "out"), folder=tmp_path)
    return Path(said.succeeds()[-1])


@pytest.mark.browser
@pytest.mark.lilypond
def test_the_file_is_played_through_and_what_was_tapped_comes_home(
    one_file: Path, visit: Visit, tmp_path: Path
) -> None:
    assert one_file.stat().st_size <= 400_000
    stand = Stand(tmp_path / "home", at=one_file.as_uri())
    seen = visit(stand, PHONE)
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    tapped = []
    for turn in range(3):
        number = int(seen.heading().split(".")[0])
        tempo = page.locator(".tempi button").first
        tempo.click()
        page.get_by_role("button", name="Click").click()
        assert page.get_by_role("button", name="Click").get_attribute("aria-pressed") == "true"
        before = page.evaluate("location.hash")
        page.get_by_role("group", name="Played. It felt").get_by_role("button", name=FELT[turn]).click()
        tapped.append((number, FELT[turn]))
        page.wait_for_function("before => location.hash !== before", arg=before)
    page.reload()
    page.wait_for_selector("h1")
    page.evaluate("location.hash = 'today'")
    line = page.get_by_label("What was noted, as text").input_value()
    assert re.fullmatch(r"[A-Z0-9]{4} \d{8}( \d+\.[1-4](\.\d+)?){3} \+\w{3}", line)
    home = str(tmp_path / "home")
    run_here("played", "--from", line, "--home", home, folder=tmp_path).succeeds()
    run_here("played", "--from", line, "--home", home, folder=tmp_path).succeeds()
    with PracticeLog.open(tmp_path / "home" / "log.sqlite") as log:
        plays = [*log.entries(kinds=(Kind.PLAY,))]
    assert sorted((int(e.uid.split(" ")[2]), FELT[(e.rating or 3) - 1]) for e in plays) == sorted(tapped)
    assert all(e.tempo for e in plays)


CODES = """async ([text, lines]) => {
  const { qr } = await import(URL.createObjectURL(new Blob([text], { type: "text/javascript" })));
  const drawn = (line, mask) => qr(line, mask).map((row) => row.join("")).join("\\n");
  return lines.map((line) => [0, 1, 2, 3, 4, 5, 6, 7].map((mask) => drawn(line, mask)));
}"""


@pytest.mark.browser
def test_the_code_is_the_one_that_segno_draws(browser: Any) -> None:
    # Where the text ends with a whole byte, segno 1.6 adds an empty one (ISO/IEC 18004, 7.4.10, asks for none); such
    # lengths are left out here.
    lines = [
        " ".join(["QH9Q 20270307"] + [f"{n}.{n % 4 + 1}.{60 + n}" for n in range(1, k)]) for k in (2, 4, 10)
    ]
    lines += [" ".join(["QH9Q 20270307"] + [f"{n}.4" for n in range(1, k)]) for k in (6, 16, 27)]
    page = browser.new_page()
    drawn = page.evaluate(CODES, [(HERE / "one" / "qr.js").read_text("utf-8"), lines])
    page.close()
    for line, masks in zip(lines, drawn, strict=True):
        for mask, code in enumerate(masks):
            wanted = segno.make_qr(line, error="l", boost_error=False, mode="alphanumeric", mask=mask)
            rows = ["".join("1" if dark else "0" for dark in row) for row in wanted.matrix]
            assert code.split("\n") == rows, (line, mask)
