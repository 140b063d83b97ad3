"""Saving, taking back and reading."""

import datetime as dt

import pytest

from generator.errors import RequestError
from generator.practice_log import Entry, Kind, PracticeLog, Saved, utc_text
from generator.rotation import Event, Item, plan_sheet

STAMP = "2027-03-05T17:04:09.123456+00:00"
DAY = dt.date(2027, 3, 5)


def test_what_is_saved_is_read_again_whole(log, play):
    full = play(
        "u1",
        minutes=3,
        tempo=84,
        goal=100,
        data='{"note": "réed 2½"}',
        instrument="clarinet",
        sheet="27B",
        phrase="G major, in thirds",
    )
    sheet = Entry("u2", Kind.SHEET, DAY, STAMP, data='{"rule_version": 1}', sheet="27B")
    assert log.append([full, sheet]) == Saved(2, 0)
    assert log.as_saved() == [full, sheet]


def test_a_log_is_still_there_when_opened_again(path, play):
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
    with PracticeLog.open(path) as log:
        assert log.as_saved() == [play("u1")]


def test_saving_twice_changes_nothing(log, play):
    assert log.append([play("u1")]) == Saved(1, 0)
    assert log.append([play("u1"), play("u2"), play("u2")]) == Saved(1, 2)
    assert [entry.uid for entry in log.as_saved()] == ["u1", "u2"]


def test_all_or_none_is_saved(log, play):
    with pytest.raises(RequestError, match="rating is 5; 1 to 4 is allowed"):
        log.append([play("u1"), play("u2", rating=5)])
    with pytest.raises(RequestError, match='no entry "nowhere"'):
        log.append([play("u1"), Entry("v", Kind.VOID, DAY, STAMP, takes_back="nowhere")])
    assert log.as_saved() == []


@pytest.mark.parametrize(
    ("entry", "reason"),
    [
        (Entry("", Kind.SHEET, DAY, STAMP), "uid is empty"),
        (Entry("u", Kind.PLAY, DAY, STAMP, item="G"), "play needs rating"),
        (Entry("u", Kind.PLAY, DAY, STAMP, rating=3), "play needs item"),
        (Entry("u", Kind.ITEM_IN, DAY, STAMP, item="G"), "item_in needs minutes"),
        (Entry("u", Kind.ITEM_OUT, DAY, STAMP), "item_out needs item"),
        (Entry("u", Kind.VOID, DAY, STAMP), "void needs takes_back"),
        (Entry("u", Kind.SHEET, DAY, STAMP, takes_back="x"), "only void has takes_back"),
        (Entry("u", Kind.SHEET, DAY, STAMP, minutes=601), "1 to 600 is allowed"),
        (Entry("u", Kind.SHEET, DAY, STAMP, tempo=0), "1 to 1000 is allowed"),
        (Entry("u", Kind.SHEET, DAY, STAMP, goal=10**30), "1 to 1000 is allowed"),
        (Entry("u", Kind.SHEET, DAY, STAMP, data="{"), "data is not JSON"),
        (Entry("u", Kind.SHEET, DAY, STAMP, data="NaN"), "data is not JSON"),
        (Entry("u", Kind.SHEET, DAY, STAMP, data="[" * 100_000), "data is not JSON"),
        (Entry("u", Kind.SHEET, DAY, STAMP, sheet="a\0b"), "cannot be stored"),
        (Entry("u", Kind.SHEET, DAY, STAMP, sheet="\ud800"), "cannot be stored"),
        (Entry("u", Kind.SHEET, DAY, STAMP, phrase="x" * 100_001), "at most 100000"),
        (Entry("u", Kind.SHEET, DAY, "yesterday"), "a time such as"),
        (Entry("u", Kind.SHEET, DAY, "2027-03-05T17:04:09"), "a time in UTC"),
        (Entry("u", Kind.SHEET, DAY, "2027-03-05T17:04:09+02:00"), "a time in UTC"),
    ],
)
def test_an_unsound_entry_is_refused_with_its_reason(log, entry, reason):
    with pytest.raises(RequestError, match=reason):
        log.append([entry])
    assert log.as_saved() == []


def take_back(log, target, uid="v1", day=DAY):
    return log.take_back(target, uid=uid, day=day, recorded_at=STAMP)


def test_a_play_can_be_taken_back_once(log, play):
    log.append([play("u1"), play("u2", "D major")])
    assert take_back(log, "u2") == play("u2", "D major")
    assert [entry.uid for entry in log.entries()] == ["u1"]
    assert [entry.uid for entry in log.entries(taken_back=True)] == ["v1", "u1", "u2"]
    with pytest.raises(RequestError, match="taken back already"):
        take_back(log, "u2", uid="v2")
    with pytest.raises(RequestError, match="takes something back itself"):
        take_back(log, "v1", uid="v3")
    assert take_back(log, "u2", uid="v1") == play("u2", "D major")  # saved twice: nothing happens
    assert len(log.as_saved()) == 3


