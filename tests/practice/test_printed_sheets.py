"""A few real pages: what stands on them as text."""

import unicodedata

import pytest
from pypdf import PdfReader

from tests.fixtures.command import run_apart

pytestmark = pytest.mark.lilypond


def plain(words):
    """Without ligatures."""
    return unicodedata.normalize("NFKC", words)


def text(desk, *words):
    said = desk.type("today", *words)
    assert said.code == 0, said
    reader = PdfReader(desk.folder / said.out[0])
    return said, [" ".join(plain(page.extract_text()).split()) for page in reader.pages]


def test_a_page_says_whose_it_is_why_and_what_may_be_relied_on(desk):
    desk.plan(
        'player = "Ada Quill"\ninstrument = "alto saxophone"\nminutes = 8\n'
        '[[keep]]\nphrase = "all keys, major, one octave"\nminutes = 2\n'
    )
    said, pages = text(desk)
    sheet = desk.sheet()
    assert len(pages) == 1
    (page,) = pages
    for words in (
        "Monday · Ada Quill · key of the day: C major · 6 minutes of playing, 2 of rest",
        "4 January 2027",
        f"Sheet {sheet.code}",
        "play what is marked •, and everything comes round within",
        "practice days of 8 minutes",
        "New: the next to begin in the key of the sheet",
        "New on the list",
        "then rest 2 minutes",
    ):
        assert words in page
    # The reason line of each marked row, and the foot.
    assert page.count("•") == sum(row.floor for row in sheet.rows) + 1
    assert said.out[0].endswith(f"todays-sheet-alto-saxophone-{sheet.code.lower()}.pdf")


def test_paper_and_print_come_from_the_plan_unless_the_command_says_otherwise(desk):
    plan = 'instrument = "flute"\npaper = "a4"\nprint = "large"\nminutes = 6\n[[keep]]\nphrase = "all keys, major"\n'
    desk.plan(plan)
    for words, width in (((), 595), (("--paper", "letter"), 612)):
        said = desk.type("today", *words)
        box = PdfReader(desk.folder / said.out[0]).pages[0].mediabox
        assert abs(float(box.width) - width) < 2  # points: A4 is 210 mm wide, letter 8.5 inches


def test_a_whole_process_prints_nothing_but_the_path(tmp_path):
    said = run_apart("today", "-i", "tuba", "-m", "6", "--home", tmp_path / "h", folder=tmp_path)
    (path,) = said.succeeds()
    assert (tmp_path / path).read_bytes().startswith(b"%PDF")
    assert said.err[0].startswith("1. ")
