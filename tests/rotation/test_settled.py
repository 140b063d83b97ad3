"""A log that is read in two parts gives what it gives in one."""

import datetime as dt
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.errors import RequestError
from generator.rotation import Event, Item, list_changes, plan_sheet, settle, usual_ceiling
from generator.rotation.replay import replay

ITEMS = [Item(f"i{one}", 1 + one % 3, one, catalogue=one % 2, goal=80) for one in range(7)]
NAMES = [*(item.id for item in ITEMS), "once kept", "never kept"]
START = dt.date(2027, 3, 1)
MINUTES = 4
CEILING = usual_ceiling(ITEMS, MINUTES)
TIGHT = 4  # a ceiling that gaps run into
DAYS = st.integers(0, 7).map(lambda number: START + dt.timedelta(days=number))


@st.composite
def logs(draw):
    """Entries of every kind, saved in any order of dates; what takes back may stand before or after what it names."""
    events = []
    for seq in range(1, draw(st.integers(8, 40)) + 1):
        kind = draw(st.sampled_from(["play"] * 4 + ["item_in"] * 2 + ["void"] * 3 + ["item_out", "sheet"]))
        day = draw(DAYS).isoformat()
        if kind == "void":
            old = [
                one.seq for one in events if one.kind != "void" and not any(v.ref == one.seq for v in events)
            ]
            if old:
                events.append(Event(seq, kind, day, ref=draw(st.sampled_from(old))))
        elif kind == "sheet":
            events.append(Event(seq, kind, day))
        elif kind == "play":
            tempo, goal = draw(st.tuples(st.none() | st.integers(40, 90), st.none() | st.just(80)))
            events.append(
                Event(seq, kind, day, draw(st.sampled_from(NAMES)), draw(st.integers(1, 4)), tempo, goal)
            )
        else:
            events.append(Event(seq, kind, day, draw(st.sampled_from(NAMES))))
    return events


def untouched(events, before, seen, today):
    """The log without what takes back, after `seen`, something from before `before`: then nothing may be settled."""
    days = {one.seq: one.day for one in events}
    return [
        one for one in events if one.kind != "void" or not seen < one.day <= today or days[one.ref] >= before
    ]


def columns(state):
    rows = zip(state.ages, state.gaps, state.played, state.entered, state.absent, strict=True)
    by_id = dict(zip(state.places, rows, strict=True))
    return by_id, state.days, state.first_day, state.later


@given(logs(), st.tuples(DAYS, DAYS, DAYS).map(sorted))
@settings(settings.get_profile("rotation"))
def test_a_log_read_in_two_parts_gives_the_same_sheet_and_the_same_changes(events, days):
    before, seen, today = days
    events = untouched(events, before.isoformat(), seen.isoformat(), today.isoformat())
    start = settle(events, before, seen, ITEMS, CEILING)
    newer = [one for one in events if one.day >= before.isoformat()]
    once, twice = replay(events, today, ITEMS, CEILING), replay(newer, today, ITEMS, CEILING, start)
    assert columns(twice) == columns(once)
    assert list_changes(ITEMS, newer, today, start) == list_changes(ITEMS, events, today)
    whole = plan_sheet(ITEMS, events, today, MINUTES, rest=0)
    assert plan_sheet(ITEMS, newer, today, MINUTES, rest=0, start=start) == whole


@given(logs(), st.lists(DAYS, min_size=4, max_size=4).map(sorted))
@settings(settings.get_profile("rotation"))
def test_settling_step_by_step_is_settling_at_once(events, days):
    first, seen, second, today = days
    events = untouched(events, first.isoformat(), seen.isoformat(), today.isoformat())
    start = settle(events, first, seen, ITEMS, TIGHT)
    newer = [one for one in events if one.day >= first.isoformat()]
    step, once = (
        settle(newer, second, today, ITEMS, TIGHT, start),
        settle(events, second, today, ITEMS, TIGHT),
    )
    assert sorted(step.others) == sorted(once.others)
    newest = [one for one in events if one.day >= second.isoformat()]
    assert columns(replay(newest, today, ITEMS, TIGHT, step)) == columns(
        replay(newest, today, ITEMS, TIGHT, once)
    )


def test_what_was_taken_back_later_shows_that_the_condition_is_needed():
    events = [Event(1, "play", "2027-03-01", "i0", 1), Event(2, "void", "2027-03-05", ref=1)]
    before, seen, today = (dt.date(2027, 3, day) for day in (2, 3, 6))
    start = settle(events, before, seen, ITEMS, CEILING)
    assert replay(events[1:], today, ITEMS, CEILING, start).played[0] == "2027-03-01"
    assert replay(events, today, ITEMS, CEILING).played[0] is None


def test_nothing_changes_after_it_was_handed_out():
    start = settle([Event(1, "item_in", "2027-03-01", "i0")], START, START, ITEMS, CEILING)
    again = settle([], START, START, ITEMS, CEILING)
    assert start == again  # dated on the day itself, so it is not before it
    plays = [Event(1, "play", "2027-03-02", "i1", 4), Event(2, "void", "2027-03-02", ref=9)]
    replay(plays, dt.date(2027, 3, 4), ITEMS, CEILING, start)
    assert start == again


@pytest.mark.parametrize(
    "wrong",
    [
        lambda start: replay([], START, ITEMS, CEILING, start),  # it knows what was taken back since
        lambda start: replay([], START + dt.timedelta(9), ITEMS, CEILING + 1, start),
        lambda start: replay([], START + dt.timedelta(9), ITEMS[1:], CEILING, start),
        lambda start: settle([], START, START + dt.timedelta(9), ITEMS, CEILING, start),
        lambda start: settle([], START + dt.timedelta(9), START, ITEMS, CEILING),
        lambda start: plan_sheet(
            ITEMS, [], START + dt.timedelta(9), MINUTES, start=replace(start, ceiling=31)
        ),
    ],
)
def test_what_was_settled_for_something_else_is_refused(wrong):
    start = settle([], START + dt.timedelta(1), START + dt.timedelta(2), ITEMS, CEILING)
    with pytest.raises(RequestError):
        wrong(start)
