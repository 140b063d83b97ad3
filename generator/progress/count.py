"""Counts the figures of a progress report. Pure."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence

from generator.progress.report import (
    CIRCLE,
    Cell,
    Course,
    Day,
    Period,
    Play,
    Report,
    Standing,
    TableRow,
    total,
)
from generator.theory.pitch import NoteName

MOST_COURSES = 6


def report(
    kept: Sequence[Standing], plays: Iterable[Play], period: Period, most: int = MOST_COURSES
) -> Report:
    """Count everything.

    Args:
        kept: the list, in the order of the plan.
        plays: the plays up to the day of the report, in the order of playing.
        period: the days to look back on; the table always tells how things stand today.
        most: how many exercises get a course of tempi.
    """
    played = [play for play in plays if play.day <= period.today]
    inside = [play for play in played if period.since <= play.day <= period.until]
    tempi = {play.item_id: play.tempo for play in played if play.tempo is not None}
    cells = {one.item_id: _cell(one, tempi.get(one.item_id), period.today) for one in kept}
    with_key = [one for one in kept if one.tonic]
    return Report(
        period=period,
        columns=tuple(_names(with_key, pitch_class) for pitch_class in CIRCLE),
        rows=tuple(_row(kind, with_key, cells) for kind in dict.fromkeys(one.kind for one in with_key)),
        keyless=tuple(cells[one.item_id] for one in kept if not one.tonic),
        kept=tuple(cells.values()),
        courses=_courses(kept, inside, most),
        days=days_of(inside, period.days),
    )


def days_of(plays: Iterable[Play], days: Sequence[dt.date]) -> tuple[Day, ...]:
    """Plays and noted minutes of each day."""
    by_day: dict[dt.date, list[Play]] = {day: [] for day in days}
    for play in plays:
        if play.day in by_day:
            by_day[play.day].append(play)
    return tuple(Day(day, len(some), total(play.minutes for play in some)) for day, some in by_day.items())


def _cell(one: Standing, tempo: int | None, today: dt.date) -> Cell:
    days = None if one.played is None else (today - one.played).days
    return Cell(one.item_id, one.name, days, one.waited, one.gap, tempo, one.goal)


def _names(kept: Iterable[Standing], pitch_class: int) -> tuple[NoteName, ...]:
    """The names of one key, the one most exercises have first."""
    names = Counter(one.tonic for one in kept if one.tonic and one.tonic.pitch_class == pitch_class)
    return tuple(name for name, _ in names.most_common())


def _row(kind: str, kept: Iterable[Standing], cells: dict[str, Cell]) -> TableRow:
    """A row; where a key has two exercises (under two names) the one that was never played, or is more overdue."""
    places: dict[int, Cell] = {}
    for one in kept:
        if one.kind != kind or one.tonic is None:
            continue
        place, cell = CIRCLE.index(one.tonic.pitch_class), cells[one.item_id]
        places[place] = max(places.get(place, cell), cell, key=lambda c: (c.never, c.share))
    return TableRow(kind, tuple(places.get(place) for place in range(len(CIRCLE))))


def every_course(kept: Sequence[Standing], plays: Iterable[Play], period: Period) -> tuple[Course, ...]:
    """The tempi of every exercise that has one, those on the list first and in its order.

    Args:
        kept: the list, in the order of the plan.
        plays: the plays up to the day of the report, in the order of playing.
        period: the days to look back on.
    """
    inside = [play for play in plays if period.since <= play.day <= period.until]
    place = {one.item_id: number for number, one in enumerate(kept)}
    courses = _of_items(kept, inside, days=1)
    return tuple(sorted(courses, key=lambda one: place.get(one.item_id, len(place))))


def _courses(kept: Iterable[Standing], plays: Iterable[Play], most: int) -> tuple[Course, ...]:
    """The exercises played most that have a tempo on two days or more; between equals the one with more tempi."""
    courses = _of_items(kept, plays, days=2)
    courses.sort(key=lambda course: (-course.plays, -len(course.points), course.name))
    return tuple(courses[:most])


def _of_items(kept: Iterable[Standing], plays: Iterable[Play], *, days: int) -> list[Course]:
    """The tempi of each exercise that has some on so many days."""
    wanted = {one.item_id: one.goal for one in kept}
    by_item: dict[str, list[Play]] = {}
    for play in plays:
        by_item.setdefault(play.item_id, []).append(play)
    courses = []
    for item_id, own in by_item.items():
        points = tuple((play.day, play.tempo) for play in own if play.tempo is not None)
        if len({day for day, _ in points}) < days:
            continue
        goals = [play.goal for play in own if play.goal is not None]
        goal = wanted.get(item_id) or (goals[-1] if goals else None)
        courses.append(Course(item_id, own[-1].name, points, goal, len(own)))
    return courses
