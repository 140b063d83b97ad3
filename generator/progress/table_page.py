"""The first page of a progress report: keys across, kinds of exercise down, days since last played in each cell.

Made for black printers: shades and numbers say the same, and what is due has a mark in its corner besides.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from generator.progress.drawing import (
    BLACK,
    HAIR,
    WHITE,
    Box,
    Drawing,
    Face,
    Line,
    Mark,
    Measure,
    Shape,
    Text,
    wrapped,
)
from generator.progress.drawn_page import Frame, Heading, fitting, foot, head, key_text, phrase_text
from generator.progress.report import CIRCLE, Cell, Report, TableRow
from generator.rotation.words import count
from generator.theory.key import usual_name

# Ink for: lately, half the wanted gap, due, due for as long again. Far enough apart for a poor copier.
SHADES = (WHITE, 0.87, 0.68, 0.36)
ROW, KEY_ROW, LEGEND, LINE = 9.0, 11.0, 19.0, 5.2  # millimetres
_LABEL, _NUMBER, _SMALL = 9.5, 10.5, 8.5  # points
_WIDEST_LABEL, _NARROWEST_LABEL = 54.0, 30.0
_LABEL_LINE = 3.7
_HEADED_LIST = 9.0
MOST_COMING = 8
_EXPLAINED = (
    "Numbers are days since the exercise was last played. Shades compare the wait with the wanted gap, both in practice"
    " days: days on which something was noted."
)


@dataclass(frozen=True, slots=True)
class _Label:
    """The name of a kind, in lines of one size."""

    lines: tuple[str, ...]
    size: float

    @property
    def height(self) -> float:
        """Height of its row."""
        return max(ROW, len(self.lines) * _LABEL_LINE + 1.8)


_Labelled: TypeAlias = tuple[TableRow, _Label]


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where the table stands."""

    frame: Frame
    label: float

    @property
    def cell(self) -> float:
        return (self.frame.width - self.label) / len(CIRCLE)

    def x(self, place: int) -> float:
        return self.frame.left + self.label + place * self.cell


def table_pages(report: Report, heading: Heading, frame: Frame, measure: Measure) -> list[list[Mark]]:
    """The marks of each page of the table, without footers; the last one lists what is due, as far as there is room.

    Args:
        report: the figures.
        heading: what stands at the top of each page.
        frame: the part of the paper to draw on.
        measure: widths of words.
    """
    marks, top = head(frame, heading, measure)
    widest = max((measure(phrase_text(row.kind), _LABEL, "regular") for row in report.rows), default=0)
    grid = _Grid(frame, min(max(widest + 3, _NARROWEST_LABEL), _WIDEST_LABEL))
    room = frame.bottom - 6 - top - KEY_ROW - LEGEND
    labelled = [(row, _label(row, grid, measure)) for row in report.rows]
    pages = []
    y = top
    for chunk in _chunks(labelled, room):
        page = [*marks]
        y = top
        if chunk:
            page += _keys(report, grid, y, measure)
            y += KEY_ROW
            for row, label in chunk:
                page += _row(row, label, grid, y)
                y += label.height
            page += _legend(frame, y, measure)
            y += LEGEND
        pages.append(page)
    if not report.kept:
        pages[-1].append(Text(frame.left, y + 8, "There is nothing on the list on this day.", _NUMBER))
    pages[-1] += _lists(report, frame, y, measure)
    return pages


def _label(row: TableRow, grid: _Grid, measure: Measure) -> _Label:
    words, room = phrase_text(row.kind), grid.label - 3
    if measure(words, _LABEL, "regular") <= room:
        return _Label((words,), _LABEL)
    return _Label(wrapped(words, room, _SMALL, measure), _SMALL)


def _chunks(labelled: Sequence[_Labelled], room: float) -> list[list[_Labelled]]:
    """The rows of each page; at least one page, at least one row on each."""
    chunks: list[list[_Labelled]] = [[]]
    left = room
    for row, label in labelled:
        height = label.height
        if chunks[-1] and height > left:
            chunks.append([])
            left = room
        chunks[-1].append((row, label))
        left -= height
    return chunks


def _keys(report: Report, grid: _Grid, top: float, measure: Measure) -> list[Mark]:
    """The names of the keys; the second name of a key stands small under the first."""
    marks: list[Mark] = []
    for place, names in enumerate(report.columns):
        first, *others = names or (usual_name(CIRCLE[place], 0),)
        x = grid.x(place) + grid.cell / 2
        marks.append(Text(x, top + (6 if others else 8.5), key_text(first), 11, "bold", "center"))
        if others:
            small = ", ".join(map(key_text, others))
            marks += [
                Text(
                    x, top + 9.8, small, 8 if measure(small, 8, "regular") < grid.cell else 6, align="center"
                )
            ]
    return marks


def _row(row: TableRow, label: _Label, grid: _Grid, y: float) -> list[Mark]:
    first = y + label.height / 2 + 1.2 - (len(label.lines) - 1) / 2 * _LABEL_LINE
    marks: list[Mark] = [
        Text(grid.frame.left, first + number * _LABEL_LINE, line, label.size)
        for number, line in enumerate(label.lines)
    ]
    for place, cell in enumerate(row.cells):
        if cell is not None:
            marks += _cell(cell, grid.x(place), y, grid.cell, label.height)
    return marks


