"""A person who never types a command makes sheets, a section's parts and a plan on the page."""

import socket
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.fixtures.browser import PHONE, TABLET, Stand, Visit

pytestmark = [pytest.mark.browser, pytest.mark.lilypond]

SECTION = """
title = "Harbour Street low brass"
[[chair]]
name = "Horn"
instrument = "horn"
[[chair]]
name = "Tuba"
instrument = "tuba"
copies = 2
"""


def test_a_phrase_is_seen_while_it_is_typed_and_a_wrong_word_alone_is_replaced(
    common_stand: Stand, visit: Visit
) -> None:
    page = visit(common_stand, PHONE).page
    page.get_by_role("link", name="New").click()
    phrase = page.get_by_label("Say it as musicians do")
    phrase.fill("")
    phrase.type("E-flat melodic minor", delay=5)
    page.get_by_role("heading", name="E♭ melodic minor").wait_for()
    page.get_by_alt_text("Music: E♭ melodic minor").wait_for()
    phrase.fill("E-flat melodik minor, two octaves")
    page.locator(".typed mark").wait_for()
    assert page.locator(".typed mark").inner_text() == "melodik"
    assert page.get_by_alt_text("Music: E♭ melodic minor").count() == 1, (
        "the last music stays while one mends"
    )
    page.get_by_role("button", name="Instead: E-flat melodic minor, two octaves").first.click()
    assert phrase.input_value() == "E-flat melodic minor, two octaves"
    page.get_by_alt_text("Music: E♭ melodic minor, two octaves").wait_for()


def test_what_is_chosen_says_the_phrase(common_stand: Stand, visit: Visit) -> None:
    page = visit(common_stand, TABLET).page
    page.get_by_role("link", name="New").click()
    phrase = page.get_by_label("Say it as musicians do")
    phrase.fill("C major, quarter = 84")
    page.get_by_role("heading", name="C major").wait_for()
    page.get_by_role("group", name="Key you read").get_by_label("B♭").check()
    page.get_by_role("heading", name="B♭ major").wait_for()
    page.get_by_role("group", name="Figure").get_by_label("thirds").check()
    page.get_by_role("heading", name="B♭ major in thirds").wait_for()
    assert phrase.input_value() == "B-flat major in thirds, quarter = 84"


def test_a_new_sheet_goes_on_the_stand_and_comes_as_pdf(
    common_stand: Stand, visit: Visit, tmp_path: Path
) -> None:
    page = visit(common_stand, PHONE).page
    page.get_by_role("link", name="New").click()
    page.get_by_label("Say it as musicians do").fill("whole-tone on D-flat")
    page.get_by_role("heading", name="D♭").wait_for()
    page.get_by_role("button", name="Put on the stand").click()
    page.get_by_role("button", name="Click").click()
    assert page.get_by_role("button", name="Click").get_attribute("aria-pressed") == "true"
    assert page.get_by_role("group", name="Played. It felt").count() == 0
    page.get_by_role("button", name="Back").click()
    page.get_by_role("button", name="PDF").click()
    with page.expect_download() as fetched:
        page.get_by_role("link", name="Open the PDF").click()
    fetched.value.save_as(tmp_path / "sheet.pdf")
    assert len(PdfReader(tmp_path / "sheet.pdf").pages) == 1


def test_a_section_of_ones_own_file_becomes_one_pdf_and_a_chair_is_looked_at_on_the_way(
    common_stand: Stand, visit: Visit, tmp_path: Path
) -> None:
    page = visit(common_stand, TABLET).page
    page.get_by_role("link", name="Section").click()
    file = tmp_path / "low-brass.toml"
    file.write_text(SECTION, "utf-8")
    page.locator("#section-file").set_input_files(file)
    page.get_by_text("2 parts, 3 copies").wait_for()
    page.get_by_label("What everyone plays").fill("concert E-flat major")
    page.get_by_role("button", name="Tuba").click()
    page.get_by_alt_text("Music for Tuba").wait_for()
    page.get_by_role("button", name="Make PDFs").click()
    with page.expect_download(timeout=60_000) as fetched:
        page.get_by_role("link", name="All in one PDF").click(timeout=60_000)
    fetched.value.save_as(tmp_path / "parts.pdf")
    pages = PdfReader(tmp_path / "parts.pdf").pages
    assert len(pages) >= 3
    text = "\n".join(one.extract_text() for one in pages)
    assert "Tuba" in text
    assert "Horn" in text
    with page.expect_download() as fetched:
        page.get_by_role("link", name="zip").click()
    assert fetched.value.suggested_filename.endswith(".zip")


