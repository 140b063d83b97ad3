"""Logs of one player on two computers."""

import dataclasses
import datetime as dt

import pytest

from generator.errors import OutputError, RequestError
from generator.practice_log import Entry, Kind, PracticeLog
from generator.practice_log.copies import copies_of, copy_before_import, days_kept, keep_daily_copy
from generator.practice_log.transfer import OtherLog, is_of_another

DAY = dt.date(2027, 3, 5)
EARLY, LATE = "2027-03-05T17:00:00.000000+00:00", "2027-03-05T19:00:00.000000+00:00"


@pytest.fixture
def two(tmp_path):
    with (
        PracticeLog.open(tmp_path / "laptop.sqlite") as one,
        PracticeLog.open(tmp_path / "tablet.sqlite") as other,
    ):
        yield one, other


def at(entry, moment, **changes):
    return dataclasses.replace(entry, recorded_at=moment, **changes)


def brought(log, other):
    return log.merge(other.as_saved(), other.facts.ids(), "other.csv", DAY)


def ratings(log):
    return [entry.rating for entry in log.entries(kinds=(Kind.PLAY,))]


def test_what_both_noted_alike_is_one_whatever_the_clocks_said(two, play):
    laptop, tablet = two
    laptop.append([at(play("u1"), EARLY)])
    tablet.append([at(play("u1"), LATE), at(play("u2"), LATE)])
    assert (brought(laptop, tablet).added, brought(laptop, tablet).added) == (1, 0)
    assert brought(tablet, laptop).added == 0
    for log in two:
        assert [entry.uid for entry in log.entries()] == ["u1", "u2"]
        assert [event.item for event in log.events()] == ["G major", "G major"]


@pytest.mark.parametrize(("first", "second"), [(EARLY, LATE), (LATE, EARLY)])
def test_where_plays_differ_the_one_saved_last_counts_and_it_is_told(two, play, first, second):
    laptop, tablet = two
    laptop.append([at(play("u1", rating=2, tempo=60), first)])
    tablet.append([at(play("u1", rating=4, tempo=90), second)])
    told = brought(laptop, tablet).differ
    expected = 4 if second == LATE else 2
    assert [(counts.rating, other.rating) for counts, other in told] == [(expected, 6 - expected)]
    brought(tablet, laptop)
    assert ratings(laptop) == ratings(tablet) == [expected]
    assert laptop.as_saved() == tablet.as_saved()


@pytest.mark.parametrize("pair", [(1, 2), (2, 1), (3, 4), (4, 3)])
def test_of_one_moment_both_logs_read_and_believe_the_same(two, play, pair):
    # Nobody can tell which was later; all that matters is that both computers settle it alike.
    for log, rating in zip(two, pair, strict=True):
        log.append([at(play("u1", rating=rating), EARLY), at(play("u0", rating=rating), EARLY)])
    laptop, tablet = two
    brought(laptop, tablet)
    brought(tablet, laptop)
    assert laptop.as_saved() == tablet.as_saved()
    assert ratings(laptop) == ratings(tablet)


def test_taking_back_on_one_computer_leaves_what_the_other_noted_by_itself(two, play):
    # Both played the sheet through and noted it; one of them by mistake. The other's note is no mistake.
    laptop, tablet = two
    laptop.append([at(play("u1"), EARLY)])
    tablet.append([at(play("u1"), LATE)])
    tablet.take_back("u1", uid="v", day=DAY, recorded_at=LATE)
    brought(laptop, tablet)
    brought(tablet, laptop)
    assert ratings(laptop) == ratings(tablet) == [3]


def test_taking_back_what_was_brought_in_holds_on_both(two, play):
    laptop, tablet = two
    laptop.append([at(play("u1"), EARLY)])
    brought(tablet, laptop)
    tablet.take_back("u1", uid="v", day=DAY, recorded_at=LATE)
    brought(laptop, tablet)
    assert ratings(laptop) == ratings(tablet) == []


def test_both_may_take_the_same_play_back(two, play):
    laptop, tablet = two
    laptop.append([at(play("u1"), EARLY)])
    brought(tablet, laptop)
    laptop.take_back("u1", uid="v1", day=DAY, recorded_at=LATE)
    tablet.take_back("u1", uid="v2", day=DAY, recorded_at=LATE)
    assert brought(laptop, tablet).problems == brought(tablet, laptop).problems == ()
    assert laptop.as_saved() == tablet.as_saved()


def test_a_log_saved_out_of_order_is_read_in_order(two, play, enter):
    laptop, tablet = two
    laptop.append([at(play("u1", rating=1), LATE)])
    tablet.append([at(enter("i1"), EARLY), at(play("u0", rating=4), EARLY)])
    brought(laptop, tablet)
    assert [event.rating for event in laptop.events() if event.kind == "play"] == [4, 1]
    assert [event.seq for event in laptop.events()] == [1, 2, 3]
    assert [entry.uid for entry in laptop.as_saved()] == ["i1", "u0", "u1"]


