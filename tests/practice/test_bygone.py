"""What is remembered of a long log: the same sheet with it, with an old one, with a spoilt one and without."""

import datetime as dt
import json
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.files.home import Home
from generator.practice import bygone
from generator.practice.bygone import read_log
from generator.practice.changes import played_on, record_changes
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice_log import Entry, Format, Kind, PracticeLog, export_log, import_log
from generator.rotation import list_changes, plan_sheet

PLAN = '{}minutes = 8\n[[keep]]\nphrase = "all keys, major"\nminutes = 2\ngoal = 80\n'
START = dt.date(2027, 1, 4)
STAMP = "2027-01-04T12:00:00+00:00"
MINUTES = 8


@pytest.fixture(autouse=True)
def every_log_is_long(monkeypatch):
    monkeypatch.setattr(bygone, "WORTH", 1)


@pytest.fixture(scope="module")
def usual(tmp_path_factory):
    """A desk; examples lay their logs elsewhere."""
    folder = tmp_path_factory.mktemp("desk")
    (folder / "plan.toml").write_text(PLAN.format(""), "utf-8")
    return open_session(Home.at(folder / "home"), PlayerOptions(), folder)


def at(desk, folder):
    return replace(desk, home=Home.at(Path(folder)))


def play(uid, day, item, rating=3, instrument="flute"):
    return Entry(
        uid, Kind.PLAY, day, STAMP, item=item, rating=rating, tempo=60 + rating, instrument=instrument
    )


def check(log, desk, day):
    """Everything that is chosen from a reading against the whole log; whether anything was remembered."""
    items = desk.repertoire.items(day)
    reading = read_log(log, desk, items, day, MINUTES)
    events = log.events(instrument="flute")
    whole = plan_sheet(items, events, day, MINUTES)
    assert plan_sheet(items, reading.events, day, MINUTES, start=reading.start) == whole
    assert list_changes(items, reading.events, day, reading.start) == list_changes(items, events, day)
    assert reading.plays == sum(one[1] == "play" for one in events)
    gone = {one[7] for one in events if one[1] == "void"}
    today = [one for one in events if one[1:3] == ("play", day.isoformat()) and one[0] not in gone]
    assert played_on(reading, day) == {one[3] for one in today}
    return reading.start is not None


def remembered(desk):
    (file,) = desk.home.cache.glob("log-*.json")
    return file


DAYS_BACK = st.sampled_from([0, 0, 0, 1, 1, 2, 5, 9, 16, 30, -1, -8])  # some are dated later than today
DEEDS = st.tuples(
    st.sampled_from(
        ["play"] * 6 + ["void"] * 2 + ["in", "out", "sheet", "other", "list", "keep", "put back", "read"]
    ),
    DAYS_BACK,
    st.integers(0, 13),
    st.integers(1, 4),
)


