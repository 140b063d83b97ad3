"""A bound book: every page where the contents, the bookmarks and the numbers say it is."""

import re
import signal
import sys
import time
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from generator.catalogue.players import player_named
from generator.engraving.bind import page_count
from generator.errors import DoesNotFitError, EngravingError, UnknownNameError
from generator.pages.paper import Paper
from generator.publish import book
from generator.publish.book import bind
from generator.publish.sheet import SheetOrder
from tests.fixtures.command import ended, program, start

WHO = player_named("alto saxophone")
PHRASES = ("all keys, major", "all keys, harmonic minor in thirds", "C major in fifths", "overtones")
# From the paper tables of ISO 216 and the inch.
POINTS_A_MILLIMETRE = 72 / 25.4


@pytest.fixture(scope="module")
def bound(tmp_path_factory: pytest.TempPathFactory) -> book.Bound:
    order = SheetOrder(
        out=tmp_path_factory.mktemp("out"),
        paper=Paper.of("a4", "normal"),
        title="Harbour Street B♭ book",
        note="For the saxophones.",
    )
    return bind(order, WHO, PHRASES)


@pytest.fixture(scope="module")
def pdf(bound: book.Bound) -> PdfReader:
    (path,) = bound.printed.paths
    assert path.name.startswith("harbour-street-b-flat-book-alto-saxophone-book-")
    return PdfReader(BytesIO(path.read_bytes()))


def front_pages(pdf: PdfReader) -> int:
    return pdf.page_labels.index("1")


@pytest.mark.lilypond
def test_every_exercise_stands_on_the_page_its_entry_names(bound: book.Bound, pdf: PdfReader) -> None:
    before = front_pages(pdf)
    entries = [entry for chapter in bound.chapters for entry in chapter.entries]
    text = {page: pdf.pages[before + page - 1].extract_text() for page in {entry.page for entry in entries}}
    for entry in entries:
        assert re.search(rf"(?<!\d){entry.number}\. ", text[entry.page]), entry
    assert [entry.number for entry in entries] == list(range(1, 27))
    assert bound.pages == len(pdf.pages)


@pytest.mark.lilypond
def test_chapters_begin_on_pages_of_their_own_and_few_exercises_share_one(bound: book.Bound) -> None:
    assert [(c.title, len(c.entries)) for c in bound.chapters] == [
        ("Major scales", 12),
        ("Harmonic minor in thirds", 12),
        ("Scales and technique", 2),
    ]
    for before, after in zip(bound.chapters, bound.chapters[1:], strict=False):
        assert after.page == before.entries[-1].page + 1


@pytest.mark.lilypond
def test_bookmarks_lead_to_the_same_pages(bound: book.Bound, pdf: PdfReader) -> None:
    before = front_pages(pdf)
    outline = pdf.outline
    assert outline[0]["/Title"] == "Contents"
    found: list[tuple[str, int]] = []
    for item in outline[1:]:
        for one in item if isinstance(item, list) else [item]:
            found += [(one["/Title"], pdf.get_destination_page_number(one) - before + 1)]
    wanted: list[tuple[str, int]] = []
    for chapter in bound.chapters:
        wanted.append((chapter.title, chapter.page))
        wanted += [(f"{e.number}. {e.heading}", e.page) for e in chapter.entries]
    assert found == wanted


@pytest.mark.lilypond
def test_the_contents_say_so_too(bound: book.Bound, pdf: PdfReader) -> None:
    text = pdf.pages[0].extract_text()
    for chapter in bound.chapters:
        line = next(line for line in text.splitlines() if line.startswith(chapter.title))
        assert line.replace(".", "").split()[-1] == str(chapter.page)
    assert "For the saxophones." in text


@pytest.mark.lilypond
def test_first_pages_have_roman_numerals_and_page_1_lies_at_the_right(pdf: PdfReader) -> None:
    before = front_pages(pdf)
    assert before % 2 == 0
    assert pdf.page_labels == ["i", "ii", *(str(n) for n in range(1, len(pdf.pages) - before + 1))]
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Harbour Street B♭ book"


