"""Every figure of a report over ninety days, counted a second time from the rows of the log file."""

import datetime as dt
from collections import Counter, defaultdict
from itertools import pairwise

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.phrase.read import parse
from generator.progress.report import Cell, Report, monday
from generator.rotation import Event, Row, plan_sheet

TODAY = dt.date(2027, 3, 6)


@pytest.fixture(scope="module")
def figures(ninety) -> Report:
    return ninety.progress(TODAY).report(None, 13)


@pytest.fixture(scope="module")
def plays(raw) -> list[dict]:
    gone = {row["ref"] for row in raw if row["kind"] == "void"}
    return [row for row in raw if row["kind"] == "play" and row["seq"] not in gone]


@pytest.fixture(scope="module")
def cells(figures: Report) -> dict[str, Cell]:
    return {cell.item_id: cell for cell in figures.kept}


def test_the_demo_is_what_the_checks_need(raw, plays, figures: Report) -> None:
    assert len(plays) > 300
    assert any(row["kind"] == "void" for row in raw)
    assert figures.due
    assert figures.never
    assert {cell.step for cell in figures.kept if not cell.never} >= {0, 1, 2}


def test_days_since_each_exercise_was_last_played(plays, cells: dict[str, Cell]) -> None:
    last = {row["item"]: dt.date.fromisoformat(row["day"]) for row in plays}
    assert {n: cell.days for n, cell in cells.items()} == {
        n: (TODAY - last[n]).days if n in last else None for n in cells
    }


def test_practice_days_waited(raw, plays, cells: dict[str, Cell]) -> None:
    days = sorted({row["day"] for row in plays})
    last = {row["item"]: row["day"] for row in plays}
    entered = {row["item"]: row["day"] for row in raw if row["kind"] == "item_in"}
    for one, cell in cells.items():
        # The sheet that comes next is counted; an item never played waits from the day it came on the list.
        since = (
            sum(day > last[one] for day in days) if one in last else sum(day >= entered[one] for day in days)
        )
        assert cell.waited == since + 1, one