def test_an_import_is_taken_out_whole_and_can_come_again(two, play):
    laptop, tablet = two
    laptop.append([at(play("u1"), EARLY)])
    tablet.append([at(play("u1", rating=4), LATE), at(play("u2"), LATE)])
    before, ids = laptop.as_saved(), laptop.facts.ids()
    brought(laptop, tablet)
    assert ratings(laptop) == [4, 3]
    laptop.imports.undo(laptop.imports.last())
    assert (laptop.as_saved(), laptop.facts.ids()) == (before, ids)
    assert laptop.imports.last() is None
    assert laptop.problems() == []
    brought(laptop, tablet)
    assert ratings(laptop) == [4, 3]
    path = laptop.path
    laptop.close()
    path.with_name(f"{path.name}.sound").unlink()
    with PracticeLog.open(path) as again:  # looked through anew
        assert ratings(again) == [4, 3]


def test_an_import_on_which_something_rests_is_not_taken_out(two, play):
    laptop, tablet = two
    tablet.append([play("u1")])
    brought(laptop, tablet)
    laptop.take_back("u1", uid="v", day=DAY, recorded_at=LATE)
    with pytest.raises(RequestError, match="something noted since"):
        laptop.imports.undo(laptop.imports.last())
    assert len(laptop.as_saved()) == 2


def as_other(log, tmp_path):
    lines = tuple(enumerate(log.as_saved(), 1))
    return OtherLog(
        tmp_path / "x.csv", lines, log.facts.ids(), whole=True, player=log.facts.get("player") or ""
    )


def test_whose_a_log_is(two, play, tmp_path):
    laptop, tablet = two
    tablet.append([at(play("u1"), EARLY)])
    assert not is_of_another(laptop, as_other(tablet, tmp_path))  # an empty log may become anybody's
    laptop.append([at(play("u1"), LATE)])
    assert is_of_another(laptop, as_other(tablet, tmp_path))  # the same exercises may be anybody's
    brought(laptop, tablet)
    for one, other in ((laptop, tablet), (tablet, laptop)):
        assert not is_of_another(one, as_other(other, tmp_path))  # and from now on in both directions
    laptop.note_fact("player", "Ada")
    tablet.note_fact("player", "Ben")
    assert is_of_another(laptop, as_other(tablet, tmp_path))
    tablet.note_fact("player", "ada")
    assert not is_of_another(laptop, as_other(tablet, tmp_path))


def test_a_copy_a_day_three_of_them_and_then_one_a_week(tmp_path, play):
    start = dt.date(2027, 1, 1)
    with PracticeLog.open(tmp_path / "log.sqlite") as log:
        for number in range(50):
            log.append([play(f"u{number}")])
            day = start + dt.timedelta(days=number)
            made = keep_daily_copy(log, day)
            assert made is not None
            assert keep_daily_copy(log, day) is None
    names = sorted(one.name for one in copies_of(tmp_path / "log.sqlite"))
    assert names == [
        f"log-2027-{day}.sqlite" for day in ("01-31", "02-07", "02-14", "02-16", "02-17", "02-18", "02-19")
    ]
    with PracticeLog.open(made) as copy:
        assert len(copy.as_saved()) == 50


def test_which_days_keep_their_copy():
    days = {dt.date(2027, 3, day) for day in (1, 2, 9, 10, 11, 12)}
    assert days - days_kept(days) == {dt.date(2027, 3, 1)}
    assert days_kept(set()) == set()


def test_copies_before_imports_are_counted_on_and_three_stay(tmp_path, play):
    with PracticeLog.open(tmp_path / "log.sqlite") as log:
        log.append([play("u1")])
        for _ in range(5):
            copy_before_import(log)
    assert sorted(one.name for one in copies_of(tmp_path / "log.sqlite")) == [
        f"log-before-import-{number}.sqlite" for number in (3, 4, 5)
    ]


def test_a_trigger_that_swallows_what_is_noted(tmp_path, play):
    path = tmp_path / "log.sqlite"
    with PracticeLog.open(path) as log:
        log.append([play("u1")])
        log._database.run("CREATE TRIGGER quiet BEFORE INSERT ON event BEGIN SELECT RAISE(IGNORE); END")
        with pytest.raises(OutputError, match="does not keep what is put in; nothing was noted"):
            log.append([play("u2")])
    with pytest.raises(
        OutputError, match='a trigger "quiet" that this program did not make; scalewright played'
    ):
        PracticeLog.open(path)


@pytest.mark.parametrize(
    "statement",
    ["UPDATE event SET rating = 1 WHERE NEW.seq = seq", "UPDATE event SET tempo = 200 WHERE NEW.seq = seq"],
)
def test_a_trigger_that_changes_what_is_noted(tmp_path, play, statement):
    with PracticeLog.open(tmp_path / "log.sqlite") as log:
        log._database.run("DROP TRIGGER event_no_update")
        log._database.run(f"CREATE TRIGGER quiet AFTER INSERT ON event BEGIN {statement}; END")
        with pytest.raises(OutputError, match="does not keep"):
            log.append([play("u2")])
        assert log.as_saved() == []


def test_a_void_may_have_an_earlier_moment_than_what_it_takes_back(two, play):
    laptop, tablet = two
    play_ = at(play("u1"), LATE)
    laptop.append([play_])
    laptop.append([Entry("v1", Kind.VOID, DAY, EARLY, takes_back="u1")])
    brought(tablet, laptop)
    assert ratings(tablet) == []
    assert tablet.as_saved() == laptop.as_saved()
