"""A day's sheet for one file that needs no server: everything to play from it, at three widths."""

import re
from typing import Any

from generator.api.days import Today
from generator.api.desk import StandSettings
from generator.api.stand_day import player_view, sheet_view
from generator.files.text import slug
from generator.pages.screen import Screen
from generator.practice.words import sheet_order
from generator.publish.screen import ScreenPress
from generator.publish.sheet import SheetOrder

SCREENS = (Screen(336, 420), Screen(720, 640), Screen(1180, 460))
"""Room for music on a phone, a tablet and a laptop, margins taken off."""
# Decimals beyond a hundredth of a point, which nobody sees; a scale keeps its own.
_FINER = re.compile(r'transform="[^"]*"|(\d\.\d\d)\d+')
# What Cairo writes of each glyph and line, and what means the same (SVG 1.1, 11.2: what is not said is black).
_SHORTER = (
    (re.compile(r'<g style="fill:rgb\(0%,0%,0%\);fill-opacity:1;">\s*(<use [^>]*/>)\s*</g>\s*'), r"\1"),
    (re.compile(r"stroke:rgb\(0%,0%,0%\);stroke-opacity:1;stroke-miterlimit:10;"), "stroke:#000"),
    (re.compile(r" ?stroke:none;fill-rule:nonzero;fill:rgb\(0%,0%,0%\);fill-opacity:1;"), ""),
    (re.compile(r" Z M [-\d.]+ [-\d.]+ \""), ' Z"'),
)


def sheet_data(done: Today, a4: int, press: ScreenPress) -> dict[str, Any]:
    """What the file holds, as `generator.stand.one_file` takes it.

    Args:
        done: a sheet that is in the log.
        a4: the A above middle C, in Hz.
        press: makes the pictures.

    Raises:
        MachineError: LilyPond failed.
    """
    session, page = done.session, done.page
    start = player_view(session, StandSettings(a4=a4), page.sheet.day)
    # The file may travel: where things lie on this computer is nobody else's business.
    start |= {"plan": None, "home": ""}
    today = {**sheet_view(session, page, a4, {}), "sheet": page.sheet.code, "remarks": []}
    pictures = [
        {
            "w": screen.width,
            "pages": {
                str(number): [[*map(_short, one)] for one in press.all_pictures(exercise, screen)]
                for number, exercise in enumerate(page.exercises, 1)
            },
        }
        for screen in SCREENS
    ]
    return {"start": start, "today": today, "pictures": pictures}


def _short(picture: str) -> str:
    """The same picture in fewer letters."""
    picture = _FINER.sub(lambda found: found[1] or found[0], picture)
    for long, short in _SHORTER:
        picture = long.sub(short, picture)
    return picture


def file_name(done: Today) -> str:
    """What the file is called: as the printed sheet is, with another ending."""
    sheet = done.page.sheet
    title = sheet_order(sheet, done.session.plan, SheetOrder()).title
    return f"{slug(title, 48)}-{slug(sheet.instrument, 32)}-{sheet.code.lower()}.html"
