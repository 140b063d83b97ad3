"""A tuning page as LilyPond text."""

from itertools import pairwise
from pathlib import Path
from typing import Any

from generator.engraving import music
from generator.engraving.escape import Ly, ly_string
from generator.engraving.include import house_style
from generator.engraving.manner import page_setup
from generator.engraving.render import filled, signs
from generator.files.resources import own_text
from generator.pages.tuning import TuningLayout, TuningRow

EXTRA = "tuning.ily"
WORDS = music.WORDS | {
    "Lyrics", "lyricmode", "set", "markup", "row-text", "blank", "skip",
}  # fmt: skip
_LONGEST = 14  # letters of a fingering that have room under a note


def tuning_style(folder: Path) -> dict[str, str]:
    """The include files of a tuning page, by name.

    Raises:
        OutputError: this installation lacks one.
    """
    return {**house_style(folder), EXTRA: own_text(folder / EXTRA)}


def render_tuning(page: TuningLayout, folder: Path) -> str:
    """The text of a tuning page.

    Args:
        page: laid out.
        folder: where the templates are.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    words = page.words
    context = {
        **page_setup(page.paper),
        "title": ly_string(words.title),
        "subtitle": ly_string(words.subtitle),
        "instrument": ly_string(signs(words.instrument)),
        "date": ly_string(words.date),
        "remark": ly_string(words.remark, 500),
        "footer": ly_string(words.footer),
        "clef": Ly(music.clef_text(page.clefs[0])),
        "lines": _lines(page),
        "rows": [_row(row) for row in page.rows],
    }
    return filled("tuning.ly.j2", context, folder, WORDS)


def _lines(page: TuningLayout) -> list[Ly]:
    changes = [False, *(before != after for before, after in pairwise(page.clefs))]
    texts = [
        (f"{music.clef_text(clef)} " if change else "") + f"{music.pitch_text(note)}1"
        for note, clef, change in zip(page.notes, page.clefs, changes, strict=True)
    ]
    starts = range(0, len(texts), page.per_line)
    lines = [" ".join(texts[start : start + page.per_line]) for start in starts]
    return [
        Ly(line + (r" \break" if place < len(lines) - 1 else r" \fin")) for place, line in enumerate(lines)
    ]


def _row(row: TuningRow) -> dict[str, Any]:
    return {
        "label": ly_string(row.label),
        "cells": [ly_string(signs(cell), _LONGEST) if cell else "" for cell in row.cells],
        "blank": row.blank,
    }
