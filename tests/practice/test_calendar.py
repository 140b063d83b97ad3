"""The calendar of the next weeks, read back by a second program (vobject)."""

import datetime as dt
import warnings

import pytest

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import vobject

PLAN = 'player = "Ada Quill"\ninstrument = "trombone"\nminutes = 10\n[[keep]]\nphrase = "all keys, major"\n'


def events(desk, *words):
    said = desk.type("plan", "calendar", *words)
    assert said.code == 0, said
    data = (desk.folder / said.out[0]).read_bytes()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        calendar = vobject.readOne(data.decode("utf-8"))
    return calendar, list(calendar.vevent_list), data, said


@pytest.fixture
def planned(desk):
    desk.plan(PLAN)
    return desk


def test_one_whole_day_for_each_day_of_the_weeks(planned):
    calendar, found, _, said = events(planned, "--weeks", "3")
    days = [event.dtstart.value for event in found]
    assert days == [planned.day + dt.timedelta(days=k) for k in range(21)]
    assert all(event.dtend.value - event.dtstart.value == dt.timedelta(days=1) for event in found)
    assert calendar.version.value == "2.0"
    assert len({event.uid.value for event in found}) == 21
    assert "forecast" in said.words
    assert all("A forecast" in event.description.value for event in found)


def test_lines_are_as_rfc_5545_wants_them(planned):
    *_, data, _ = events(planned)
    # RFC 5545, 3.1: lines end in CR LF and are no longer than 75 octets.
    lines = data.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and b"\n" not in line for line in lines)
    for needed in (b"BEGIN:VCALENDAR", b"VERSION:2.0", b"END:VCALENDAR"):
        assert lines.count(needed) == 1
    assert sum(line.startswith(b"PRODID:") for line in lines) == 1
    assert sum(line.startswith(b"DTSTAMP:2027") and line.endswith(b"Z") for line in lines) == 28


def test_the_forecast_is_what_today_prints_when_every_sheet_is_played(planned):
    _, found, *_ = events(planned, "--weeks", "1")
    for event in found[:5]:
        planned.today()
        rows = planned.sheet().rows
        forecast = [line.split(". ", 1)[1] for line in event.description.value.splitlines()[:-1]]
        assert forecast == [row.item.removeprefix("trombone: ") for row in rows]
        planned.type("played", "all")
        planned.sleep()


def test_a_forecast_changes_nothing(planned):
    events(planned)
    assert not (planned.home / "log.sqlite").exists()
    planned.today()
    before = planned.log()
    events(planned, "--out", "again.ics")
    assert planned.log() == before


def test_the_same_days_have_the_same_uids(planned):
    _, first, *_ = events(planned, "--weeks", "2", "--out", "one.ics")
    planned.sleep(7)
    _, second, *_ = events(planned, "--weeks", "2", "--out", "two.ics")
    assert [e.uid.value for e in first][7:] == [e.uid.value for e in second][:7]


def test_the_audition_is_in_it(planned):
    planned.plan(PLAN + '[[list]]\nname = "nzmeb-trombone-8"\ndate = 2027-01-20\n')
    _, found, *_ = events(planned)
    (day,) = [event for event in found if event.summary.value == "nzmeb trombone 8"]
    assert day.dtstart.value == dt.date(2027, 1, 20)


def test_a_place_that_cannot_be_written_is_a_fault_of_the_machine(planned):
    (planned.folder / "here").write_text("", "utf-8")
    assert planned.type("plan", "calendar", "--out", "here/practice.ics").code == 3


def test_the_folder_is_named_as_everywhere_and_a_file_by_its_ending(planned):
    for out, path in (("here", "here/practice-"), ("there/mine.ics", "there/mine.ics")):
        said = planned.type("plan", "calendar", "--out", out)
        assert (said.code, said.out[0].startswith(path)) == (0, True)
