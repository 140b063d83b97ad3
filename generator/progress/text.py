"""A progress report in lines of text: counts and days, no praise and no blame; a day off is a day off."""

import textwrap
from collections.abc import Callable, Iterator, Sequence

from generator.progress.overview import Progress, aim_lines, week_sentences
from generator.progress.report import CIRCLE, Cell, Report, Stretch, TableRow, monday
from generator.rotation.words import count, long_day
from generator.theory.key import usual_name

MOST_DUE = 10
_CELL, _WIDEST_LABEL = 4, 28
_WIDTH = 110


def nothing_noted(progress: Progress) -> str:
    """What is said where the log has no play of the instrument."""
    band = progress.session.band
    if band:
        return (
            f"Nothing is noted for {band.name} up to {long_day(progress.today)}. Print a sheet with: "
            f"scalewright today --section {band.file}; note it with: scalewright played --section {band.file} all"
        )
    instrument = progress.session.player.instrument.name
    others = progress.history.others
    known = f" (it has some for {', '.join(others)}: see --instrument)" if others else ""
    return (
        f"Nothing is noted for {instrument} up to {long_day(progress.today)}{known}. "
        "Print a sheet with: scalewright today; note it with: scalewright played all"
    )


def report_lines(progress: Progress, figures: Report) -> Iterator[str]:
    """The whole report, line by line."""
    whose = ", ".join(filter(None, (progress.player, progress.session.player.instrument.name)))
    yield f"{whose}, {long_day(figures.period.today)}"
    yield from _summary(progress, figures)
    yield ""
    yield "The last seven days"
    for line in week_sentences(progress, figures):
        yield from textwrap.wrap(line, _WIDTH, initial_indent="  ", subsequent_indent="    ")
    if progress.aims:
        yield ""
        yield "Aims"
        yield from (f"  {line}" for line in aim_lines(progress.aims))
    if figures.rows:
        yield ""
        yield "Days since last played. * due: waited as long as wanted, or longer; - never; blank: not on the list"
        yield from _table(figures, _days, "")
    keys = progress.band_keys()
    if keys is not None:
        from generator.progress.band_keys import key_lines  # noqa: PLC0415  # a player alone needs none of it

        yield ""
        yield from key_lines(keys)
    yield from _lists(figures)
    if any(cell.tempo for cell in figures.kept):
        yield ""
        yield "Tempo noted last, in beats a minute, and the goal"
        rows = [row for row in figures.rows if any(cell and cell.tempo for cell in row.cells)]
        yield from _table(figures, _tempo, "goal", rows)
    yield from _courses(figures)
    yield ""
    yield "Minutes by day. x: practised, no minutes noted; .: nothing noted"
    yield from _weeks(figures.weeks)


def _summary(progress: Progress, figures: Report) -> Iterator[str]:
    kept, never, due = len(figures.kept), len(figures.never), len(figures.due)
    source = "" if progress.session.path else " of the starter plan"
    yield f"{count(kept, 'exercise')} on the list{source}: {kept - never} played, {never} never; {due} due"
    period = figures.period
    until = "" if period.until == period.today else f" to {long_day(period.until)}"
    told = f"practised on {figures.practised} of {count(len(figures.days), 'day')}"
    noted = figures.noted
    total = sum(day.minutes or 0 for day in noted)
    minutes = f"; {count(total, 'minute')} noted, on {count(len(noted), 'day')}" if noted else ""
    yield f"since {long_day(period.since)}{until}: {told}{minutes}"


def _days(cell: Cell) -> str:
    return "- " if cell.days is None else f"{cell.days}{'*' if cell.due else ' '}"


def _tempo(cell: Cell) -> str:
    return f"{cell.tempo} " if cell.tempo else ""


def _table(
    figures: Report, told: Callable[[Cell], str], end: str, rows: Sequence[TableRow] | None = None
) -> Iterator[str]:
    """Kinds down, keys across; a key's second name stands under the first. With `end`, the goals close each row."""
    rows = figures.rows if rows is None else rows
    width = min(max(len(row.kind) for row in rows), _WIDEST_LABEL)
    cell = max(_CELL, *(len(told(one).rstrip()) + 1 for row in rows for one in row.cells if one))
    names = [names or (usual_name(CIRCLE[place], 0),) for place, names in enumerate(figures.columns)]
    for line in range(max(map(len, names))):
        heads = [one[line].name if line < len(one) else "" for one in names]
        last = end if line == 0 else ""
        yield f"{'':<{width}}{''.join(f'{name:>{cell - 1}} ' for name in heads)} {last}".rstrip()
    for row in rows:
        *above, label = textwrap.wrap(row.kind, width)
        yield from above
        cells = "".join(f"{told(one) if one else '':>{cell}}" for one in row.cells)
        goals = (
            " to ".join(dict.fromkeys(map(str, (row.goals[0], row.goals[-1])))) if end and row.goals else ""
        )
        yield f"{label:<{width}}{cells} {goals}".rstrip()


def _lists(figures: Report) -> Iterator[str]:
    """Exercises without a key, and what is due."""
    due = figures.due
    for title, cells in (
        ("Without a key", figures.keyless),
        ("Due, the longest overdue first", due[:MOST_DUE]),
    ):
        if cells:
            yield ""
            yield title
            width = max(len(cell.name) for cell in cells)
            for cell in cells:
                yield f"  {cell.name:<{width}}  {_wait(cell)}"
    if len(due) > MOST_DUE:
        yield f"  and {len(due) - MOST_DUE} more"


def _wait(cell: Cell) -> str:
    wanted = "wanted every day" if cell.gap == 1 else f"wanted every {cell.gap}"
    waited = count(cell.waited, "practice day")
    if cell.days is None:
        return f"never played, {waited}; {wanted}"
    played = "played today" if cell.days == 0 else f"{count(cell.days, 'day')} ago"
    return f"{played}, {waited}; {wanted}"


def _courses(figures: Report) -> Iterator[str]:
    if not figures.courses:
        return
    yield ""
    yield "First and last tempo in this period, of what was played most"
    width = max(len(course.name) for course in figures.courses)
    for course in figures.courses:
        goal = f", goal {course.goal}" if course.goal else ""
        tempi = f"{course.points[0][1]} to {course.points[-1][1]}{goal}"
        yield f"  {course.name:<{width}}  {tempi}; {count(course.plays, 'play')}"


def _weeks(weeks: Sequence[Stretch]) -> Iterator[str]:
    yield f"{'week of':<18}{'   Mo   Tu   We   Th   Fr   Sa   Su':<36}days  minutes"
    for week in weeks:
        cells = [""] * 7
        for day in week.days:
            cells[day.day.weekday()] = str(day.minutes or ("x" if day.plays else "."))
        minutes = "" if week.minutes is None else str(week.minutes)
        told = f"{long_day(monday(week.first)):<18}{''.join(f'{cell:>5}' for cell in cells)} "
        yield f"{told}{f'{week.practised}/{len(week.days)}':>5}{minutes:>9}".rstrip()
