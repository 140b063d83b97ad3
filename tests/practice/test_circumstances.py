"""Days that are not like others: others sleep, strength is lacking, eight minutes, a week off, another instrument."""

import pytest

from generator.catalogue.tables import shared_catalogue

PLAN = """
instrument = "trumpet in B-flat"
minutes = 20
[[keep]]
phrase = "all keys, major, one octave"
goal = 100
[[keep]]
phrase = "long tones on G"
[[keep]]
phrase = "slurs over the partials"
[[keep]]
phrase = "buzzing"
[[keep]]
phrase = "B-flat major, one octave, from the top octave"
"""
LOUD = ("long tones", "partials", "buzzing")


def days(desk, count, *words):
    for _ in range(count):
        desk.today(*words)
        desk.type("played", "all", "--tempo", "80", "--felt", "3")
        desk.sleep()


def test_a_silent_sheet_leaves_out_what_is_nothing_without_a_sound_and_says_how_each_row_is_worked(desk):
    desk.plan(PLAN)
    days(desk, 3)
    said = desk.today("--silent")
    phrases = desk.phrases(said)
    assert phrases
    assert not [phrase for phrase in phrases if any(word in phrase for word in LOUD)]
    ways = shared_catalogue().silent["brass"]
    reasons = [row.reason for row in desk.sheet().rows]
    assert [reason.split("; ")[0] for reason in reasons] == [ways[n % len(ways)] for n in range(len(reasons))]
    assert "Without a sound" in said.words
    # What is left out waits longer than the rule would let it, so nothing is promised and no row is marked.
    assert "comes round within" not in said.words
    assert "at most" not in said.words
    assert not any(row.floor for row in desk.sheet().rows)


@pytest.mark.parametrize("instrument", [row.name for row in shared_catalogue().instruments.rows][::9])
def test_every_way_of_sounding_has_ways_without_a_sound(instrument, desk):
    said = desk.today("--silent", "-i", instrument, "-m", "10")
    assert said.code == 0
    wind = shared_catalogue().instruments.find(instrument).wind
    assert all(row.reason.split("; ")[0] in shared_catalogue().silent[wind] for row in desk.sheet().rows)
    if wind == "voice":
        assert "whisper" not in said.words


def test_a_plan_of_long_tones_alone_has_no_silent_sheet(desk):
    desk.plan('instrument = "flute"\n[[keep]]\nphrase = "long tones on G"\n')
    said = desk.today("--silent")
    assert said.code == 2
    assert "nothing on the list can be worked without a sound" in said.words


def test_an_easy_day_is_shorter_slower_known_and_never_heavy(desk):
    desk.plan(PLAN)
    days(desk, 5)
    usual = desk.exercises(desk.today())
    usual_minutes = desk.sheet().minutes
    before = {row.item: row.aim for row in desk.sheet().rows}
    said = desk.today("--easy")
    sheet = desk.sheet()
    assert sheet.minutes < usual_minutes
    assert len(sheet.rows) <= len(usual)
    assert not any("top octave" in row.phrase for row in sheet.rows)
    # Every exercise was played at 80; a mark lower on the metronome is 76 (traditional series).
    played = {entry.item for entry in desk.plays()}
    assert {row.aim for row in sheet.rows if row.goal and row.item in played} == {76}
    assert all(aim in (80, None) for item, aim in before.items() if item in played)
    assert "An easy day" in said.words
    assert sheet.mood == "easy"


def test_an_easy_day_for_someone_who_has_noted_nothing_still_has_a_sheet(desk):
    desk.plan(PLAN)
    assert desk.today("--easy").code == 0
    assert not any("top octave" in row.phrase for row in desk.sheet().rows)


def test_eight_minutes_make_a_whole_sheet_and_not_a_stump(desk):
    days(desk, 4, "-i", "alto saxophone")
    desk.today("-i", "alto saxophone", "-m", "8")
    sheet = desk.sheet()
    assert sheet.minutes <= 8
    assert len(sheet.rows) >= 4
    assert len({row.phrase.split()[0] for row in sheet.rows}) >= 3  # keys
    assert "A short day" in desk.today("-i", "alto saxophone", "-m", "8").words


def test_a_short_plan_is_not_hurried(desk):
    desk.plan('instrument = "flute"\nminutes = 8\n[[keep]]\nphrase = "all keys, major"\nminutes = 2\n')
    said = desk.today()
    assert [row.minutes for row in desk.sheet().rows] == [2, 2, 2]
    assert "short day" not in said.words


def test_the_usual_sheet_of_a_day_is_another_one_and_a_mood_is_printed_again(desk):
    desk.plan(PLAN)
    days(desk, 2)
    desk.today("--silent")
    silent = desk.sheet().code
    desk.today()
    assert desk.sheet().code != silent
    assert f"sheet {silent}: printed again" in desk.today("--silent").words
    desk.today("--silent", "--easy")
    assert desk.sheet().mood == "silent, easy"


def test_a_sheet_for_a_mood_can_be_noted_like_any_other(desk):
    desk.plan(PLAN)
    desk.today("--silent")
    rows = len(desk.sheet().rows)
    desk.type("played", "all", "--sheet", desk.sheet().code)
    assert len(desk.plays()) == rows


def test_after_a_week_off_rows_begin_a_mark_lower_and_nothing_has_piled_up(desk):
    desk.plan(PLAN)
    days(desk, 6)
    usual = desk.today().words
    rows = len(desk.sheet().rows)
    assert "week off" not in usual
    desk.sleep(8)
    said = desk.today()
    assert "After a week off" in said.words
    assert len(desk.sheet().rows) <= rows + 1
    assert desk.sheet().minutes <= 20
    played = {entry.item for entry in desk.plays()}
    assert {row.aim for row in desk.sheet().rows if row.goal and row.item in played} <= {76}
    # Days off are no practice days: what the page promises is what it promised before.
    assert "everything comes round within" in said.words


def test_switching_instruments_in_mid_week_keeps_both_histories(desk):
    promised = {}
    played = {"alto saxophone": set(), "clarinet in B-flat": set()}
    for day in range(12):
        name = tuple(played)[day % 2]
        desk.today("-i", name)
        sheet = desk.sheet()
        assert sheet.instrument == name
        promised[name] = sheet.promise
        # Nothing of the other instrument is on it, and waits count this instrument's days alone.
        assert all(row.item.startswith(f"{name}: ") for row in sheet.rows)
        played[name] |= {row.item for row in sheet.rows}
        desk.type("played", "all", "-i", name)
        desk.sleep()
    assert all(len(items) > 15 for items in played.values())
    assert all(count <= 12 for count in promised.values())
