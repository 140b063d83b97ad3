"""The page of a studio: a row for each pupil, with seven days to see at a glance, what is oldest and what slipped."""

import re
from collections.abc import Sequence

from generator.files.text import slug
from generator.pages.paper import Paper
from generator.progress.drawing import (
    BLACK,
    HAIR,
    TIED,
    WHITE,
    Box,
    Drawing,
    Line,
    Mark,
    Measure,
    Text,
    cut,
    wrapped,
)
from generator.progress.drawn_page import Frame, Heading, fitting, head, phrase_text
from generator.progress.overview import DrawingOrder, Drawn, house_fonts, place_drawings
from generator.progress.pictures import PagePainter
from generator.progress.report import WEEK
from generator.progress.studio import PupilStanding, StudioStanding
from generator.progress.table_page import with_feet
from generator.publish.codes import sheet_code
from generator.rotation.words import count, day_and_month, long_day, weekday

_NAME, _DAY, _COUNT, _GAP = 45.0, 5.4, 20.0, 3.0  # millimetres: columns and what parts them
_BOX, _LINE, _PAD = 3.8, 3.6, 2.6
_SIZE, _SMALL = 10.0, 8.5  # points
_LEAST, _MOST = 9.4, 17.0  # height of a row
_HEAD, _FOOT = 10.0, 12.0
_MOST_LINES = 2
_COUNTED = re.compile(r"(\d+) (days?|more)")


def studio_page(standing: StudioStanding, order: DrawingOrder) -> Drawn:
    """Draw the page; more pupils than one page holds take several.

    Args:
        standing: the figures.
        order: where to.

    Raises:
        OutputError: a file cannot be written.
    """
    press = PagePainter(house_fonts(), order.paper)
    drawings = studio_drawings(standing, order.paper, press.measure)
    code = sheet_code(["studio", order.paper, standing])
    stem = f"studio-{slug(standing.title, 40)}-{standing.today}-{code.lower()}"
    return place_drawings(press, drawings, stem, order, standing.title)


def studio_drawings(standing: StudioStanding, paper: Paper, measure: Measure) -> tuple[Drawing, ...]:
    """The pages."""
    frame = Frame.of(paper)
    seven = standing.seven
    days = f"{weekday(seven[0])} {day_and_month(seven[0])} to {weekday(seven[-1])} {long_day(seven[-1])}"
    practised = sum(one.week > 0 for one in standing.pupils)
    told = f"{practised} of {count(len(standing.pupils), 'pupil')} practised"
    top_marks, top = head(frame, Heading(standing.title, "How everyone stands", days, told), measure)
    room = frame.bottom - _FOOT - top - _HEAD
    if standing.refused:
        room -= _LINE * (len(standing.refused) + 1)
    rows = list(standing.pupils)
    needed = [_height(one, frame, measure) for one in rows]
    pages: list[list[Mark]] = []
    at = 0
    while at < len(rows) or not pages:
        taken, used = 0, 0.0
        while at + taken < len(rows) and used + needed[at + taken] <= room:
            used += needed[at + taken]
            taken += 1
        taken = max(taken, 1)
        more = min((room - used) / taken, 3.0)
        marks = [*top_marks, *_titles(standing, frame, top + 6)]
        y = top + _HEAD
        for one, height in zip(rows[at : at + taken], needed[at : at + taken], strict=True):
            marks += _row(one, frame, y, height + more, measure)
            y += height + more
        at += taken
        if at >= len(rows):
            marks += _refused(standing, frame, y + 5, measure)
        pages.append(marks)
    foot = "In brackets: days of the week before. Slipped: felt worse, or was slower, than before these days."
    return with_feet(pages, frame, foot)


def _columns(frame: Frame) -> tuple[float, float, float, float]:
    """Where days, counts, the oldest and the slipped begin."""
    days = frame.left + _NAME
    counts = days + WEEK * _DAY + _GAP
    oldest = counts + _COUNT
    return days, counts, oldest, oldest + (frame.right - oldest + _GAP) / 2


def _width(frame: Frame) -> float:
    """Of the columns of words."""
    oldest = _columns(frame)[2]
    return (frame.right - oldest - _GAP) / 2