def write(log, desk, day, number, deed):
    """One more entry of a random log."""
    what, back, which, rating = deed
    dated = day - dt.timedelta(days=back)
    items = [item.id for item in desk.repertoire.items(day)] + ["flute: once kept", "flute: G dorian"]
    uid, item = f"u{number}", items[which]
    if what == "play":
        log.append([play(uid, dated, item, rating)])
    elif what == "other":
        log.append([play(uid, dated, item, rating, "clarinet" if rating > 1 else None)])
    elif what in ("in", "out"):
        kind = Kind.ITEM_IN if what == "in" else Kind.ITEM_OUT
        log.append([Entry(uid, kind, dated, STAMP, item=item, minutes=2, instrument="flute")])
    elif what == "sheet":
        log.append([Entry(uid, Kind.SHEET, dated, STAMP, data="{}", instrument="flute")])
    elif what == "void":
        standing = [one.uid for one in log.as_saved() if one.kind is not Kind.VOID]
        if standing:
            newest_first = standing[::-1]
            wanted = newest_first[min(which * which // 4, len(standing) - 1)]
            log.try_append([Entry(uid, Kind.VOID, dated, STAMP, takes_back=wanted, instrument="flute")])
    elif what == "list":
        items_now = desk.repertoire.items(day)
        reading = read_log(log, desk, items_now, day, MINUTES)
        record_changes(log, items_now, reading, day, day, STAMP, "flute")


@given(st.lists(st.tuples(st.integers(0, 6), st.lists(DEEDS, max_size=6)), min_size=3, max_size=14))
@settings(
    max_examples=40,
    deadline=None,
    database=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_a_log_that_grows_as_logs_do_gives_the_same_with_what_is_remembered_and_without(usual, days):
    with tempfile.TemporaryDirectory() as folder:
        desk = at(usual, folder)
        day, number, kept = START, 0, b""
        with PracticeLog.open(desk.home.log) as log:
            for pause, deeds in days:
                day += dt.timedelta(days=pause)
                for deed in deeds:
                    number += 1
                    write(log, desk, day, number, deed)
                    if deed[0] == "keep" and list(desk.home.cache.glob("log-*")):
                        kept = remembered(desk).read_bytes()
                    elif deed[0] == "put back" and kept:
                        remembered(desk).write_bytes(kept)  # an old one
                    elif deed[0] == "read":
                        check(log, desk, day - dt.timedelta(days=max(0, deed[1])))
                check(log, desk, day)


@pytest.fixture
def long(usual, tmp_path):
    """A desk with four weeks of plays, read on Monday the first of February."""
    desk, monday = at(usual, tmp_path / "home"), dt.date(2027, 2, 1)
    ids = [item.id for item in desk.repertoire.items(monday)]
    with PracticeLog.open(desk.home.log) as log:
        log.append(
            play(
                f"{day} {one}", START + dt.timedelta(days=day), ids[(3 * day + one) % 12], 1 + (day + one) % 4
            )
            for day in range(28)
            for one in range(3)
        )
        assert check(log, desk, monday)
        yield desk, log, monday


def settled_before(log, desk, day):
    start = read_log(log, desk, desk.repertoire.items(day), day, MINUTES).start
    return start.before if start else None


def whole_readings(monkeypatch):
    """Counts how often the whole log is read."""
    count = []
    read = PracticeLog.events
    monkeypatch.setattr(PracticeLog, "events", lambda self, **how: count.append(1) or read(self, **how))
    return count


def test_it_is_used_and_goes_on_week_by_week(long, monkeypatch):
    desk, log, monday = long
    count = whole_readings(monkeypatch)
    before = [settled_before(log, desk, monday + dt.timedelta(days=day)) for day in (0, 1, 6, 7, 8, 20)]
    assert before == [monday + dt.timedelta(days=day) for day in (-7, -7, -7, 0, 0, 7)]
    assert count == []


def test_plays_of_the_last_week_and_what_takes_them_back_leave_it_as_it_is(long, monkeypatch):
    desk, log, monday = long
    log.append([play("late", monday - dt.timedelta(days=3), "flute: C major", 1)])
    log.take_back("27 1", uid="v", day=monday, recorded_at=STAMP)
    count = whole_readings(monkeypatch)
    assert settled_before(log, desk, monday)
    assert count == []
    check(log, desk, monday)


@pytest.mark.parametrize("how", ["older play", "older play taken back", "older change of the list"])
def test_what_is_noted_later_for_an_earlier_week_is_seen(long, monkeypatch, how):
    desk, log, monday = long
    older = START + dt.timedelta(days=9)
    if how == "older play":
        log.append([play("late", older, "flute: C major", 1)])
    elif how == "older play taken back":
        log.take_back("9 1", uid="v", day=monday, recorded_at=STAMP)
    else:
        log.append([Entry("late", Kind.ITEM_OUT, older, STAMP, item="flute: C major", instrument="flute")])
    count = whole_readings(monkeypatch)
    assert settled_before(log, desk, monday)
    assert count == [1]
    assert settled_before(log, desk, monday)
    assert count == [1]  # and that is remembered in its turn
    check(log, desk, monday)


def test_what_concerns_other_instruments_or_no_exercise_is_passed_over(long, monkeypatch):
    desk, log, monday = long
    log.append([play("theirs", START, "clarinet: C major", instrument="clarinet")])
    log.append([Entry("s", Kind.SHEET, START, STAMP, data="{}", instrument="flute")])
    log.take_back("theirs", uid="v", day=monday, recorded_at=STAMP)
    count = whole_readings(monkeypatch)
    assert settled_before(log, desk, monday)
    assert count == []


def test_the_same_entries_edited_outside_are_another_log(long, tmp_path, monkeypatch):
    # Same numbers, uids and moments; only the ratings differ.
    desk, log, monday = long
    export_log(log, tmp_path / "log.csv", Format.CSV)
    text = (tmp_path / "log.csv").read_text("utf-8")
    lines = [line.replace(",1,61,", ",4,64,") for line in text.splitlines(keepends=True)]
    assert lines != text.splitlines(keepends=True)
    (tmp_path / "log.csv").write_text("".join(lines), "utf-8")
    edited = replace(desk, home=replace(desk.home, log=tmp_path / "edited.sqlite"))
    with PracticeLog.open(edited.home.log) as other:
        import_log(other, tmp_path / "log.csv", Format.CSV)
        assert [one.uid for one in other.as_saved()] == [one.uid for one in log.as_saved()]
        count = whole_readings(monkeypatch)
        read_log(other, edited, edited.repertoire.items(monday), monday, MINUTES)
        assert count == [1]
        check(other, edited, monday)


def test_a_copy_of_the_log_from_before_knows_nothing_of_it_and_a_later_one_does(long, tmp_path, monkeypatch):
    desk, log, monday = long
    log._database.run("VACUUM INTO ?", (str(tmp_path / "copy.sqlite"),))
    with PracticeLog.open(tmp_path / "copy.sqlite") as copy:
        copy.append([play("here only", START + dt.timedelta(days=25), "flute: C major", 1)])
        count = whole_readings(monkeypatch)
        assert settled_before(copy, desk, monday)
        assert count == []
        copy._database.run("DROP TABLE vouched")  # as in a copy from before
        assert settled_before(copy, desk, monday)
        assert count == [1]


@pytest.mark.parametrize("spoil", [b"", b"{}", b"\xff\0", None])
def test_a_spoilt_file_counts_as_nothing_remembered(long, monkeypatch, spoil):
    desk, log, monday = long
    file = remembered(desk)
    if spoil is None:  # a gap changed by hand
        data = json.loads(file.read_bytes())
        data["gaps"][0] += 1
        spoil = json.dumps(data).encode()
    file.write_bytes(spoil)
    count = whole_readings(monkeypatch)
    assert settled_before(log, desk, monday)
    assert count == [1]
    check(log, desk, monday)


def test_other_minutes_with_another_longest_gap_do_without_it(long, monkeypatch):
    desk, log, monday = long
    items = desk.repertoire.items(monday)
    longest = read_log(log, desk, items, monday, MINUTES).start.ceiling
    count = whole_readings(monkeypatch)
    assert read_log(log, desk, items, monday, 3).start.ceiling > longest
    assert count == [1]


def test_an_earlier_day_is_read_from_the_whole_log(long, monkeypatch):
    desk, log, monday = long
    log.append([play("future", monday + dt.timedelta(days=1), "flute: C major")])
    assert check(log, desk, monday + dt.timedelta(days=30))
    count = whole_readings(monkeypatch)
    assert settled_before(log, desk, monday) == monday - dt.timedelta(days=7)
    assert count == [1]


def test_where_nothing_can_be_kept_the_log_is_read(long, monkeypatch):
    desk, log, monday = long
    remembered(desk).unlink()
    desk.home.cache.rmdir()
    desk.home.cache.write_text("a file in the way", "utf-8")
    assert check(log, desk, monday)


def test_a_short_log_is_just_read(long, monkeypatch):
    desk, log, monday = long
    remembered(desk).unlink()
    monkeypatch.setattr(bygone, "WORTH", 5_000)
    assert not check(log, desk, monday)
    assert list(desk.home.cache.glob("log-*")) == []
