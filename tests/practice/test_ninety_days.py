"""Ninety days with one player, typed as a person would: days off, a holiday, a lost sheet, mistakes, second sheets.

Then the promise is checked from the log alone, by code that shares nothing with the rule.
"""

import datetime as dt
import random
from collections import defaultdict
from itertools import pairwise

import pytest

from generator.practice_log import Kind
from tests.fixtures.desk import Desk

PLAN = """\
player = "Ada Quill"
instrument = "alto saxophone"
minutes = 18
[[keep]]
phrase = "all keys, major"
minutes = 2
start = 60
goal = 108
articulations = "board articulations"
[[keep]]
phrase = "all keys, harmonic minor in thirds, one octave"
minutes = 3
start = 50
goal = 80
[[keep]]
phrase = "whole-tone on C and D-flat"
minutes = 1
"""
HOLIDAY = (dt.date(2027, 2, 10), dt.date(2027, 2, 24))
START, DAYS = dt.date(2027, 1, 4), 90


class Diary:
    """Ninety days at the command line."""

    def __init__(self, desk):
        self.desk = desk
        self.chance = random.Random(90)
        self.promises: dict[dt.date, int] = {}
        self.codes: dict[dt.date, str] = {}

    def live(self) -> None:
        self.desk.plan(PLAN)
        self.desk.day = START
        for number in range(DAYS):
            if not (self.chance.random() < 0.25 or HOLIDAY[0] <= self.desk.day < HOLIDAY[1]):
                self.practise(number)
            self.desk.sleep()

    def practise(self, number: int) -> None:
        desk = self.desk
        said = desk.today()
        assert said.code == 0, said
        sheet = desk.sheet()
        self.promises[desk.day], self.codes[desk.day] = sheet.promise, sheet.code
        if number % 17 == 5:
            (desk.folder / said.out[0]).unlink()  # the sheet is lost: printed once more
            assert desk.today().out == said.out
        if number % 13 == 7:
            desk.type("played", "all", "--felt", "1")  # a slip of the finger
            desk.type("played", "--undo")
        if number % 11 == 3:
            self.short_of_time(sheet)
        else:
            assert desk.type("played", "all", "--felt", str(self.chance.choice([2, 3, 3, 4]))).code == 0
            desk.type("played", "1", "--tempo", str(self.chance.randrange(60, 112, 4)))
        if number % 19 == 9:
            assert desk.today("--sheet-number", "2").code == 0
            desk.type("played", "1", "2")

    def short_of_time(self, sheet) -> None:
        """Only what is marked."""
        marked = [str(n) for n, row in enumerate(sheet.rows, 1) if row.floor]
        assert marked
        assert self.desk.type("played", *marked).code == 0


@pytest.fixture(scope="module")
def diary(tmp_path_factory):
    found = Diary(Desk(tmp_path_factory.mktemp("ninety")))
    found.live()
    return found


def gaps_by_hand(entries):
    """For each exercise the gaps between its practice days, the open one at the end and the first one included."""
    taken_back = {e.takes_back for e in entries if e.kind is Kind.VOID}
    plays = [e for e in entries if e.kind is Kind.PLAY and e.uid not in taken_back]
    days = sorted({e.day for e in plays})
    index = {day: number for number, day in enumerate(days, 1)}
    on = defaultdict(set)
    for play in plays:
        on[play.item].add(index[play.day])
    entered = {e.item: sum(day < e.day for day in days) for e in entries if e.kind is Kind.ITEM_IN}
    gaps = {}
    for item, start in entered.items():
        seen = [start, *sorted(on[item]), len(days) + 1]
        gaps[item] = [b - a for a, b in pairwise(seen)]
    return gaps, days


def test_the_promise_of_the_first_day_was_kept_for_every_exercise(diary):
    gaps, days = gaps_by_hand(diary.desk.log())
    promise = diary.promises[min(diary.promises)]
    in_order = [diary.promises[day] for day in sorted(diary.promises)]
    assert in_order == sorted(in_order, reverse=True)  # neither days off nor ratings moved it up
    assert len(gaps) == 12 + 12 + 2
    assert len(days) > 50
    assert max(max(one) for one in gaps.values()) <= promise
    # The promise says something: the list does not fit on far fewer days. 12 * 2 + 12 * 3 + 2 = 62 minutes, 15 a day.
    # Once all has begun twice that is enough; until then no more than 5 of the 15 are new.
    assert in_order[-1] <= 2 * -(-62 // 15) + 1
    assert promise <= 62 // 3 + 3


def test_every_exercise_was_played(diary):
    items = {e.item for e in diary.desk.log() if e.kind is Kind.ITEM_IN}
    assert {e.item for e in diary.desk.plays()} == items


def test_the_holiday_brought_no_mountain(diary):
    sheets = {e.day: e for e in diary.desk.log() if e.kind is Kind.SHEET and " 1 " in e.uid}
    before = max(day for day in sheets if day < HOLIDAY[0])
    after = min(day for day in sheets if day >= HOLIDAY[1])
    assert diary.promises[before] == diary.promises[after]
    assert (after - before).days >= 14
    for day in (before, after):
        assert 4 <= len(sheets[day].data.split('"item"')) - 1 <= 12


def test_every_sheet_can_be_printed_again_as_it_was(diary):
    desk = diary.desk
    for day in list(diary.codes)[::9]:
        said = desk.today("--date", day.isoformat())
        assert diary.codes[day].lower() in said.out[0]
        assert "printed again" in said.words


def test_a_second_sheet_repeats_nothing_of_the_first(diary):
    by_day = defaultdict(list)
    for entry in diary.desk.log():
        if entry.kind is Kind.SHEET:
            by_day[entry.day].append({part.split('"')[1] for part in entry.data.split('"item":')[1:]})
    pairs = [sheets for sheets in by_day.values() if len(sheets) == 2]
    assert pairs
    assert all(not first & second for first, second in pairs)


def test_the_log_is_sound_and_what_was_taken_back_is_still_in_it(diary):
    log = diary.desk.log()
    assert sum(e.kind is Kind.VOID for e in log) >= 5
    assert len({e.uid for e in log}) == len(log)
    assert all(e.phrase and e.sheet and e.instrument == "alto saxophone" for e in log if e.kind is Kind.PLAY)


def test_the_check_by_hand_would_see_a_broken_promise(diary):
    # The same log without the plays of one exercise.
    log = diary.desk.log()
    victim = next(e.item for e in log if e.kind is Kind.PLAY)
    gaps, _ = gaps_by_hand([e for e in log if e.kind is not Kind.PLAY or e.item != victim])
    assert max(gaps[victim]) > diary.promises[min(diary.promises)]