def _cell(cell: Cell, x: float, y: float, width: float, height: float) -> list[Mark]:
    middle, base = x + width / 2, y + height / 2
    if cell.never:
        return [*_ground(x, y, width, height, WHITE), Text(middle, base + 1, "never", 8, "italic", "center")]
    ink = WHITE if cell.step == 3 else BLACK
    face: Face = "bold" if cell.due else "regular"
    marks = _ground(x, y, width, height, SHADES[cell.step])
    if cell.due:
        marks.append(_corner(x + width, y, ink))
    return [*marks, Text(middle, base + 1.35, str(cell.days), _NUMBER, face, "center", ink)]


def _ground(x: float, y: float, width: float, height: float, shade: float) -> list[Mark]:
    return [Box(x, y, width, height, shade, HAIR)]


def _corner(x: float, y: float, ink: float) -> Shape:
    """The mark of what is due, in the upper right corner."""
    return Shape(((x - 2.6, y + 0.35), (x - 0.35, y + 0.35), (x - 0.35, y + 2.6)), ink)


def _legend(frame: Frame, top: float, measure: Measure) -> list[Mark]:
    """What shades and marks mean, in one line, and a sentence below."""
    words = ("lately", "half the wanted gap", "due", "due for as long again", "never played")
    y, x, width, height = top + 3.2, frame.left, 8.5, 5.0
    marks: list[Mark] = []
    gap = (frame.width - 1 - sum(width + 1.5 + measure(one, _SMALL, "regular") for one in words)) / (
        len(words) - 1
    )
    for step, one in enumerate(words):
        shade = SHADES[step] if step < len(SHADES) else WHITE
        marks += _ground(x, y, width, height, shade)
        if step in (2, 3):
            marks.append(_corner(x + width, y, WHITE if step == 3 else BLACK))
        if step == len(SHADES):
            marks.append(Text(x + width / 2, y + 3.4, "never", 7, "italic", "center"))
        marks.append(Text(x + width + 1.5, y + 3.6, one, _SMALL))
        x += width + 1.5 + measure(one, _SMALL, "regular") + max(gap, 2)
    for number, line in enumerate(wrapped(_EXPLAINED, frame.width, _SMALL, measure)[:2]):
        marks.append(Text(frame.left, y + 9.2 + 3.6 * number, line, _SMALL))
    return marks


def _lists(report: Report, frame: Frame, y: float, measure: Measure) -> list[Mark]:
    """Exercises without a key, what is due, and what comes next, in the room that is left."""
    marks: list[Mark] = []
    coming = "Next to come due" if report.due else "Nothing is due; next to come"
    for title, cells, most in (
        ("Without a key", report.keyless, None),
        ("Due, the longest overdue first", report.due, None),
        (coming, report.coming, MOST_COMING),
    ):
        lines = int((frame.bottom - 6 - y - _HEADED_LIST) // LINE)
        if not cells or lines < 2:
            continue
        whole = len(cells) <= lines or most is not None
        shown = cells[: min(lines, most or lines)] if whole else cells[: lines - 1]
        marks += _list_head(title, frame, y + 6, measure)
        y += 7.6
        for cell in shown:
            y += LINE
            marks += _list_line(cell, frame, y, measure)
        if not whole:
            y += LINE
            marks.append(Text(frame.left, y, f"and {len(cells) - len(shown)} more", 9.5, "italic"))
        y += 3
    return marks


_COLUMNS = (("last played", 0.64), ("practice days waited", 0.84), ("wanted every", 1.0))


def _list_head(title: str, frame: Frame, y: float, measure: Measure) -> list[Mark]:
    marks: list[Mark] = [*fitting(title, frame.left, y, 0.5 * frame.width, measure, size=11, face="bold")]
    marks += [Text(frame.left + at * frame.width, y, words, _SMALL, align="right") for words, at in _COLUMNS]
    return [*marks, Line(((frame.left, y + 1.6), (frame.right, y + 1.6)), HAIR)]


def _list_line(cell: Cell, frame: Frame, y: float, measure: Measure) -> list[Mark]:
    days = cell.days
    ago = "never" if days is None else ("today" if days == 0 else f"{count(days, 'day')} ago")
    told = (ago, str(cell.waited), str(cell.gap))
    marks: list[Mark] = [
        *fitting(phrase_text(cell.name), frame.left, y, 0.5 * frame.width, measure, size=9.5)
    ]
    return marks + [
        Text(frame.left + at * frame.width, y, words, 9.5, align="right")
        for words, (_, at) in zip(told, _COLUMNS, strict=True)
    ]


def with_feet(pages: Sequence[Sequence[Mark]], frame: Frame, words: str) -> tuple[Drawing, ...]:
    """Pages with their footers, numbered."""
    return tuple(
        Drawing(frame.paper_width, frame.paper_height, (*marks, *foot(frame, words, number, len(pages))))
        for number, marks in enumerate(pages, 1)
    )
