"""The coming days on paper, and the week's record with what was to be played."""

import datetime as dt

import pytest

from generator.files.home import Home
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.sheet_record import AHEAD, SheetRecord
from generator.practice_log import Kind
from generator.progress.history import read_history, read_planned
from generator.progress.week_record import BOXES, week_record

PLAN = """
player = "Tamsin Rook"
instrument = "flute"
minutes = 20
[[keep]]
phrase = "all keys, major, one octave"
start = 60
goal = 96
[[keep]]
phrase = "all keys, harmonic minor, one octave"
"""


def sheets(desk):
    return [entry for entry in desk.log() if entry.kind is Kind.SHEET]


def test_six_days_are_six_sheets_each_on_its_day(desk):
    desk.plan(PLAN)
    said = desk.type("today", "--days", "6", "-f", "json")
    assert (said.code, len(said.out)) == (0, 6)
    assert [entry.day for entry in sheets(desk)] == [desk.day + dt.timedelta(days=n) for n in range(6)]
    # The first is the sheet of the day itself, the others are forecasts.
    (alone,) = desk.today().out
    assert alone.rsplit("-", 1)[1] == said.out[0].rsplit("-", 1)[1]  # the same code
    assert [one.mood for one in map(_record, sheets(desk))] == ["", *[AHEAD] * 5]


def _record(entry):
    return SheetRecord.of(entry)


def test_the_sheets_are_those_of_the_calendar(desk):
    desk.plan(PLAN)
    said = desk.type("plan", "calendar", "--weeks", "1")
    calendar = (desk.folder / said.out[0]).read_text("utf-8").replace("\r\n", "\n").replace("\n ", "")
    desk.type("today", "--days", "4", "-f", "json")
    for entry in sheets(desk)[1:]:
        for row in _record(entry).rows:
            name = row.item.removeprefix("flute: ")
            day = entry.day.strftime("%Y%m%d")
            event = next(one for one in calendar.split("BEGIN:VEVENT") if f"DTSTART;VALUE=DATE:{day}" in one)
            assert name.replace(",", "\\,") in event


def test_printing_them_again_makes_no_new_ones_and_the_day_itself_chooses_anew(desk):
    desk.plan(PLAN)
    desk.type("today", "--days", "3", "-f", "json")
    before = len(sheets(desk))
    desk.type("today", "--days", "3", "-f", "json")
    assert len(sheets(desk)) == before
    desk.sleep()
    desk.today()
    own = [one for one in map(_record, sheets(desk)) if one.day == desk.day]
    assert [one.mood for one in own] == [AHEAD, ""]


def test_a_sheet_printed_ahead_promises_nothing_and_can_be_noted_by_its_code(desk):
    desk.plan(PLAN)
    said = desk.type("today", "--days", "2", "-f", "json")
    ahead = _record(sheets(desk)[-1])
    assert ahead.promise == 0
    assert not any(row.floor for row in ahead.rows)
    assert ahead.code in said.words
    desk.sleep()
    assert desk.type("played", "all", "--sheet", ahead.code).code == 0
    assert {entry.sheet for entry in desk.plays()} == {ahead.code}


def test_no_exercise_is_forecast_as_if_nothing_before_it_were_played(desk):
    desk.plan(PLAN)
    desk.type("today", "--days", "5", "-f", "json")
    seen: list[str] = []
    for entry in sheets(desk):
        seen += [row.item for row in _record(entry).rows if "new" in row.reason]
    assert len(seen) == len(set(seen))


def test_some_requests_do_not_go_together(desk):
    desk.plan(PLAN)
    for words in (("--silent",), ("--easy",), ("--sheet-number", "2"), ("--hold-together",)):
        said = desk.type("today", "--days", "3", *words)
        assert said.code == 2
        assert sheets(desk) == []
    assert desk.type("today", "--days", "15").code == 2


@pytest.mark.lilypond
def test_they_are_bound_as_one_with_a_strip_of_days_to_tick(desk):
    desk.plan(PLAN)
    said = desk.type("today", "--days", "3", "-f", "pdf,ly")
    pdf, *texts = said.out
    assert pdf.endswith(".pdf")
    assert len(texts) == 3
    for text in texts:
        # 4, 5 and 6 January 2027 are Monday to Wednesday.
        assert 'strip = "Mo 4|Tu 5|We 6"' in (desk.folder / text).read_text("utf-8")


def test_the_record_says_with_boxes_what_was_to_be_played_and_what_was(desk):
    desk.plan(PLAN)
    desk.type("today", "--days", "3", "-f", "json")
    desk.type("played", "1", "2", "--tempo", "72")
    desk.sleep()
    desk.today()
    session = open_session(Home.at(desk.home), PlayerOptions(), desk.folder)
    history = read_history(session, desk.day)
    first = desk.day - dt.timedelta(days=1)
    planned = read_planned(session, history.names, first, 7)
    record = week_record(history.plays, first, desk.day, planned)
    rows = {entry.day: len(_record(entry).rows) for entry in sheets(desk)}
    ticked = [[done for one in day.played for done in one.ticked] for day in record.days]
    assert [len(day) for day in ticked] == [
        rows[first],
        rows[desk.day],
        rows[first + dt.timedelta(days=2)],
        0,
        0,
        0,
        0,
    ]
    assert [sum(day) for day in ticked[:3]] == [2, 0, 0]
    assert record.practised == 1
    told = " ".join(one.words(tempi=True) for one in record.days[0].played)
    assert told.count(BOXES[True]) == 2
    assert told.count(BOXES[False]) == rows[first] - 2
    assert desk.type("progress", "--record", "--since", first.isoformat(), "-f", "png").code == 0
