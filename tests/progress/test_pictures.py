"""The drawn pages: nothing lost over the edge, no words on words, and as clear in grey as in ink."""

import datetime as dt
import random
import re
from io import BytesIO
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from generator.pages.paper import PAPERS, Paper
from generator.pages.reader import TINTS, ReaderNeeds
from generator.progress import overview as use_case
from generator.progress.count import report
from generator.progress.drawing import Box, Drawing, Shape, Text, cut, shrunk, wrapped
from generator.progress.drawn_page import Frame, Heading, key_text, phrase_text
from generator.progress.pictures import PagePainter
from generator.progress.report import Period, Play, Standing
from generator.progress.table_page import SHADES, table_pages, with_feet
from generator.progress.tempo_page import course_page, nice_ticks
from generator.progress.week_record import record_page, week_record
from generator.theory.key import usual_name
from generator.theory.pitch import NoteName

TODAY = dt.date(2028, 2, 29)
LONG = Heading(
    "What has been covered",
    "Contra-alto Clarinet in E♭, a long name",
    "Maximiliane Featherstonehaugh-Cholmondeley",
)
FORMS = ("major", "harmonic minor", "melodic minor, both ways, from the third degree")
FIGURES = (
    "",
    " in thirds",
    " in interlocking groups of four, two octaves",
    " in triads, down first, a twelfth",
)
KINDS = [
    *(form + figure for form in FORMS for figure in FIGURES),
    "bebop dominant in groups of five",
    "dorian",
]


def crowded(seed: int = 3, kinds: list[str] = KINDS) -> tuple[list[Standing], list[Play]]:
    """A long list, long names, long waits, and more than a year of plays."""
    chance = random.Random(seed)
    kept = []
    for kind in kinds:
        for pitch_class in range(12):
            tonic = usual_name(pitch_class, 0 if "major" in kind else -3)
            days = chance.choice([None, chance.randrange(40), chance.randrange(3000)])
            played = None if days is None else TODAY - dt.timedelta(days=days)
            name = f"{tonic.words} {kind}"
            waits = chance.randint(1, 30), chance.randint(1, 60)
            kept.append(Standing(name, name, kind, tonic, chance.choice([None, 96, 208]), *waits, played))
    kept += [Standing(f"lip {n}", "lip slurs", "lip slurs", None, 80, 7, n, TODAY) for n in range(3)]
    plays = [
        Play(
            TODAY - dt.timedelta(days=day), one.item_id, one.name, one.kind, one.tonic,
            chance.choice([None, chance.randint(40, 300)]), 100, chance.choice([None, 2, 45]),
        )
        for day in range(400, -1, -1) if chance.random() < 0.6
        for one in chance.sample(kept[:30], 8)
    ]  # fmt: skip
    return kept, plays


def pages(measure, kept, plays, days: int = 400, paper: str = "letter") -> tuple[Drawing, ...]:
    figures = report(kept, plays, Period(TODAY - dt.timedelta(days=days), TODAY, TODAY))
    frame = Frame.of(Paper.of(paper, "normal"))
    drawn = [*table_pages(figures, LONG, frame, measure), course_page(figures, LONG, frame, measure)]
    return with_feet(drawn, frame, "168 exercises on the list, 20 never played, 60 due")


def check_page(page: Drawing, measure, places, ends) -> None:
    """Everything inside the margins, no words on other words, no letters below 6 points."""
    found = places(page, measure)
    assert found
    for mark, (left, top, right, bottom) in found:
        assert left > 15.5, mark
        assert right < page.width - 13, mark
        assert top > 11, mark
        assert bottom < page.height - 10, mark
        assert mark.size >= 6, mark
    for x, y in ends(page):
        assert 15.5 < x < page.width - 13
        assert 11 < y < page.height - 10
    for number, (one, (left, top, right, bottom)) in enumerate(found):
        for other, (left2, top2, right2, bottom2) in found[number + 1 :]:
            apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
            assert apart, (one, other)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_long_list_is_drawn_without_clipping_or_overlap(press, places, ends, paper: str) -> None:
    drawn = pages(press.measure, *crowded(), paper=paper)
    assert len(drawn) == 2
    for page in drawn:
        check_page(page, press.measure, places, ends)