def test_the_last_entry_is_the_last_saved_that_stands(log, play, enter):
    assert log.last() is None
    log.append([play("u1", day="2027-03-09"), play("u2", day="2027-03-05"), enter("i1")])
    assert log.last() == play("u2", day="2027-03-05")
    take_back(log, "u2")
    assert log.last() == play("u1", day="2027-03-09")
    assert log.last(kind=Kind.ITEM_IN) == enter("i1")


def test_the_last_entry_of_an_instrument_leaves_the_others_alone(log, play):
    log.append([play("u1", instrument="clarinet"), play("u2", instrument="alto saxophone"), play("u3")])
    assert log.last(instrument="clarinet").uid == "u3"
    take_back(log, "u3")
    assert log.last(instrument="clarinet").uid == "u1"


def test_entries_come_by_date_then_changes_before_plays_then_by_uid(log, play, enter):
    log.append(
        [play("p2", day="2027-03-06"), play("p1"), enter("i1"), play("p0"), enter("i2", day="2027-03-06")]
    )
    assert [entry.uid for entry in log.entries()] == ["i1", "p0", "p1", "i2", "p2"]
    assert [entry.uid for entry in log.entries(until=DAY)] == ["i1", "p0", "p1"]
    assert [entry.uid for entry in log.entries(since=dt.date(2027, 3, 6))] == ["i2", "p2"]
    assert [entry.uid for entry in log.entries(kinds=[Kind.PLAY])] == ["p0", "p1", "p2"]


def test_neglect_is_judged_for_each_instrument(log, play, enter):
    log.append(
        [
            enter("i1"),
            play("u1", instrument="clarinet"),
            play("u2", instrument="alto saxophone"),
            play("u3", "D major"),
        ]
    )
    take_back(log, "u2")
    items = [event.item for event in log.events(instrument="clarinet") if event.kind == "play"]
    assert items == ["G major", "D major"]
    assert [event.kind for event in log.events(instrument="alto saxophone")].count("play") == 2
    assert [event.seq for event in log.events(instrument="clarinet") if event.kind == "void"] == [5]
    log.append([Entry("v2", Kind.VOID, DAY, STAMP, takes_back="u1", instrument="alto saxophone")])
    assert [event.seq for event in log.events(instrument="clarinet") if event.kind == "void"] == [5, 6]


def test_the_rotation_reads_the_log_as_it_is(log, play, enter):
    log.append([enter("i1", "G", "2027-03-01"), enter("i2", "D", "2027-03-01")])
    log.append([play("u1", "G", "2027-03-02", tempo=60, goal=100), play("u2", "D", "2027-03-09")])
    take_back(log, "u2", day=dt.date(2027, 3, 9))
    assert log.events() == [
        Event(1, "item_in", "2027-03-01", "G"),
        Event(2, "item_in", "2027-03-01", "D"),
        Event(3, "play", "2027-03-02", "G", 3, 60, 100),
        Event(4, "play", "2027-03-09", "D", 3),
        Event(5, "void", "2027-03-09", ref=4),
    ]
    assert {type(event) for event in log.events()} == {Event}
    items = [Item("G"), Item("D", catalogue=1)]
    sheet = plan_sheet(items, log.events(), dt.date(2027, 3, 4), 2, rest=0)
    assert {row.item_id: (row.waited_days, row.gap) for row in sheet.rows} == {"G": (2, 1), "D": (3, 7)}
    assert sheet.future_entries == 2
    assert len(log.events(until=dt.date(2027, 3, 8))) == 3


def test_moments_are_written_in_utc():
    east = dt.timezone(dt.timedelta(hours=2))
    assert utc_text(dt.datetime(2027, 3, 5, 19, 4, 9, tzinfo=east)) == "2027-03-05T17:04:09.000000+00:00"
    with pytest.raises(RequestError, match="no time zone"):
        utc_text(dt.datetime(2027, 3, 5, 19, 4, 9))  # noqa: DTZ001


def test_a_sound_log_has_no_problems(log, play):
    log.append([play("u1")])
    assert log.problems() == []


def numbers(found):
    return [event.seq for event in found]


def test_what_stands_of_some_exercises(log, play):
    log.append([play("u1", "G", "2027-03-09"), play("u2", "D"), play("u3", "G"), play("u4", "A")])
    log.append([play("u5", "G", instrument="clarinet"), play("u6", "D")])
    take_back(log, "u6")
    assert numbers(log.events_of(["G", "D"], instrument="flute")) == [2, 3, 1]
    assert numbers(log.events_of(["G"])) == [3, 5, 1]
    assert log.events_of([]) == []