def left_edge(page: object) -> float:
    """Where the leftmost letter stands, in millimetres."""
    places: list[float] = []

    def seen(text: str, _um: object, matrix: list[float], *_: object) -> None:
        if text.strip():
            places.append(matrix[4])

    page.extract_text(visitor_text=seen)  # type: ignore[attr-defined]
    return min(places) / POINTS_A_MILLIMETRE


@pytest.mark.lilypond
def test_the_inner_margin_is_wider_on_both_sides(pdf: PdfReader) -> None:
    before = front_pages(pdf)
    odd, even = left_edge(pdf.pages[before]), left_edge(pdf.pages[before + 1])
    assert odd == pytest.approx(18, abs=0.6)
    assert even == pytest.approx(12, abs=0.6)


@pytest.mark.lilypond
def test_running_heads_name_the_book_and_the_chapter(bound: book.Bound, pdf: PdfReader) -> None:
    before = front_pages(pdf)
    openings = {chapter.page for chapter in bound.chapters}
    heads = {n: pdf.pages[before + n - 1].extract_text() for n in range(1, len(pdf.pages) - before + 1)}
    inner = [n for n in heads if n not in openings]
    assert inner
    for number in inner:
        chapter = [c for c in bound.chapters if c.page <= number][-1]
        assert ("Harbour Street B" in heads[number]) == (number % 2 == 0)
        assert (chapter.title in heads[number]) == (number % 2 == 1)


@pytest.mark.lilypond
def test_where_lilypond_needs_more_pages_they_are_filled_less(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def spilt_at_first(data: bytes) -> int:
        asked.append(1)
        return page_count(data) + (len(asked) == 1)

    monkeypatch.setattr(book, "page_count", spilt_at_first)
    again = bind(SheetOrder(out=tmp_path), WHO, ["all keys, major"])
    monkeypatch.setattr(book, "page_count", page_count)
    once = bind(SheetOrder(out=tmp_path, note="else"), WHO, ["all keys, major"])
    assert len(asked) > 2
    assert again.pages >= once.pages


def test_a_wrong_phrase_is_refused_before_anything_is_engraved(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError):
        bind(SheetOrder(out=tmp_path / "out"), WHO, ["all keys, major", "C majro"])
    with pytest.raises(DoesNotFitError):
        bind(SheetOrder(out=tmp_path / "out"), WHO, ["C major, three octaves"], exact=True)
    assert not (tmp_path / "out").exists()


def test_nothing_is_left_when_lilypond_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fake = tmp_path / "lilypond"
    fake.write_text('#!/bin/sh\n[ "$1" = --version ] && echo GNU LilyPond 2.24.3 || exit 1\n')
    fake.chmod(0o755)
    monkeypatch.setenv("SCALEWRIGHT_LILYPOND", str(fake))
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    with pytest.raises(EngravingError):
        bind(SheetOrder(out=tmp_path / "out"), WHO, ["all keys, major"])
    assert not (tmp_path / "out").exists()


@pytest.mark.lilypond
@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_an_interrupted_book_leaves_nothing(tmp_path: Path) -> None:
    temporary = tmp_path / "tmp"
    temporary.mkdir()
    words = [
        "sheet",
        "all keys, major, every articulation",
        "-i",
        "tuba",
        "--book",
        "--no-cache",
        "--quiet",
        "--out",
        "out",
    ]
    process = start(program(*words), tmp_path, {"TMPDIR": temporary})
    deadline = time.monotonic() + 30
    while len(list(temporary.glob("scalewright-*/sheet.ly"))) < 2 and time.monotonic() < deadline:
        time.sleep(0.05)
    time.sleep(0.3)
    process.send_signal(signal.SIGINT)
    asked = time.monotonic()
    assert ended(process, 30).fails(130) == "scalewright: stopped"
    assert time.monotonic() - asked < 10  # it does not wait for LilyPond
    assert not (tmp_path / "out").exists()
    assert not list(temporary.iterdir())
