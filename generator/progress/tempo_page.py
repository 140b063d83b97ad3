"""The second page of a progress report: tempo over time against the goal, minutes by day, days practised by week."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.progress.drawing import HAIR, WHITE, Box, Dot, Line, Mark, Measure, Text, wrapped
from generator.progress.drawn_page import Frame, Heading, fitting, head, phrase_text
from generator.progress.report import WEEK, Course, Period, Report, Stretch, monday
from generator.rotation.words import count, month, short_day

_GRID, _BAR = 0.85, 0.45  # ink
_SMALL, _NAME, _TITLE = 8.5, 9.5, 11.0  # points
_GUTTER, _TICKS = 10.0, 8.0  # millimetres between two panels; for the numbers at their left
_LAST = 9.0  # room for the last value at the right of a panel
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200)
# Periods longer than this many days are marked by months, then by years; bars stand for weeks, then for months.
_MONTHLY, _YEARLY, _DAILY = 6 * WEEK, 900, 200
_MOST_WEEKS, _LONGEST_MONTH = 60, 31
_CROWDED = 60  # tempi
_NARROW = 1.2  # millimetres
_SENTENCE = 4.4  # millimetres
_ACROSS, _DOWN = 2, 6


@dataclass(frozen=True, slots=True)
class _Plot:
    """A rectangle in which days run from left to right and numbers upwards."""

    left: float
    right: float
    top: float
    bottom: float
    period: Period
    low: float
    high: float

    def x(self, day: dt.date) -> float:
        """The middle of a day."""
        return self.left + ((day - self.period.since).days + 0.5) * self.slot

    @property
    def slot(self) -> float:
        return (self.right - self.left) / self.period.length

    def y(self, number: float) -> float:
        return self.bottom - (number - self.low) / (self.high - self.low) * (self.bottom - self.top)


def course_page(
    report: Report, heading: Heading, frame: Frame, measure: Measure, week: Sequence[str] = ()
) -> list[Mark]:
    """The marks of the page, without its footer.

    Args:
        report: the figures.
        heading: what stands at the top.
        frame: the part of the paper to draw on.
        measure: widths of words.
        week: sentences about the last seven days.
    """
    marks, y = head(frame, heading, measure)
    y = _sentences(marks, week, frame, y, measure)
    y = _part(marks, "Tempo of what was played most, and the goal (dashed)", "", frame, y + 7.5, measure)
    end = frame.bottom - 6
    below = 90.0  # for minutes and weeks
    if report.courses:
        rows = -(-len(report.courses) // 2)
        height = min((end - below - y) / rows, 50)
        for number, course in enumerate(report.courses):
            left = frame.left + (number % 2) * (frame.width + _GUTTER) / 2
            top = y + number // 2 * height
            marks += _panel(course, report.period, (left, top, (frame.width - _GUTTER) / 2, height), measure)
        y += rows * height
    else:
        marks.append(Text(frame.left, y + 4, "No exercise has a tempo on two days of this period.", 9.5))
        y += 6
    y = _minutes(marks, report, frame, y + 6, measure)
    _weeks(marks, report, frame, y + 6, measure)
    return marks


def _sentences(marks: list[Mark], week: Sequence[str], frame: Frame, y: float, measure: Measure) -> float:
    """What changed in the last seven days, a line or two each."""
    if not week:
        return y
    y = _part(marks, "The last seven days", "", frame, y + 7.5, measure) + 2.5
    for sentence in week:
        words = phrase_text(sentence[0].upper() + sentence[1:])
        for line in wrapped(words, frame.width, _NAME, measure):
            marks.append(Text(frame.left, y, line, _NAME))
            y += _SENTENCE
    return y - 2


def tempo_pages(
    courses: Sequence[Course], period: Period, heading: Heading, frame: Frame, measure: Measure
) -> list[list[Mark]]:
    """Pages with a small picture of each exercise: its tempi over time beside its goal; without footers.

    Args:
        courses: the exercises, in the order of the list.
        period: the days they show.
        heading: what stands at the top.
        frame: the part of the paper to draw on.
        measure: widths of words.
    """
    pages: list[list[Mark]] = []
    for start in range(0, len(courses), _ACROSS * _DOWN):
        marks, y = head(frame, heading, measure)
        width = (frame.width - _GUTTER * (_ACROSS - 1)) / _ACROSS
        height = (frame.bottom - 6 - y - 3) / _DOWN
        for number, course in enumerate(courses[start : start + _ACROSS * _DOWN]):
            left = frame.left + number % _ACROSS * (width + _GUTTER)
            marks += _panel(
                course, period, (left, y + 3 + number // _ACROSS * height, width, height), measure
            )
        pages.append(marks)
    return pages


def _part(marks: list[Mark], title: str, note: str, frame: Frame, y: float, measure: Measure) -> float:
    """The title of a part with a note at its end; where the part begins."""
    marks.append(Text(frame.left, y, title, _TITLE, "bold"))
    room = frame.width - measure(title, _TITLE, "bold") - 6
    marks += fitting(note, frame.right, y, room, measure, size=_SMALL, align_right=True)
    return y + 2.5


def _panel(
    course: Course, period: Period, place: tuple[float, float, float, float], measure: Measure
) -> list[Mark]:
    """One exercise: its name, first and last tempo and goal above, the tempi below."""
    left, top, width, height = place
    first, last = course.points[0][1], course.points[-1][1]
    told = f"{first} to {last}" + (f", goal {course.goal}" if course.goal else "")
    told_width = measure(told, _SMALL, "regular")
    marks: list[Mark] = [
        *fitting(
            phrase_text(course.name),
            left,
            top + 4.5,
            width - told_width - 3,
            measure,
            size=_NAME,
            face="bold",
        ),
        Text(left + width, top + 4.5, told, _SMALL, align="right"),
    ]
    numbers = [tempo for _, tempo in course.points] + ([course.goal] if course.goal else [])
    ticks = nice_ticks(min(numbers) - 2, max(numbers) + 2, 4)
    plot = _Plot(
        left + _TICKS, left + width - _LAST, top + 8, top + height - 6.5, period, ticks[0], ticks[-1]
    )
    marks += _ground(plot, ticks)
    marks += _dates(plot, measure)
    if course.goal:
        y = plot.y(course.goal)
        marks.append(Line(((plot.left, y), (plot.right, y)), 1.0, dashed=True))
    points = tuple((plot.x(day), plot.y(tempo)) for day, tempo in course.points)
    crowded = len(points) > _CROWDED
    marks.append(Line(points, 0.6 if crowded else 1.2))
    marks += [Dot(x, y, 0.75) for x, y in points if not crowded]
    x, y = points[-1][0] + 1.8, points[-1][1] + 1.0
    marks.append(Box(x - 0.5, y - 2.6, measure(str(last), _SMALL, "bold") + 1, 3.2, WHITE))
    marks.append(Text(x, y, str(last), _SMALL, "bold"))
    return marks


def nice_ticks(low: float, high: float, most: int) -> tuple[int, ...]:
    """Round numbers a round step apart, from at most `low` to at least `high`, with at most `most` steps between."""
    for step in _STEPS:
        first, last = int(low // step), int(-(-high // step))
        if last - first <= most:
            return tuple(step * n for n in range(first, max(last, first + 1) + 1))
    step = -(-int(high - low) // most // 100) * 100 + 100
    return tuple(range(int(low // step) * step, int(high) + step + 1, step))


def _ground(plot: _Plot, ticks: Sequence[int]) -> list[Mark]:
    marks: list[Mark] = []
    for tick in ticks:
        y = plot.y(tick)
        marks.append(Line(((plot.left, y), (plot.right, y)), HAIR, _GRID))
        marks.append(Text(plot.left - 1.2, y + 1.0, str(tick), 8, align="right"))
    return [*marks, Line(((plot.left, plot.bottom), (plot.right, plot.bottom)), 0.6)]


def _dates(plot: _Plot, measure: Measure) -> list[Mark]:
    """The first day, then years, months or Mondays by the length of the period; no name on another."""
    first, *others = plot.period.days
    marks: list[Mark] = []
    free = 0.0
    for day, words in ((first, _first_day(plot.period)), *_named_days(others, plot.period)):
        x = plot.x(day) - plot.slot / 2
        half = measure(words, 8, "regular") / 2
        marks.append(Line(((x, plot.bottom), (x, plot.bottom + 1.2)), 0.6))
        if x - half > free and x + half < plot.right + _LAST:
            marks.append(Text(x, plot.bottom + 4.4, words, 8, align="center"))
            free = x + half + 1.5
    return marks


def _first_day(period: Period) -> str:
    day = period.since
    return short_day(day) if period.length <= _YEARLY else f"{month(day)} {day.year}"


def _named_days(days: Sequence[dt.date], period: Period) -> Iterator[tuple[dt.date, str]]:
    length = period.length
    for day in days:
        if length > _YEARLY:
            if day.month == day.day == 1:
                yield day, str(day.year)
        elif length > _MONTHLY:
            if day.day == 1:
                yield day, month(day)
        elif day == monday(day):
            yield day, short_day(day)


def _minutes(marks: list[Mark], report: Report, frame: Frame, y: float, measure: Measure) -> float:
    """A bar for each day with minutes, a ring for each other practice day; long periods by week or month."""
    noted = report.noted
    unit, stretches = _by_length(report)
    title = f"Minutes by {unit}"
    if not noted:
        y = _part(marks, title, "", frame, y, measure)
        marks.append(Text(frame.left, y + 4, "No minutes were noted in this period.", 9.5))
        return y + 6
    without = [day for day in report.days if day.plays and day.minutes is None]
    told = f"{count(sum(day.minutes or 0 for day in noted), 'minute')} on {count(len(noted), 'day')}"
    if without:
        told += f"; {'rings: ' if unit == 'day' else ''}{count(len(without), 'practice day')} without"
    y = _part(marks, title, told, frame, y, measure)
    ticks = nice_ticks(0, max(one.minutes or 0 for one in stretches), 3)
    plot = _Plot(frame.left + _TICKS, frame.right, y + 3, y + 26, report.period, 0, ticks[-1])
    marks += _ground(plot, ticks)
    marks += _dates(plot, measure)
    for one in stretches:
        if one.minutes is not None:
            room = len(one.days) * plot.slot
            width = min(0.8 * room, 7)
            x, top = plot.x(one.first) + (room - plot.slot) / 2, plot.y(one.minutes)
            marks.append(Box(x - width / 2, top, width, plot.bottom - top, _BAR))
    if unit == "day":
        radius = min(0.7, 0.45 * plot.slot)
        marks += [Dot(plot.x(day.day), plot.bottom - 1.2, radius, hollow=True) for day in without]
    return y + 32


def _by_length(report: Report) -> tuple[str, tuple[Stretch, ...]]:
    """Days, weeks or months: whatever leaves bars that can be told apart."""
    if len(report.days) > _YEARLY:
        return "month", report.months
    if len(report.days) > _DAILY:
        return "week", report.weeks
    return "day", tuple(Stretch((day,)) for day in report.days)


def _weeks(marks: list[Mark], report: Report, frame: Frame, y: float, measure: Measure) -> None:
    """A bar for each week, as high as the days practised, in an outline of its days in the period."""
    weekly = len(report.weeks) <= _MOST_WEEKS
    stretches = report.weeks if weekly else report.months
    slot = (frame.width - _TICKS) / len(stretches)
    width = min(0.6 * slot, 11)
    numbered = weekly and width > measure("7", _SMALL, "bold") + 0.5
    outlined = width > _NARROW
    told = f"{report.practised} of {count(len(report.days), 'day')}"
    if outlined:
        told += f"; outlines: the days of each {'week' if weekly else 'month'} in this period"
    title = f"Days practised by {'week' if weekly else 'month'}"
    y = _part(marks, title, told, frame, y, measure)
    plot = _Plot(
        frame.left + _TICKS, frame.right, y + 6, y + 28, report.period, 0, WEEK if weekly else _LONGEST_MONTH
    )
    marks += _ground(plot, (0, WEEK) if numbered else (0, 2, 4, 6) if weekly else (0, 10, 20, 30))
    free = 0.0
    for number, one in enumerate(stretches):
        x = plot.left + (number + 0.5) * slot
        top = plot.y(one.practised)
        marks.append(Box(x - width / 2, top, width, plot.bottom - top, _BAR))
        if outlined:
            top = plot.y(len(one.days))
            marks.append(Box(x - width / 2, top, width, plot.bottom - top, None, HAIR))
        if numbered:
            top = plot.y(one.practised) - 0.6
            marks.append(Text(x, top, str(one.practised), _SMALL, "bold", "center"))
        words = short_day(monday(one.first)) if weekly else f"{month(one.first)} {one.first.year}"
        half = measure(words, 8, "regular") / 2
        if x - half > free and x + half < frame.right:
            marks.append(Text(x, plot.bottom + 4.4, words, 8, align="center"))
            free = x + half + 2
