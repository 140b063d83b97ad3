"""A list that grows: the pure rule, and a player at the command line whose plan has stages."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from generator.practice.growth import Stage, open_stages, played_days
from generator.rotation import Event

STAGES = (Stage(("a", "b")), Stage(("c",)), Stage((), ("a", "c")), Stage(("d",)))

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
    assert open_stages(STAGES, {}, 0, 1) == 1
    assert open_stages(STAGES, {"a": [0]}, 1, 1) == 1


def test_a_stage_opens_on_the_day_after_everything_before_it_was_played() -> None:
    played = {"a": [0], "b": [2]}
    assert open_stages(STAGES, played, 2, 1) == 1
    assert open_stages(STAGES, played, 3, 1) == 2
    # The third stage asks more of what there is, so that its own days count: a and c once more each.
    played = {"a": [0, 1], "b": [2], "c": [3]}
    assert open_stages(STAGES, played, 4, 1) == 3
    played = {"a": [0, 1, 5], "b": [2], "c": [3]}
    assert open_stages(STAGES, played, 6, 1) == 3
    played = {"a": [0, 1, 5], "b": [2], "c": [3, 6]}
    assert open_stages(STAGES, played, 7, 1) == 4


def test_everything_is_played_as_often_as_the_plan_says_first() -> None:
    assert open_stages(STAGES, {"a": [0, 1, 2], "b": [0, 2]}, 3, 3) == 1
    assert open_stages(STAGES, {"a": [0, 1, 2], "b": [0, 2, 3]}, 4, 3) == 2


def test_what_was_played_once_stays_whatever_the_plan_became() -> None:
    # A row put before the others later, and a log that is older than the stages, take nothing away.
    assert open_stages(STAGES, {"d": [0]}, 1, 1) == 4
    assert open_stages(STAGES, {"c": [0]}, 1, 3) == 2


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
    rounds = data.draw(st.integers(1, 3))
    played: dict[str, list[int]] = {}
    before = 1
    for today in range(14):
        count = open_stages(STAGES, played, today, rounds)
        assert count >= before
        before = count
        here = sorted({one for stage in STAGES[:count] for one in (*stage.new, *stage.again)})
        for item in data.draw(st.sets(st.sampled_from(here))):
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
    assert any("6 exercises on the list" in line for line in desk.type("progress").out)
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