@pytest.mark.parametrize(
    "reader",
    [
        ReaderNeeds(staff=28),
        ReaderNeeds(letters="plain", tint="cream"),
        ReaderNeeds(staff=24, letters="plain", landscape=True),
        ReaderNeeds(landscape=True),
    ],
)
def test_pages_follow_their_reader(places, ends, reader: ReaderNeeds) -> None:
    paper = Paper.of("letter", "normal", reader)
    own = PagePainter(use_case.house_fonts(), paper)
    frame = Frame.of(paper)
    kept, plays = crowded(kinds=KINDS[:5])
    plays = plays[:300]
    week = week_record(week_of(4), TODAY - dt.timedelta(days=6), TODAY)
    record = record_page(week, "Odile Marsh", "Piccolo", frame, own.measure).drawing
    found = report(kept, plays, Period(TODAY - dt.timedelta(days=27), TODAY, TODAY))
    drawn = [*with_feet(table_pages(found, LONG, frame, own.measure), frame, "168 exercises"), record]
    for page in drawn:
        check_page(page, own.measure, places, ends)
    png = Image.open(BytesIO(own.draw([record], "record", ("png",)).files["record.png"])).convert("RGB")
    sides = [side / 25.4 * 150 for side in paper.width_and_height]
    assert png.size == (pytest.approx(sides[0], abs=2), pytest.approx(sides[1], abs=2))
    assert png.getpixel((2, 2)) == TINTS[reader.tint]


@pytest.mark.parametrize(
    "words", [Text(40, 252, "on other words"), Text(190, 100, "over the edge of the paper")]
)
def test_the_check_of_a_page_finds_what_is_wrong(press, places, ends, words: Text) -> None:
    page = pages(press.measure, *crowded(kinds=KINDS[:1]))[0]
    wrong = Drawing(page.width, page.height, (*page.marks, Text(38, 252.5, "words"), words))
    with pytest.raises(AssertionError):
        check_page(wrong, press.measure, places, ends)


def test_every_cell_and_every_word_of_every_label_is_on_a_page(press) -> None:
    kept, plays = crowded()
    drawn = pages(press.measure, kept, plays)
    texts = [mark.words for page in drawn for mark in page.marks if isinstance(mark, Text)]
    words = " ".join(texts)
    for kind in KINDS:
        label = phrase_text(kind)
        assert label in words, label
    numbers = sorted(str((TODAY - one.played).days) for one in kept if one.played and one.tonic)
    table = [m for page in drawn[:-1] for m in page.marks if isinstance(m, Text) and m.align == "center"]
    assert sorted(m.words for m in table if m.words.isdigit()) == numbers
    assert sum(m.words == "never" and m.size == 8 for m in table) == sum(
        one.played is None and one.tonic is not None for one in kept
    )


@pytest.mark.parametrize("days", [0, 9, 41, 42, 90, 199, 200, 420, 899, 900, 4000])
def test_periods_of_any_length(press, places, ends, days: int) -> None:
    kept, plays = crowded()
    check_page(pages(press.measure, kept, plays, days)[-1], press.measure, places, ends)


def test_a_report_of_nothing(press, places, ends) -> None:
    for page in pages(press.measure, [], [], 0):
        check_page(page, press.measure, places, ends)


def test_the_demo_s_report_is_two_pages(ninety, tmp_path, press, places, ends) -> None:
    progress = ninety.progress(dt.date(2027, 3, 6))
    figures = progress.report(None, 13)
    order = use_case.DrawingOrder(tmp_path, ("pdf", "png"), Paper.of("letter", "normal"))
    drawn = use_case.draw_report(progress, figures, order)
    assert drawn.warnings == ()
    pdf, *pictures = drawn.paths
    book = PdfReader(pdf)
    assert len(book.pages) == 2
    assert [round(float(side) / 72 * 25.4) for side in book.pages[0].mediabox[2:]] == [216, 279]
    text = book.pages[0].extract_text()
    assert "Tamsin Rook" in text
    assert "Harmonic minor in thirds" in text
    for path in pictures:
        with Image.open(path) as picture:
            red, green, blue = picture.convert("RGB").split()
            assert red.tobytes() == green.tobytes() == blue.tobytes()  # no ink but black


