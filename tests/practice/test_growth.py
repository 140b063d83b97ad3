"""A list that grows: the pure rule, and a player at the command line whose plan has stages."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from generator.practice.growth import Pace, on_list, played_days
from generator.rotation import Event

PACE = Pace(rounds=1, first=4, step=2)
STAGES = (("a", "b", "c"), ("d", "e", "f", "g"), ("h",))

PLAN = """
instrument = "flute"
minutes = 20
[[keep]]
phrase = "C, F, G major"
[[keep]]
phrase = "C, F, G major arpeggio"
stage = 2
[[keep]]
phrase = "C, F, G major in thirds"
stage = 3
"""


def test_a_list_begins_with_its_first_stage() -> None:
    assert on_list(STAGES, {}, 0, PACE) == {"a", "b", "c"}
    assert on_list(STAGES, {}, 0, Pace(1, 2, 1)) == {"a", "b"}


def test_a_stage_joins_a_few_at_a_time_when_everything_before_was_played() -> None:
    played = {"a": [0], "b": [0], "c": [2]}
    # c came on the third practice day, so from the fourth on two join each day.
    assert on_list(STAGES, played, 2, PACE) == {"a", "b", "c"}
    assert on_list(STAGES, played, 3, PACE) == {*"abc", "d", "e"}
    assert on_list(STAGES, played, 4, PACE) == {*"abc", *"defg"}
    assert on_list(STAGES, played, 40, PACE) == {*"abc", *"defg"}


def test_everything_is_played_as_often_as_the_plan_says_first() -> None:
    thrice = Pace(3, 4, 2)
    played = {"a": [0, 1, 2], "b": [0, 1, 2], "c": [1, 2]}
    assert on_list(STAGES, played, 3, thrice) == {"a", "b", "c"}
    assert on_list(STAGES, {**played, "c": [1, 2, 3]}, 4, thrice) == {*"abc", "d", "e"}


def test_what_was_played_once_stays_whatever_the_plan_became() -> None:
    # A row put before the others later, and a log that is older than the stages, take nothing away.
    played = {"a": [0], "b": [0], "e": [1], "h": [1]}
    assert {"e", "h"} <= on_list(STAGES, played, 2, PACE)
    assert on_list(STAGES, played, 2, PACE) >= {"a", "b", "c", "d"}


def test_taking_back_and_later_plays_do_not_count() -> None:
    events = [
        Event(1, "play", "2027-03-01", "a", 3),
        Event(2, "play", "2027-03-02", "b", 3),
        Event(3, "void", "2027-03-02", ref=2),
        Event(4, "play", "2027-03-04", "c", 3),
        Event(5, "play", "2027-03-04", "a", 3),
    ]
    assert played_days(events, dt.date(2027, 3, 4)) == ({"a": [0]}, 1)
    assert played_days(events, dt.date(2027, 3, 5)) == ({"a": [0, 1], "c": [1]}, 2)


@given(st.data())
def test_a_list_only_grows_from_day_to_day(data: st.DataObject) -> None:
    pace = Pace(data.draw(st.integers(1, 3)), data.draw(st.integers(1, 5)), data.draw(st.integers(1, 3)))
    played: dict[str, list[int]] = {}
    before: set[str] = set()
    for today in range(14):
        listed = on_list(STAGES, played, today, pace)
        assert before <= listed
        assert len(listed - before) <= pace.first + 2 * pace.step or today == 0
        before = listed
        for item in data.draw(st.sets(st.sampled_from(sorted(listed)))):
            played.setdefault(item, []).append(today)


def test_a_new_stage_joins_on_the_day_after_and_not_on_a_reprint(desk) -> None:
    desk.plan(PLAN)
    first = desk.phrases(desk.today())
    assert {phrase.split(",")[0] for phrase in first} == {"C major", "F major", "G major"}
    code = desk.sheet().code
    desk.type("played", "all")
    again = desk.today()
    assert desk.sheet().code == code
    assert "printed again" in again.words
    desk.sleep()
    assert any("arpeggio" in phrase for phrase in desk.phrases(desk.today()))
    assert not any("thirds" in phrase for phrase in desk.phrases(desk.today()))


def test_taking_the_plays_back_closes_the_stage_again(desk) -> None:
    desk.plan(PLAN)
    desk.today()
    desk.type("played", "all")
    desk.type("played", "--undo")
    desk.sleep()
    assert not any("arpeggio" in phrase for phrase in desk.phrases(desk.today()))


def test_a_summary_says_what_is_still_to_come(desk) -> None:
    desk.plan(PLAN)
    told = desk.type("plan", "show").out
    (line,) = [line for line in told if "joining" in line]
    assert line.endswith("played once: major arpeggio (3), major in thirds (3)")
    assert any(line.startswith("3 exercises") for line in told)
    assert "9 exercises, no mistakes" in desk.type("plan", "check").words


def test_progress_and_calendar_see_the_list_as_it_has_grown(desk) -> None:
    desk.plan(PLAN)
    desk.today()
    desk.type("played", "all")
    assert any("5 exercises on the list" in line for line in desk.type("progress").out)
    text = (desk.folder / desk.type("plan", "calendar", "--weeks", "2").out[0]).read_text("utf-8")
    assert text.index("C major arpeggio") < text.index("C major in thirds")


def test_a_required_list_never_waits_for_a_stage(desk) -> None:
    desk.plan(PLAN + '[[list]]\nname = "florida-middle-school"\ndate = 2027-02-06\n')
    desk.today("-m", "60")
    names = {row.item for row in desk.sheet().rows}
    assert len(names) > 7


def test_a_stage_and_a_round_are_small_whole_numbers(desk) -> None:
    desk.plan(PLAN.replace("stage = 2", "stage = 0").replace("minutes = 20", "minutes = 20\nrounds = 100"))
    said = desk.type("plan", "check")
    assert said.code == 2
    assert "stage: 0 is no whole number from 1 to 99" in said.words
    assert "rounds: 100 is no whole number from 1 to 99" in said.words
