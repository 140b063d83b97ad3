"""Single exercises as pictures."""

import struct
from pathlib import Path

import pytest
from lxml import etree
from pypdf import PdfReader

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.phrase import expand
from generator.publish.cropped import print_clips
from generator.publish.sheet import SheetOrder

WHO = player_named("flute")


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    made = expand.exercises(["G major in thirds", "C major arpeggio", "G major in thirds"], WHO).exercises
    order = SheetOrder(
        out=tmp_path_factory.mktemp("out"), formats=("png", "svg", "pdf"), title="not on a picture"
    )
    return list(print_clips(order, WHO, made).paths)


@pytest.mark.lilypond
def test_each_exercise_is_a_picture_of_its_own_and_a_repeated_one_is_one(printed: list[Path]) -> None:
    assert [path.suffix for path in printed] == [".png", ".svg", ".pdf"] * 2
    assert [path.name.rpartition("-")[0] for path in printed[::3]] == [
        "g-major-in-thirds-flute",
        "c-major-arpeggio-flute",
    ]


@pytest.mark.lilypond
def test_pictures_are_cut_to_the_music(printed: list[Path]) -> None:
    pages = [PdfReader(path) for path in printed if path.suffix == ".pdf"]
    for pdf in pages:
        assert len(pdf.pages) == 1
        box = pdf.pages[0].mediabox
        assert 15 < box.height < 200  # points; a whole page of Letter has 792
        assert not pdf.pages[0].extract_text().strip(" \n")[:20].count("major")
    first, second = (pdf.pages[0].mediabox for pdf in pages)
    assert first.height > second.height  # two lines and one
    assert second.width < first.width


@pytest.mark.lilypond
def test_png_and_svg_are_of_the_size_of_the_pdf(printed: list[Path]) -> None:
    png, svg, pdf = printed[:3]
    box = PdfReader(pdf).pages[0].mediabox
    # The PNG header, PNG specification 11.2.2: width and height follow the name of the first chunk.
    width, height = struct.unpack(">II", png.read_bytes()[16:24])
    assert width == pytest.approx(float(box.width) / 72 * 300, abs=8)
    assert height == pytest.approx(float(box.height) / 72 * 300, abs=8)
    root = etree.parse(svg).getroot()
    assert root.tag.endswith("svg")


@pytest.mark.parametrize("formats", [("midi",), ("png", "json")])
def test_other_formats_are_refused(formats: tuple[str, ...], tmp_path: Path) -> None:
    made = expand.exercises(["G major"], WHO).exercises
    with pytest.raises(RequestError, match="pdf, png, svg"):
        print_clips(SheetOrder(out=tmp_path / "out", formats=formats), WHO, made)
    assert not (tmp_path / "out").exists()
