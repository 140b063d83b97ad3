r"""Pages of a handout as LilyPond text: a score, the parts of many players in one file, tables.

Parts and tables are one `\book` each, so that one run of LilyPond engraves many of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from typing import Any

from generator.engraving import music
from generator.engraving.escape import Ly, ly_string
from generator.engraving.include import house_style
from generator.engraving.manner import page_setup
from generator.engraving.render import filled, page_context, signs
from generator.exercise.records import Exercise
from generator.files.resources import own_text
from generator.pages.alike import Lines
from generator.pages.paper import Paper
from generator.pages.score import Score, ScoreItem, Staff, split_name, split_short
from generator.pages.sheet import SheetLayout, Words
from generator.pages.tables import Block, TablePage

EXTRA = "score.ily"
WORDS = music.WORDS | {
    "markup", "music-text", "bold", "paragraph", "notices", "ruled-table", "staff-name", "StaffGroup", "square", "with",
    "scoreLayout", "scorePaper", "noPageBreak", "besideLines", "besideTitle",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PartPage:
    """The pages of one part.

    Attributes:
        output: stem of its file.
        sheet: laid out.
        blanks: what is to be filled in beside the subtitle, like ``Name 34|Date 16``.
    """

    output: str
    sheet: SheetLayout
    blanks: str = ""


def includes(folder: Path) -> dict[str, str]:
    """The include files of scores, parts and tables, by name."""
    return {**house_style(folder), EXTRA: own_text(folder / EXTRA)}


def render_parts(parts: Sequence[PartPage], paper: Paper, folder: Path) -> str:
    """Parts as one text, a book each.

    Args:
        parts: in order; without an output stem a part stands alone in its file.
        paper: of all.
        folder: where the templates are.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    context = {
        **page_setup(paper),
        "midi": False,
        "parts": [_part(part) for part in parts],
    }
    return filled("parts.ly.j2", context, folder, WORDS)


def render_tables(pages: Sequence[TablePage], paper: Paper, folder: Path) -> str:
    """Pages of tables as one text, a book each.

    Raises:
        EngravingError: as `render_parts`.
    """
    context = {
        **page_setup(paper),
        "pages": [_table_page(page) for page in pages],
    }
    return filled("tables.ly.j2", context, folder, WORDS)


def render_score(score: Score, folder: Path) -> str:
    """A score as one text.

    Raises:
        EngravingError: as `render_parts`.
    """
    context = {
        **header_fields(score.words),
        **page_setup(score.paper),
        "blanks": ly_string(""),
        "indent": Ly(f"{score.indent:.2f}"),
        "short_indent": Ly(f"{score.short_indent:.2f}"),
        "ragged": Ly("##t"),
        "items": [_score_item(item, score) for item in score.items],
    }
    return filled("score.ly.j2", context, folder, WORDS)


def header_fields(words: Words) -> dict[str, Any]:
    """Title and the like, as the templates read them."""
    return {
        "title": ly_string(signs(words.title)),
        "subtitle": ly_string(signs(words.subtitle)),
        "instrument": ly_string(signs(words.instrument)),
        "remark": ly_string(signs(words.remark), 400),
        "notices": _notices(words),
        "footer": ly_string(signs(words.footer)),
    }


def _part(part: PartPage) -> dict[str, Any]:
    return {
        **page_context(part.sheet),
        "output": _output(part.output),
        "blanks": ly_string(part.blanks),
        "notices": _notices(part.sheet.words),
        "beside": part.sheet.column > 0,
    }


def _notices(words: Words) -> list[Ly]:
    return [ly_string(signs(line), 400) for line in words.notices if line]


def _output(stem: str) -> Ly | None:
    return ly_string(stem) if stem else None


def block_fields(block: Block) -> dict[str, Any]:
    """A table, a paragraph or both, as the templates read them."""
    return {
        "heading": ly_string(signs(block.heading)) if block.heading else None,
        "text": ly_string(signs(block.text), 600) if block.text else None,
        "least": Ly(f"{block.least:g}"),
        "widths": ly_string(" ".join(map(str, block.widths))),
        "cells": [[ly_string(signs(cell), 120) for cell in row] for row in block.rows],
    }


def _table_page(page: TablePage) -> dict[str, Any]:
    return {
        **header_fields(page.words),
        "output": _output(page.output),
        "blanks": ly_string(page.blanks),
        "blocks": [block_fields(block) for block in page.blocks],
    }


def _score_item(item: ScoreItem, score: Score) -> dict[str, Any]:
    staves = [
        _staff(n, staff, item, score, first_item=item is score.items[0])
        for n, staff in enumerate(score.staves)
    ]
    choirs: list[list[dict[str, Any]]] = []
    for _, choir in groupby(zip(score.staves, staves, strict=True), key=lambda pair: pair[0].choir):
        players = [
            [text for _, text in same] for _, same in groupby(choir, key=lambda pair: pair[0].instrument)
        ]
        choirs.append([{"several": len(same) > 1, "staves": same} for same in players])
    first = item.exercises[0]
    return {
        "number": ly_string(f"{item.number}." if item.number else ""),
        "heading": ly_string(signs(item.heading)),
        "ticks": ly_string(tick_row(first)),
        "marks": music.mark_line(item.lines[0]),
        "choirs": choirs,
        "later": item is not score.items[0],
        "metre_hidden": not first.metre_shown,
        "keys_alone": any(p.signature is not None for lines in item.lines for line in lines for p in line),
    }


def _staff(number: int, staff: Staff, item: ScoreItem, score: Score, *, first_item: bool) -> dict[str, Any]:
    exercise = item.exercises[number]
    lines = item.lines[number] if number == 0 else unlabelled(item.lines[number])
    opening = music.opening(
        exercise.clef,
        exercise.signature,
        lines[0][0].metre,
        ottava=exercise.ottava,
        feel=exercise.feel if number == 0 else "",
    )
    # Full names once; after that everyone knows.
    long, short = score.names
    return {
        "name": _name(split_name(staff.name), long) if first_item else _name(split_short(staff.short), short),
        "short": _name(split_short(staff.short), short),
        "opening": opening,
        "lines": music.line_texts(lines, exercise.repeats),
        "chords": music.chord_line(lines),
    }


def _name(lines: Sequence[str], room: float) -> Ly:
    first, second = (*lines, "")[:2]
    return Ly(f"#{room:.1f} {ly_string(signs(first))} {ly_string(signs(second))}")


def unlabelled(lines: Lines) -> Lines:
    """The same without what stands over the top staff for all: labels of cells, and numbers of places."""
    return tuple(
        tuple(
            replace(piece, label="", notes=tuple(replace(n, place="") if n.place else n for n in piece.notes))
            for piece in line
        )
        for line in lines
    )


def tick_row(exercise: Exercise) -> str:
    """Beat and tempi to tick of a score."""
    return " ".join([str(exercise.beat), *(str(t) for t in exercise.tempi or ("_",))])


__all__ = ["EXTRA", "WORDS", "PartPage", "includes", "render_parts", "render_score", "render_tables"]
