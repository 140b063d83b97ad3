"""The playing order, heavy exercises, and the rest that belongs to a sheet."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation import Item, Topic, minutes_with_rest, rest_minutes
from generator.rotation.choose import Candidate
from generator.rotation.playing_order import circle_distance, playing_order
from generator.rotation.rest import place_breaks

EXAMPLES = settings.get_profile("rotation")


def row(name, key=None, gap=7, heavy=False, age=0, warm=False, rank=0):
    item = Item(name, key=key, heavy=heavy, warm=warm, rank=rank)
    return Candidate(0, age, item.tie, item, 3, gap)


def names(rows):
    return [one.item.id for one in rows]


@pytest.mark.parametrize(
    ("one", "other", "fifths"),
    # C to G is one fifth, C to F one the other way, C to F-sharp six: the circle of fifths of any primer.
    [(0, 1, 1), (0, 11, 1), (0, 6, 6), (2, 9, 5), (5, 5, 0), (None, 3, 3), (None, None, 3)],
)
def test_circle_distance(one, other, fifths):
    assert circle_distance(one, other) == circle_distance(other, one) == fifths


def test_the_sheet_opens_with_the_most_secure_and_goes_on_with_the_farthest_key():
    rows = [
        row("C", 0, gap=3),
        row("G", 1, gap=30),
        row("F-sharp", 6),
        row("A-flat", 8),
        row("no key", gap=9),
    ]
    assert names(playing_order(rows)) == ["G", "A-flat", "C", "F-sharp", "no key"]


def test_equal_distance_goes_to_the_longer_waiting():
    rows = [row("start", 0, gap=9), row("later", 6, age=4), row("sooner", 6, age=2), row("end", 0, gap=8)]
    assert names(playing_order(rows)) == ["start", "sooner", "later", "end"]


def test_what_warms_up_comes_first_the_hard_in_the_middle_and_the_end_is_easy():
    rows = [
        row("shaky", 3, gap=1),
        row("new", 5),
        row("long tones", None, warm=True),
        row("fine", 0, gap=7),
        row("well", 1, gap=8),
        row("best", 2, gap=20),
        row("very high", 2, gap=30, heavy=True),
    ]
    ordered = names(playing_order(rows, new={"new"}))
    assert ordered[0] == "long tones"
    assert ordered[-1] == "best"
    assert {ordered.index("shaky"), ordered.index("new")} <= {2, 3, 4}


def test_a_row_to_warm_up_with_parts_two_heavy_ones_where_nothing_else_can():
    rows = [row("long tones", warm=True), row("high", 1, heavy=True), row("higher", 2, heavy=True)]
    assert names(playing_order(rows))[1] == "long tones"


def test_the_rows_of_the_thread_come_in_the_order_of_the_plan():
    rows = [row(f"C {n}", 0, rank=n) for n in (3, 1, 2)] + [row(f"other {n}", 5 + n) for n in range(3)]
    ordered = names(playing_order(rows, thread=0))
    assert ordered[:3] == ["C 1", "C 2", "C 3"]


def neighbours(rows):
    return sum(one.item.heavy and other.item.heavy for one, other in itertools.pairwise(rows))


@EXAMPLES
@given(st.lists(st.tuples(st.booleans(), st.none() | st.integers(0, 11), st.integers(1, 30)), max_size=14))
def test_heavy_rows_stand_side_by_side_only_where_there_is_no_other_way(rows):
    rows = [row(str(place), key, gap, heavy) for place, (heavy, key, gap) in enumerate(rows)]
    ordered = playing_order(rows)
    assert sorted(names(ordered)) == sorted(names(rows))
    heavy = sum(one.item.heavy for one in rows)
    light = len(rows) - heavy
    assert neighbours(ordered) == max(0, heavy - (light + 1))
    groups = [
        len(list(run)) for is_heavy, run in itertools.groupby(one.item.heavy for one in ordered) if is_heavy
    ]
    if groups:
        assert max(groups) <= -(-heavy // (light + 1))


def test_rest_is_at_least_five_minutes_in_every_thirty():
    # BAPAM, "Ten top health tips": a five-minute break in each half hour.
    assert rest_minutes(30) == 5
    assert rest_minutes(60) == 10
    assert all(6 * rest_minutes(minutes) >= minutes for minutes in range(6, 400))
    assert all(rest_minutes(minutes) <= minutes / 6 + 1 for minutes in range(400))
    assert rest_minutes(5) == 0


def test_a_longer_sheet_never_leaves_less_for_playing():
    playing = [minutes - rest_minutes(minutes) for minutes in range(1, 400)]
    assert playing == sorted(playing)
    assert min(playing) == 1
    for wanted in range(1, 300):
        minutes = minutes_with_rest(wanted)
        assert minutes - rest_minutes(minutes) >= wanted
        assert minutes == 1 or (minutes - 1) - rest_minutes(minutes - 1) < wanted


lengths_lists = st.lists(st.tuples(st.integers(1, 20), st.booleans()), min_size=1, max_size=20)


@EXAMPLES
@given(lengths_lists, st.integers(0, 20))
def test_the_breaks_add_up_to_the_rest(rows, rest):
    lengths, heavy = [one[0] for one in rows], [one[1] for one in rows]
    breaks = place_breaks(lengths, heavy, rest)
    assert len(breaks.after) == len(rows)
    pairs = [place for place in range(len(rows) - 1) if heavy[place] and heavy[place + 1]]
    assert breaks.between_heavy == len(pairs)
    assert all(breaks.after[place] >= 30 for place in pairs)
    assert all(seconds % 5 == 0 for seconds in breaks.after)
    assert sum(breaks.after) == max(60 * rest, 30 * len(pairs))
    over = sum(breaks.after) - 60 * rest
    assert breaks.extra_minutes == -(-over // 60)


def test_lips_rest_about_as_long_as_they_played():
    # Brass teachers' custom (wilktone.com and three others): rest as long as you play. Half a minute of each row is
    # for looking at it, which rests the lip as well.
    for minutes in range(10, 120):
        rest = rest_minutes(minutes, brass=True)
        playing = minutes - rest
        rows = playing / 2
        assert rest + rows / 2 >= 0.8 * (playing - rows / 2)
    after = place_breaks([2, 2, 4, 2], [False] * 4, 8, each=True).after
    assert after[2] == 2 * after[0] == 2 * after[1]
    assert (after[3], sum(after)) == (0, 480)


def test_a_break_comes_half_way_and_longer_sheets_have_one_every_25_minutes():
    assert place_breaks([5] * 5, [False] * 5, 5).after in {(0, 300, 0, 0, 0), (0, 0, 300, 0, 0)}
    hour = place_breaks([5] * 10, [False] * 10, 10).after
    assert [place for place, seconds in enumerate(hour) if seconds] == [4]
    assert sum(1 for seconds in place_breaks([5] * 15, [False] * 15, 15).after if seconds) == 2


def test_a_sheet_counts_its_rest_in_its_minutes(diary, keys_by_figures):
    sheet = diary(keys_by_figures(5), 30).sheet(rest=None)
    assert (sheet.playing_minutes, sheet.rest_minutes) == (25, 5)
    assert sum(row.minutes for row in sheet.rows) == 25
    assert sum(row.rest_after for row in sheet.rows) == 300


def test_heavy_rows_that_cannot_be_kept_apart_get_rests_and_a_word(diary):
    items = [Item(f"high {one}", catalogue=one, heavy=True) for one in range(4)]
    sheet = diary([*items, Item("low", catalogue=9)], 6).sheet(rest=1)
    assert [row.item_id.startswith("high") for row in sheet.rows] == [True, True, False, True, True]
    assert [row.rest_after >= 30 for row in sheet.rows] == [True, False, False, True, False]
    assert sheet.rest_minutes == 1
    assert any(note.topic is Topic.REST and "2 places" in note.text for note in sheet.notes)
    tight = diary(items, 4).sheet()
    assert [row.rest_after for row in tight.rows] == [30, 30, 30, 0]
    assert tight.rest_minutes == 2
    assert any("2 minutes longer" in note.text for note in tight.notes)


def test_light_rows_get_no_word_about_rest(diary, keys_by_figures):
    assert all(note.topic is not Topic.REST for note in diary(keys_by_figures(2), 30).sheet(rest=None).notes)