def _titles(standing: StudioStanding, frame: Frame, y: float) -> list[Mark]:
    days, counts, oldest, slipped = _columns(frame)
    marks: list[Mark] = [Text(frame.left, y, "Pupil", _SMALL, "bold")]
    marks += [
        Text(days + (n + 0.5) * _DAY, y, weekday(day)[:2], 7.5, "regular", "center")
        for n, day in enumerate(standing.seven)
    ]
    marks += [
        Text(counts, y, "Days", _SMALL, "bold"),
        Text(oldest, y, "Oldest", _SMALL, "bold"),
        Text(slipped, y, "Slipped", _SMALL, "bold"),
        Line(((frame.left, y + 1.8), (frame.right, y + 1.8)), 0.8),
    ]
    return marks


def _lines(words: str, width: float, measure: Measure) -> tuple[str, ...]:
    """Words in a column, at most two lines of them."""
    tied = _COUNTED.sub(rf"\1{TIED}\2", phrase_text(words))
    lines = wrapped(tied, width, _SMALL, measure)
    if len(lines) <= _MOST_LINES:
        return lines
    rest = " ".join(lines[_MOST_LINES - 1 :])
    return (*lines[: _MOST_LINES - 1], cut(rest, width, _SMALL, measure))


def _slipped(one: PupilStanding) -> str:
    """The worst of what slipped, as it is now, and how many more."""
    if not one.slipped:
        return ""
    worst, *others = one.slipped
    more = f"; {len(others)} more" if others else ""
    return f"{worst.name}: {worst.how.rpartition(', ')[2]}{more}"


def _height(one: PupilStanding, frame: Frame, measure: Measure) -> float:
    width = _width(frame)
    lines = max(len(_lines(words, width, measure)) for words in (one.oldest, _slipped(one)))
    return min(max(_LEAST, lines * _LINE + _PAD, len(_counted(one)) * _LINE + _PAD), _MOST)


def _counted(one: PupilStanding) -> tuple[str, ...]:
    """Days of the week, and minutes."""
    before = "" if one.earlier is None else f" ({one.earlier})"
    minutes = (f"{one.minutes} min",) if one.minutes is not None else ()
    return (f"{one.week} of {WEEK}{before}", *minutes)


def _row(one: PupilStanding, frame: Frame, y: float, height: float, measure: Measure) -> list[Mark]:
    days, counts, oldest, slipped = _columns(frame)
    base, width = y + 4.0, _width(frame)
    marks: list[Mark] = [
        *fitting(one.label, frame.left, base, _NAME - _GAP, measure, size=_SIZE, face="bold"),
        *fitting(
            f"{phrase_text(one.instrument).split(' in ')[0]} · {one.begun} of {one.kept} begun",
            frame.left,
            base + _LINE,
            _NAME - _GAP,
            measure,
            size=7.5,
        ),
    ]
    for number, played in enumerate(one.days):
        x = days + number * _DAY + (_DAY - _BOX) / 2
        marks.append(Box(x, y + 1.2, _BOX, _BOX, 0.25 if played else WHITE, HAIR))
    if one.length > WEEK:
        whole = f"{one.practised} of {count(one.length, 'day')} in all"
        marks += fitting(whole, days + 0.8, base + _LINE + 0.6, WEEK * _DAY, measure, size=7.5)
    marks += _column(_counted(one), counts, base)
    marks += _column(_lines(one.oldest, width, measure) or ("nothing yet",), oldest, base)
    marks += _column(_lines(_slipped(one), width, measure) or ("–",), slipped, base)
    marks.append(Line(((frame.left, y + height), (frame.right, y + height)), HAIR))
    return marks


def _column(lines: Sequence[str], x: float, base: float) -> list[Mark]:
    return [Text(x, base + n * _LINE, line, _SMALL, ink=BLACK) for n, line in enumerate(lines)]


def _refused(standing: StudioStanding, frame: Frame, y: float, measure: Measure) -> list[Mark]:
    marks: list[Mark] = []
    for number, one in enumerate(standing.refused):
        marks += fitting(
            f"Left out: {one.words}", frame.left, y + number * _LINE, frame.width, measure, size=_SMALL
        )
    return marks
