"""Heights of lines and headings: what is reckoned is what LilyPond is told, and what it makes of it."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from generator.catalogue.players import player_named
from generator.engraving import lilypond
from generator.engraving.include import house_style
from generator.engraving.render import render
from generator.files.resources import data_folder
from generator.pages import systems
from generator.pages.fill import System
from generator.pages.heights import profile
from generator.pages.paper import Paper
from generator.pages.sheet import SheetItem, SheetLayout, Words, lay_out
from generator.pages.systems import Head, head_height, overhead
from generator.phrase import expand

LETTER = Paper.of("letter", "normal")
HOUSE = data_folder("templates") / "house.ily"
DPI = 110  # of the pictures that LilyPond makes
PHRASES = {
    "alto saxophone": ["G major", "C major in thirds, two octaves", "F major, all slurred, two octaves"],
    "trumpet": ["whole-tone on C, usual articulations"],
    "flute": ["all sharp keys, major in thirds"],
    "clarinet": ["long tones on G", "G major in fourths, slur two tongue two", "A minor, double tongue"],
    "cello": ["all flat keys, major in triads"],
}


def laid(instrument: str, *phrases: str, paper: Paper = LETTER) -> SheetLayout:
    made = expand.exercises(phrases, player_named(instrument)).exercises
    return lay_out(made, Words("Sheet", instrument), paper)


def spacing(name: str) -> tuple[float, float, float, float]:
    found = re.search(rf"^  {name} = #'\((.*)\)$", HOUSE.read_text(), re.MULTILINE)
    assert found is not None
    numbers = [float(number) for number in re.findall(r"\. ([0-9.]+)\)", found[1])]
    natural, least, padding, stretch = numbers
    return natural, least, padding, stretch


def test_distances_are_those_of_the_house_style() -> None:
    assert spacing("score-markup-spacing")[:3] == systems.STAFF_TO_HEADING
    assert spacing("markup-system-spacing")[:3] == systems.HEADING_TO_STAFF
    assert spacing("system-system-spacing")[:3] == systems.STAFF_TO_STAFF
    assert spacing("last-bottom-spacing")[:3] == systems.STAFF_TO_FOOT
    over = spacing("score-markup-spacing")[3] + spacing("markup-system-spacing")[3]
    large = re.search(r"^largeGive = #([0-9]+)$", HOUSE.read_text(), re.MULTILINE)
    assert large is not None
    staff = spacing("system-system-spacing")[3]
    assert {"heading": over, "staff": staff, "large staff": float(large[1])} == systems.GIVES


@pytest.mark.lilypond
@pytest.mark.parametrize("instrument", PHRASES)
def test_staves_stand_where_they_were_reckoned_to_stand(instrument: str, tmp_path: Path) -> None:
    sheet = laid(instrument, *PHRASES[instrument])
    items = tuple(replace(item, new_page=False, page_starts=()) for item in sheet.items)
    text = render(replace(sheet, items=items, pages=1, stretched=False), data_folder("templates"))
    long_page = '\\include "house.ily"\n\\paper { paper-height = 1400\\mm }'
    text = text.replace('\\include "house.ily"', long_page)
    files = {lilypond.MAIN: text, **house_style(data_folder("templates"))}
    made = lilypond.engrave(files, formats=("png",)).files
    (picture,) = [data for name, data in made.items() if name.endswith(".png")]
    (tmp_path / "page.png").write_bytes(picture)
    seen = staves(tmp_path / "page.png", LETTER.space)
    reckoned = [b.after for item in sheet.items for b in after(item, sheet)]
    measured = [(low - high) / LETTER.space for high, low in pairwise(seen)]
    assert len(measured) == len(reckoned) - 1
    wrong = [r - m for r, m in zip(reckoned[1:], measured, strict=True)]
    # Never much too low, which would make a page too full; a little too high leaves a little air.
    assert min(wrong) > -1.2
    assert sum(wrong) / len(wrong) < 1.6


def after(item: SheetItem, sheet: SheetLayout) -> list[System]:
    before = next((a for a, b in pairwise(sheet.items) if b is item), None)
    hung = before.profiles[-1] if before else None
    return systems.systems_of(item.profiles, overhead(item.head, item.room), hung)


def staves(picture: Path, space: float) -> list[float]:
    """Middles of the staves in millimetres: five long lines at equal distances."""
    dark = np.asarray(Image.open(picture).convert("L")) < 200
    rows: list[list[int]] = []
    for row in np.nonzero(dark.sum(axis=1) > 0.18 * dark.shape[1])[0]:
        edges = np.diff(np.concatenate([[0], dark[row].astype(int), [0]]))
        if (np.nonzero(edges == -1)[0] - np.nonzero(edges == 1)[0]).max() < 0.15 * dark.shape[1]:
            continue
        if rows and row - rows[-1][-1] <= 1:
            rows[-1].append(int(row))
        else:
            rows.append([int(row)])
    lines = [float(np.mean(row)) * 25.4 / DPI for row in rows]
    found: list[float] = []
    at = 0
    while at + 4 < len(lines):
        whole = abs(lines[at + 4] - lines[at] - 4 * space) < 0.8
        if whole:
            found.append(lines[at + 2])
        at += 5 if whole else 1
    return found


def test_high_and_low_notes_stand_out_of_their_line() -> None:
    high, low = laid("flute", "C major, three octaves").items, laid("tuba", "F major, first notes").items
    assert max(p.above for item in high for p in item.profiles) > 6  # C7 stands on five ledger lines
    assert max(p.below for item in low for p in item.profiles) > 4


def test_music_may_rise_beside_the_words_over_it() -> None:
    (item,) = laid("alto saxophone", "G major, two octaves").items
    line = item.profiles[0]
    short, long = (overhead(Head(words, ticks="4 _"), LETTER.line) for words in ("1. G major", "1. G " * 14))
    assert short.dip(line) > 0
    assert long.dip(line) < short.dip(line)
    # Where the words reach, the clef stays clear of them.
    assert short.height - short.dip(line) + line.above > short.depths[0] + line.up[0]


def test_a_long_heading_takes_two_lines() -> None:
    one, two = (
        head_height(Head(words, ticks="4 60 72 84 96 108"), LETTER.line)
        for words in ("1. G", "1. Word " * 12)
    )
    assert two > one


def test_hairpins_and_syllables_hang_below_the_whole_line() -> None:
    long_tones, spoken = (
        laid("clarinet", "long tones on G").items,
        laid("flute", "G major, double tongue").items,
    )
    plain = laid("flute", "G major").items
    assert min(long_tones[0].profiles[0].down[1:]) > 3.5
    assert spoken[0].profiles[0].below > plain[0].profiles[0].below
    assert profile(plain[0].layout.lines[0], 1, first=True, share=0.5).above == pytest.approx(
        plain[0].profiles[0].above
    )