def test_shades_are_told_apart_in_grey_and_what_is_due_has_its_mark(press) -> None:
    tonic = NoteName.parse("C")
    waits = (1, 6, 11, 25)  # of a wanted gap of 10: one for each shade
    kept = [
        Standing(
            f"{n}", f"kind {n} on C", f"kind {n}", tonic, None, 10, waited, TODAY - dt.timedelta(days=waited)
        )
        for n, waited in enumerate(waits)
    ]
    frame = Frame.of(Paper.of("letter", "normal"))
    figures = report(kept, [], Period(TODAY, TODAY, TODAY))
    (page,) = with_feet(table_pages(figures, LONG, frame, press.measure), frame, "")
    data = press.draw([page], "shades", ("png",)).files["shades.png"]
    cells = [mark for mark in page.marks if isinstance(mark, Box)][: len(waits)]
    corners = [mark for mark in page.marks if isinstance(mark, Shape)]
    with Image.open(BytesIO(data)) as picture:
        grey = picture.convert("L")
        dots = grey.width / page.width

        def level(x: float, y: float) -> int:
            return grey.getpixel((round(x * dots), round(y * dots)))

        shades = [level(cell.x + 1, cell.y + cell.height - 1) for cell in cells]
        assert [round(shade * 255) for shade in SHADES] == pytest.approx(shades, abs=1)
        # A copier that keeps only eight greys still shows four.
        assert len({shade * 8 // 256 for shade in shades}) == 4
        for cell, shade, waited in zip(cells, shades, waits, strict=True):
            marked = any(cell.x < c.corners[0][0] < cell.x + cell.width and cell.y < c.corners[0][1] < cell.y + 1
                         for c in corners)  # fmt: skip
            assert marked == (waited >= 10)
            mark = level(cell.x + cell.width - 1.0, cell.y + 1.0)
            assert (abs(mark - shade) > 80) == (waited >= 10)
            row = [level(x / dots, cell.y + cell.height / 2) for x in
                   range(round((cell.x + 1) * dots), round((cell.x + cell.width - 1) * dots))]  # fmt: skip
            assert max(abs(one - shade) for one in row) > 80  # the number stands out


def test_the_same_page_gives_the_same_bytes(press) -> None:
    drawn = pages(press.measure, *crowded(kinds=KINDS[:1]))[:1]
    first = press.draw(drawn, "same", ("pdf", "png", "svg"), "Progress").files
    assert press.draw(drawn, "same", ("pdf", "png", "svg"), "Progress").files == first
    assert sorted(first) == ["same.pdf", "same.png", "same.svg"]
    assert b"CreationDate" not in first["same.pdf"]
    assert not re.search(rb"<dc:date>", first["same.svg"])


# The week's record


def week_of(number: int, seed: int = 1) -> list[Play]:
    """Seven days with so many plays each."""
    chance = random.Random(seed)
    kept, _ = crowded(seed)
    return [
        Play(TODAY - dt.timedelta(days=6 - day), one.item_id, one.name, one.kind, one.tonic, 120, None, 3)
        for day in range(7)
        for one in chance.sample(kept[:-3], number)
    ]


@pytest.mark.parametrize("number", [0, 1, 4, 8, 14, 20, 40, 168])
def test_a_record_is_always_one_page(press, places, ends, number: int) -> None:
    plays = week_of(number)
    record = week_record(plays, TODAY - dt.timedelta(days=6), TODAY)
    frame = Frame.of(Paper.of("letter", "normal"))
    page = record_page(record, "Odile Marsh", "Piccolo", frame, press.measure)
    check_page(page.drawing, press.measure, places, ends)
    words = [mark.words for mark in page.drawing.marks if isinstance(mark, Text)]
    assert number > 8 or not page.shortened
    assert number < 40 or page.shortened
    assert (page.shortened in words) == bool(page.shortened)
    if number == 168:
        pdf = press.draw([page.drawing], "record", ("pdf",)).files["record.pdf"]
        assert len(PdfReader(BytesIO(pdf)).pages) == 1


@pytest.mark.parametrize("number", [4, 40, 168])
def test_a_shortened_record_counts_what_it_does_not_name(press, number: int) -> None:
    plays = week_of(number)
    record = week_record(plays, TODAY - dt.timedelta(days=6), TODAY)
    frame = Frame.of(Paper.of("a4", "normal"))
    page = record_page(record, "", "Piccolo", frame, press.measure)
    column = frame.left + 31.0
    lines = [m for m in page.drawing.marks if isinstance(m, Text) and m.x == column][1:]
    told = " ".join(line.words for line in sorted(lines, key=lambda line: line.y))
    counted = sum(int(n) for n in re.findall(r"and (\d+) more exercise", told))
    keys = "|".join(sorted({key_text(one.tonic) for one in plays if one.tonic}, key=len, reverse=True))
    named = len(re.findall(rf"(?<=[:,] )(?:{keys})(?=[,\s\u00a0]|$)", told))
    assert named + counted == 7 * number


def test_a_record_tells_the_highest_tempo_of_a_day_and_leaves_days_to_come_open(press) -> None:
    tonic = NoteName.parse("Eb")
    first = TODAY - dt.timedelta(days=1)
    plays = [
        Play(first, "x", "E-flat major", "major", tonic, tempo, None, minutes)
        for tempo, minutes in ((80, 4), (92, None), (None, 3))
    ]
    plays.append(Play(TODAY + dt.timedelta(days=1), "x", "E-flat major", "major", tonic, 200, None, 60))
    record = week_record(plays, first, TODAY)
    assert [(d.open, d.minutes, d.number) for d in record.days][:3] == [
        (False, 7, 1),
        (False, None, 0),
        (True, None, 0),
    ]
    assert record.days[0].played[0].words(tempi=True) == "Major: E♭\u00a092"
    assert record.practised == 1


# Small things


def half(words: str, size: float, face: str) -> float:
    """A typewriter's letters."""
    return len(words) * size * 0.2


@given(st.text("ab ♭-é", max_size=80), st.floats(4, 60))
def test_wrapped_lines_hold_every_word_and_are_not_wider_than_asked(words: str, width: float) -> None:
    lines = wrapped(words, width, 10, half)
    assert all(half(line, 10, "regular") <= width + 1e-6 for line in lines)
    if all(half(word, 10, "regular") <= width for word in words.split(" ")):
        assert " ".join(lines).split(" ") == [word for word in words.split(" ") if word] or not lines
    assert all(line and line == line.strip(" ") for line in lines)


@given(st.text(max_size=40), st.floats(3, 60))
def test_cut_words_fit(words: str, width: float) -> None:
    short = cut(words, width, 10, half)
    assert half(short, 10, "regular") <= width or short == "…"
    assert short == words or short.endswith("…")


def test_words_shrink_only_as_far_as_needed() -> None:
    assert shrunk("abcd", 8.0, 10, 5, half) == 10
    assert shrunk("abcd", 7.2, 10, 5, half) == 9
    assert shrunk("abcd", 1.0, 10, 5, half) == 5


@given(st.integers(-50, 2000), st.integers(0, 20000), st.integers(2, 6))
@settings(max_examples=200)
def test_ticks_are_round_evenly_apart_and_hold_everything(low: int, span: int, most: int) -> None:
    ticks = nice_ticks(low, low + span, most)
    steps = {b - a for a, b in pairwise(ticks)}
    assert ticks[0] <= low
    assert low + span <= ticks[-1]
    assert len(steps) == 1
    assert 2 <= len(ticks) <= most + 3


def test_names_with_their_signs() -> None:
    assert phrase_text("C-sharp harmonic minor in thirds") == "C♯ harmonic minor in thirds"
    assert phrase_text("whole-tone on D-flat") == "Whole-tone on D♭"
    assert key_text(NoteName.parse("F##")) == "F♯♯"
