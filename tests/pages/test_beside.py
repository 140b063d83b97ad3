"""Twelve scales on one page of a part: names beside the lines, staves that can be read, nothing left out."""

import re
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from generator.catalogue.players import player_named
from generator.documents.section import Chair, Section
from generator.engraving import lilypond
from generator.engraving.render_score import PartPage, includes, render_parts
from generator.files.resources import data_folder
from generator.pages import beside
from generator.pages.beside import lay_out_beside, lay_out_part
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout, Words, lay_out
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan

# The issue of a band's copier: twelve scales, one sheet. Staves under 16 points are hard to read on a stand (`EASY`).
TWELVE = "all keys, major, one octave, "
PAPERS = [Paper.of("letter", "normal"), Paper.of("a4", "normal")]


def part_of(rehearsal: Rehearsal, place: int, paper: Paper) -> SheetLayout:
    return lay_out_part(
        rehearsal.parts[place].exercises, Words("Major scales", "Part", subtitle="Band"), paper
    )


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
@pytest.mark.parametrize(
    "rhythm", ["eighths", "quarters", "eighths, staccato", "eighths, quarter = 60 to 108"]
)
def test_twelve_scales_of_an_octave_take_one_page_of_every_part_of_a_band(
    band: Section, rhythm: str, paper: Paper
) -> None:
    rehearsal = rehearse(band, RehearsalPlan((TWELVE + rhythm,)))
    for place, part in enumerate(rehearsal.parts):
        sheet = part_of(rehearsal, place, paper)
        assert sheet.pages == 1, part.chairs[0].name
        assert sheet.paper.staff >= 16
        assert len(sheet.items) == 12
        for item, exercise in zip(sheet.items, part.exercises, strict=True):
            printed = [n for line in item.layout.lines for piece in line for n in piece.notes]
            assert printed == [n for bar in exercise.bars for n in bar.notes]


@pytest.mark.lilypond
def test_lilypond_finds_them_on_one_page_too(band: Section) -> None:
    rehearsal = rehearse(band, RehearsalPlan((TWELVE + "eighths",)))
    for paper in PAPERS:
        sheets = [part_of(rehearsal, place, paper) for place in (0, 1, 5, 12, 15)]
        pages = [PartPage(f"part-{n}", sheet) for n, sheet in enumerate(sheets)]
        text = render_parts(pages, paper, data_folder("templates"))
        made = lilypond.engrave(
            {lilypond.MAIN: text, **includes(data_folder("templates"))},
            formats=("pdf",),
            outputs=tuple(page.output for page in pages),
        )
        assert not made.overfull
        for sheet, page in zip(sheets, pages, strict=True):
            (printed,) = PdfReader(BytesIO(made.files[f"{page.output}.pdf"])).pages
            words = printed.extract_text()
            assert all(re.search(rf"\b{item.number}\.", words) for item in sheet.items)
            # Beside the lines it is said once, under the title; a page that is full under headings stays as it is.
            assert ("One octave, eighths" in words) == bool(sheet.column)


def test_distances_are_those_of_the_page() -> None:
    style = (data_folder("templates") / "score.ily").read_text("utf-8")
    for name, distances in (("besideLines", beside.LINE_TO_LINE), ("besideTitle", beside.TITLE_TO_LINE)):
        line = next(line for line in style.splitlines() if line.startswith(f"{name} ="))
        assert tuple(float(n) for n in re.findall(r"\. ([0-9.]+)\)", line)[:3]) == distances


def test_what_one_page_holds_under_headings_stays_under_headings(pages: Callable[..., Rehearsal]) -> None:
    (part,) = pages("flute", "F, B-flat and E-flat major, one octave, eighths").parts
    sheet = lay_out_part(part.exercises, Words("Major scales", "Flute"), PAPERS[0])
    assert sheet == lay_out(part.exercises, Words("Major scales", "Flute"), PAPERS[0], blanks=True)
    assert sheet.column == 0


def test_longer_lines_keep_their_headings_over_them(pages: Callable[..., Rehearsal]) -> None:
    (part,) = pages("flute", "all keys, major in thirds, one octave").parts
    assert lay_out_beside(part.exercises, Words("Major in thirds", "Flute"), PAPERS[0]) is None


def test_what_concerns_some_of_them_is_said_once_with_their_numbers(seated: Callable[..., Section]) -> None:
    # A beginner's clarinet has not all notes of these scales, so that it changes octave or rests in some.
    section = seated("flute, clarinet, tuba")
    beginner = Chair("Clarinet, first year", player_named("clarinet", "first notes"))
    section = replace(section, chairs=(*section.chairs, beginner))
    part = rehearse(section, RehearsalPlan((TWELVE + "eighths",))).parts[-1]
    told = {n for n, one in enumerate(part.exercises, 1) if one.notes}
    sheet = lay_out_beside(part.exercises, Words("Major scales", beginner.name), PAPERS[0])
    assert sheet is not None
    said = {int(n) for line in sheet.words.notices for n in re.findall(r"\d+", line.partition(":")[0])}
    assert said == told != set()