def wanted_gap(days: list[str], plays: list[dict], ceiling: int) -> int:
    """The rule in words: 7 at first; lost: at most a quarter of the wait; shaky or below 85 % of the goal: at most
    half; easy and at the goal: half as much again and a day more at least; else a quarter more at least."""
    gap, index = 7, {day: n for n, day in enumerate(days)}
    for before, play in pairwise([None, *plays]):
        waited = index[play["day"]] - index[before["day"]] if before else play["first_wait"]
        waited = max(waited, 1)
        share = play["tempo"] / play["goal"] if play["tempo"] and play["goal"] else None
        if play["rating"] == 1:
            gap = min(gap, waited // 4)
        elif play["rating"] == 2 or (share is not None and share < 0.85):
            gap = min(gap, waited // 2)
        elif play["rating"] == 4 and (share is None or share >= 1):
            gap = max(gap + 1, waited * 3 // 2)
        else:
            gap = max(gap, waited * 5 // 4)
        gap = min(max(gap, 1), ceiling)
    return gap


def test_wanted_gaps(ninety, raw, plays, cells: dict[str, Cell]) -> None:
    progress = ninety.progress(TODAY)
    sheet = plan_sheet(progress.session.repertoire.items(TODAY), [], TODAY, progress.session.plan.minutes)
    ceiling = max(4 * sheet.promise, 30)
    days = sorted({row["day"] for row in plays})
    entered = {row["item"]: row["day"] for row in raw if row["kind"] == "item_in"}
    wishes = {"whole-tone": 14, "chromatic": 10}  # of the demo's plan
    by_name = defaultdict(list)
    for row in plays:
        by_name[row["item"]].append(row)
    for one, own in by_name.items():
        before = sum(day < entered[one] for day in days)
        own[0]["first_wait"] = days.index(own[0]["day"]) + 1 - before
        wish = next((gap for form, gap in wishes.items() if one.startswith(f"alto saxophone: {form}")), 9999)
        assert cells[one].gap == min(wanted_gap(days, own, ceiling), wish), one


def test_the_next_sheet_counts_the_same_waits_and_gaps(ninety, cells: dict[str, Cell]) -> None:
    progress = ninety.progress(TODAY)
    tomorrow = TODAY + dt.timedelta(days=1)
    plan, items = progress.session.plan, progress.session.repertoire.items(tomorrow)
    events: list[Event] = list(progress.history.events)
    rows: list[Row] = []
    number = 1  # one sheet after the other, until the whole list was on one
    while sheet := plan_sheet(items, events, tomorrow, plan.minutes, share=plan.share, number=number).rows:
        rows += sheet
        number += 1
    assert len(rows) == len(cells)
    for row in rows:
        cell = cells[row.item_id]
        assert (cell.waited, cell.gap) == (row.waited_practice_days, row.gap)
        assert cell.never or cell.days == row.waited_days - 1


def test_what_is_due_is_what_waited_its_gap_and_the_longest_overdue_comes_first(
    figures: Report, cells
) -> None:
    assert {c.item_id for c in figures.due} == {
        n for n, c in cells.items() if c.days is not None and c.waited >= c.gap
    }
    shares = [cell.waited / cell.gap for cell in figures.due]
    assert shares == sorted(shares, reverse=True)
    assert len(figures.due) + len(figures.coming) + len(figures.never) == len(figures.kept)


def test_the_tempo_of_a_cell_is_the_one_noted_last(plays, cells: dict[str, Cell]) -> None:
    last = {row["item"]: row["tempo"] for row in plays if row["tempo"]}
    assert {n: cell.tempo for n, cell in cells.items()} == {n: last.get(n) for n in cells}


def test_days_and_minutes(plays, figures: Report) -> None:
    minutes: Counter[str] = Counter()
    for row in plays:
        minutes[row["day"]] += row["minutes"] or 0
    with_minutes = {row["day"] for row in plays if row["minutes"]}
    number = Counter(row["day"] for row in plays)
    first = dt.date.fromisoformat(min(number))  # the period begins with the first play
    assert [d.day for d in figures.days] == [
        first + dt.timedelta(days=n) for n in range((TODAY - first).days + 1)
    ]
    for day in figures.days:
        text = day.day.isoformat()
        assert (day.plays, day.minutes) == (number[text], minutes[text] if text in with_minutes else None)
    assert figures.practised == len(number)


def test_weeks_are_those_of_the_calendar(plays, figures: Report) -> None:
    # ISO 8601 through the standard library.
    practised = Counter(dt.date.fromisoformat(day).isocalendar()[:2] for day in {row["day"] for row in plays})
    assert [monday(week.first).isocalendar()[2] for week in figures.weeks] == [1] * 13
    assert [week.practised for week in figures.weeks] == [
        practised[w.first.isocalendar()[:2]] for w in figures.weeks
    ]
    assert sum(len(week.days) for week in figures.weeks) == len(figures.days)


def test_the_courses_are_those_of_the_exercises_played_most(plays, figures: Report) -> None:
    number = Counter(row["item"] for row in plays)
    tempi = defaultdict(list)
    for row in plays:
        if row["tempo"]:
            tempi[row["item"]].append((dt.date.fromisoformat(row["day"]), row["tempo"]))
    assert len(figures.courses) == 6
    for course in figures.courses:
        assert course.points == tuple(tempi[course.item_id])
        assert course.plays == number[course.item_id]
    least = min(course.plays for course in figures.courses)
    assert sorted(number.values(), reverse=True)[5] == least


def test_every_exercise_stands_once_in_the_table_under_its_key(figures: Report) -> None:
    seen = []
    for row in figures.rows:
        for names, cell in zip(figures.columns, row.cells, strict=True):
            if cell:
                request = parse(cell.name, shared_catalogue())
                assert request.keys[0] in names
                assert row.kind in cell.name or row.kind.split(",")[0] in cell.name
                seen.append(cell.name)
    assert sorted(seen) == sorted(cell.name for cell in figures.kept)
    # C F B-flat E-flat and so on: the circle of fourths.
    firsts = [names[0].pitch_class for names in figures.columns]
    assert firsts == [5 * n % 12 for n in range(12)]
