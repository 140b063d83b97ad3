"""How large a book may be, and what is said of a large one before the work begins."""

import pytest

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.pages.paper import Paper
from generator.phrase import expand
from generator.phrase.ways import USUAL
from generator.publish import book
from generator.publish.book import bind
from generator.publish.book_size import MOST_PAGES, BookSize, book_size, refuse_too_large
from generator.publish.sheet import MOST, SheetOrder
from tests.benchmarks import growth
from tests.fixtures.command import run_here

WHO = player_named("flute")
SPANS = ("one octave", "two octaves", "a fifth", "full range", "a twelfth")
MANY = [
    f"{key} major in thirds, {span}"
    for key in ("C", "G", "D", "A", "E", "F", "B-flat", "E-flat")
    for span in SPANS
]
ARTICULATED = "all keys, major in thirds, every articulation"


class StartedError(Exception):
    """LilyPond was asked to begin."""


@pytest.fixture
def no_engraving(monkeypatch: pytest.MonkeyPatch) -> None:
    def begin(*_arguments):
        raise StartedError

    monkeypatch.setattr(book, "engrave_all", begin)


@pytest.mark.parametrize(
    ("phrases", "paper"),
    [
        (growth.mixture(240), Paper.of("letter", "normal")),
        ([ARTICULATED], Paper.of("letter", "normal")),
        ([ARTICULATED], Paper.of("a4", "small")),
        (["all keys, major in thirds, two octaves, usual articulations"] * 2, Paper.of("a4", "large")),
        ([*["all keys, major in sevenths"] * 8, *MANY, "C major"], Paper.of("letter", "normal")),
    ],
)
def test_a_sample_tells_the_pages_that_laying_everything_out_gives(phrases, paper):
    order = SheetOrder(paper=paper)
    drafts = book._drafts(WHO, phrases, order, exact=False, syllables=(), ways=USUAL)
    layout = book._Layout(WHO, order, book.BookWords("", "", "", ""), {}, 1e9)
    assert list(layout._volumes(drafts))
    size = book_size([one for draft in drafts for one in draft.orders], order)
    assert size.exercises == layout.number - 1
    assert size.pages == pytest.approx(layout.page - 1, rel=0.25)


@pytest.mark.usefixtures("no_engraving")
def test_a_large_book_is_told_before_the_work_begins():
    told = []
    with pytest.raises(StartedError):
        bind(SheetOrder(), WHO, [ARTICULATED], tell=told.append)
    assert told == ["408 exercises, about 110 pages and half a minute of work"]
    with pytest.raises(StartedError):
        bind(SheetOrder(), WHO, ["all keys, major"], tell=told.append)
    assert len(told) == 1  # of a small one there is nothing to say


@pytest.mark.parametrize("number", [10_000, 12_000])
def test_ten_thousand_phrases_are_refused_before_the_work_begins(tmp_path, no_engraving, number):
    phrases = (MANY * (number // len(MANY)))[:number]
    line = run_here("sheet", *phrases, "--book", "-i", "flute", folder=tmp_path).fails(2)
    more = "more than " if number > expand.MOST_EXERCISES else ""
    assert f"these are {more}10,000 exercises, about " in line
    assert " minutes of work; a book holds 1,000 pages, a ream of paper printed on both sides" in line
    assert line.endswith(" exercises like these; ask for several books")
    assert list(tmp_path.iterdir()) == []


def test_phrases_that_each_ask_for_hundreds_are_counted_no_further_than_needed(no_engraving, monkeypatch):
    asked = []
    real = expand.orders

    def orders(text, *arguments, **more):
        for one in real(text, *arguments, **more):
            asked.append(one)
            yield one

    monkeypatch.setattr(expand, "orders", orders)
    with pytest.raises(RequestError, match="more than 10,000 exercises"):
        bind(SheetOrder(), WHO, [ARTICULATED] * 1_000)
    assert len(asked) == expand.MOST_EXERCISES + 1


def test_the_largest_that_is_allowed_is_allowed():
    refuse_too_large(BookSize(5_000, MOST_PAGES, 140))
    with pytest.raises(RequestError, match="about 4,950 exercises like these"):
        refuse_too_large(BookSize(5_000, MOST_PAGES + 10, 140))


@pytest.mark.parametrize(("formats", "ways"), [("pdf", ["--book"]), ("wav", ["--book"]), ("json", [])])
def test_a_sheet_is_refused_before_more_is_built_than_it_holds(tmp_path, monkeypatch, formats, ways):
    made = []
    real = expand._built

    def built(*arguments):
        made.append(arguments)
        return real(*arguments)

    monkeypatch.setattr(expand, "_built", built)
    said = run_here("sheet", *MANY * 8, "-i", "flute", "-f", formats, folder=tmp_path)
    if ways:
        assert all(way in said.fails(2, f"these are more than {MOST} exercises") for way in ways)
        assert len(made) == MOST + 1
        assert list(tmp_path.iterdir()) == []
    else:
        assert len(said.succeeds()) == 1


def test_pictures_have_a_limit_of_their_own(tmp_path):
    run_here("sheet", *MANY * 13, "-i", "flute", "--crop", folder=tmp_path).fails(
        2, "these are more than 500 exercises; pictures are made of 500 at once"
    )