def test_a_section_with_mistakes_says_each_of_them(common_stand: Stand, visit: Visit, tmp_path: Path) -> None:
    page = visit(common_stand, PHONE).page
    page.get_by_role("link", name="Section").click()
    file = tmp_path / "low-brass.toml"
    file.write_text(SECTION.replace('"tuba"', '"tubba"'), "utf-8")
    page.locator("#section-file").set_input_files(file)
    page.get_by_text("tubba").wait_for()
    assert page.get_by_role("button", name="Make PDFs").is_disabled()


def test_a_doubtful_roster_is_mended_without_leaving_the_page(own_stand: Stand, visit: Visit) -> None:
    page = visit(own_stand, PHONE).page
    page.get_by_role("link", name="Section").click()
    people = (
        "Ada Quill,Flute/Picc",
        "Ben Lark,Bass",
        "Carl Moor,Tubba",
        "Dora Wick,2nd Clarinett",
        "Emil Rook,qqqq",
    )
    roster = "\n".join(("Name,Instrument", *people))
    page.locator("#section-file").set_input_files(
        {"name": "roster.csv", "mimeType": "text/csv", "buffer": roster.encode()}
    )
    page.get_by_text("“Bass”: which instrument?").wait_for()
    assert page.get_by_role("button", name="Make PDFs").is_disabled()
    page.locator("label", has_text="“Bass”").locator("select").select_option("bass clarinet")
    page.get_by_text("“Bass”: which instrument?").wait_for(state="detached")
    page.locator("label", has_text="“qqqq”").locator("select").select_option("Leave this line out")
    page.get_by_role("button", name="Keep as a section file").click()
    page.get_by_text("beside your plan").wait_for()
    assert page.locator(".chairs li").count() == 5
    assert len([*own_stand.home.glob("*.toml")]) == 1
    page.get_by_role("button", name="Make PDFs").click()
    page.get_by_role("link", name="All in one PDF").wait_for(timeout=60_000)


def test_a_change_of_the_plan_says_what_the_promise_becomes_before_it_is_kept(
    own_stand: Stand, visit: Visit
) -> None:
    page = visit(own_stand, PHONE).page
    page.get_by_role("link", name="Plan").click()
    promise = page.locator(".promise")
    promise.wait_for()
    before = promise.locator("b").first.inner_text()
    page.get_by_role("group", name="Minutes a day").get_by_label("40").check()
    page.get_by_text("The promise becomes").wait_for()
    assert promise.locator("b").first.inner_text() != before
    assert not (own_stand.home / "plan.toml").exists()
    page.get_by_role("button", name="Keep the change").click()
    page.get_by_text("The promise becomes").wait_for(state="detached")
    assert "minutes = 40" in (own_stand.home / "plan.toml").read_text("utf-8")
    page.get_by_label("Keep something more alive").fill("all keys, majr")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_role("button", name="Keep the change").is_disabled()
    page.get_by_role("button", name="Leave as it was").click()
    page.get_by_role("alert").wait_for(state="detached")


@pytest.fixture
def elsewhere() -> Iterator[str]:
    """A page on another origin of this computer."""

    class Page(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><title>elsewhere</title><h1>elsewhere</h1>")

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Page) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}/"
        server.shutdown()
        thread.join()


SENT = """async (at) => {
  const tries = [
    { method: "POST", headers: { "Content-Type": "application/json" }, body: "{}" },
    { method: "POST", mode: "no-cors", headers: { "Content-Type": "text/plain" }, body: "{}" },
  ];
  const found = [];
  for (const one of tries) {
    try {
      const answer = await fetch(at + "api/start-today", one);
      found.push(answer.type === "opaque" ? "opaque" : answer.status);
    } catch { found.push("refused"); }
  }
  try { found.push((await fetch(at + "api/start")).status); } catch { found.push("refused"); }
  return found;
}"""


def test_a_page_from_elsewhere_can_neither_read_nor_change_anything(
    fresh_stand: Stand, visit: Visit, elsewhere: str
) -> None:
    seen = visit(Stand(fresh_stand.home, at=elsewhere), quiet=False)
    answers = seen.page.evaluate(SENT, fresh_stand.at)
    seen.asked.clear()
    assert answers[0] == answers[2] == "refused"
    assert answers[1] in ("opaque", "refused")
    assert not (fresh_stand.home / "log.sqlite").exists()


def test_a_foreign_name_for_this_computer_is_not_answered(common_stand: Stand, browser: object) -> None:
    page = browser.new_page()  # type: ignore[attr-defined]
    answer = page.goto(f"http://rebound.localhost:{common_stand.port}/")
    page.close()
    assert answer.status == 421


def test_only_this_computer_is_listened_to(common_stand: Stand) -> None:
    with socket.socket() as other:
        other.settimeout(2)
        assert other.connect_ex(("127.0.0.2", common_stand.port)) != 0
