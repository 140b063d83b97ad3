"""Noting what was played: in one line or question by question, twice without harm, and taken back whole."""

import csv
import datetime as dt
import io
import json

import pytest

from generator.practice.played import shared_out
from generator.practice.sheet_record import LETTERS, code_for, day_letters
from generator.practice_log import Kind

PLAN = 'instrument = "trombone"\nminutes = 10\n[[keep]]\nphrase = "all keys, major, one octave"\ngoal = 90\n'


@pytest.fixture
def printed(desk):
    """A player with a printed sheet of some exercises."""
    desk.plan(PLAN)
    desk.today()
    return desk


def stood(desk):
    """What stands in the log: number and rating, tempo, minutes."""
    return {int(e.uid.split()[2]): (e.rating, e.tempo, e.minutes) for e in desk.plays()}


def test_i_played_the_sheet_is_one_line(printed):
    said = printed.type("played", "all")
    count = len(printed.sheet().rows)
    assert (said.code, said.out) == (0, [])
    planned = [row.minutes for row in printed.sheet().rows]
    assert stood(printed) == {number: (3, None, planned[number - 1]) for number in range(1, count + 1)}
    assert f"noted: sheet {printed.sheet().code}, number 1-{count}, Monday 4 January 2027" in said.words
    play = printed.plays()[0]
    row = printed.sheet().rows[0]
    # The goal is 90; its row of tempi begins at 54, the mark at three fifths, and that is what the day asks for.
    assert (play.item, play.phrase, play.sheet, play.goal) == (row.item, row.phrase, printed.sheet().code, 54)
    assert (play.instrument, play.day) == ("trombone", dt.date(2027, 1, 4))


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        (("1", "2", "4-6"), {1, 2, 4, 5, 6}),
        (("1,3",), {1, 3}),
        (("2-2",), {2}),
        (("3", "1", "3"), {1, 3}),
        (("ALL",), None),
    ],
)
def test_numbers(words, numbers, printed):
    assert printed.type("played", *words).code == 0
    assert set(stood(printed)) == (numbers or set(range(1, len(printed.sheet().rows) + 1)))


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("0",), "'0' is not on sheet"),
        (("99",), "'99' is not on sheet"),
        (("3-1",), "'3-1' is not on sheet"),
        (("two",), "'two' is no number of an exercise"),
        (("1.5",), "'1.5' is no number"),
        (("\u0661",), "is no number of an exercise"),  # a digit, but not one of ours
        (("1", "--felt", "5"), "5 is not in the range"),
        (("1", "--felt", "0"), "0 is not in the range"),
        (("1", "--tempo", "1000"), "1000 is not in the range"),
        (("1", "--tempo", "fast"), "'fast' is not a valid int"),
        (("1", "--sheet", "QQQQ"), "there is no sheet 'QQQQ'"),
        (("1", "--sheet", "27B"), "there is no sheet '27B'"),
        (("1", "--date", "2027-02-30"), "is no day of the calendar"),
        ((), "say which numbers"),
        (("--undo",), "there is nothing to take back"),
        (("--export", "log.txt"), "must end in .csv or .jsonl"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_noted(words, reason, printed):
    said = printed.type("played", *words)
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert reason in said.words
    assert printed.plays() == []


def test_before_any_sheet(desk):
    said = desk.type("played", "all")
    assert (said.code, len(said.err)) == (2, 1)
    assert "scalewright today" in said.words


def test_the_same_command_again_changes_nothing(printed):
    printed.type("played", "1", "2", "--tempo", "72")
    before = printed.log()
    said = printed.type("played", "1", "2", "--tempo", "72")
    assert said.code == 0
    assert "noted already, nothing changed: number 1-2" in said.words
    assert printed.log() == before


def test_saying_more_adds_to_what_was_said(printed):
    printed.type("played", "all", "--felt", "4")
    said = printed.type("played", "2", "--tempo", "90")
    row = printed.sheet().rows[1]
    assert stood(printed)[2] == (4, 90, row.minutes)
    assert "changed: " in said.words
    assert f"at its goal on 1 day, reached with 3: {row.phrase}" in said.words
    # The first entry is still in the log, and taken back.
    assert sum(e.kind is Kind.PLAY and e.uid.split()[2] == "2" for e in printed.log()) == 2
    assert sum(e.kind is Kind.VOID for e in printed.log()) == 1


def test_all_of_a_sheet_took_the_minutes_it_says_unless_others_were_ever_said(printed):
    printed.type("played", "1", "--minutes", "9")
    printed.type("played", "all")
    printed.type("played", "2", "--felt", "2")
    planned = [row.minutes for row in printed.sheet().rows]
    assert [one[2] for _, one in sorted(stood(printed).items())] == [9, *planned[1:]]


def test_a_goal_is_reached_on_the_third_day_at_it(printed):
    code = printed.sheet().code
    said = []
    for day in ("2027-01-04", "2027-01-05", "2027-01-06"):
        said.append(printed.type("played", "2", "--sheet", code, "--date", day, "--tempo", "200").words)
        printed.sleep()
    assert ["goal reached, on 3 days" in words for words in said] == [False, False, True]
    assert ["at its goal on" in words for words in said] == [True, True, False]


def test_undo_takes_the_whole_last_action_back_and_no_more(printed):
    printed.type("played", "1", "2")
    printed.type("played", "3-5", "--felt", "2")
    said = printed.type("played", "--undo")
    assert "number 3, 4, 5" in said.words
    assert set(stood(printed)) == {1, 2}
    printed.type("played", "--undo")
    assert stood(printed) == {}
    assert printed.type("played", "--undo").code == 2
    # Nothing is erased.
    assert sum(e.kind is Kind.PLAY for e in printed.log()) == 5


def test_undo_brings_back_what_had_been_replaced(printed):
    printed.type("played", "all", "--felt", "4", "--tempo", "80")
    before = stood(printed)
    printed.type("played", "1", "3", "--felt", "1")
    assert stood(printed) != before
    printed.type("played", "--undo")
    assert stood(printed) == before
    printed.type("played", "--undo")
    assert stood(printed) == {}


def test_after_undo_the_same_can_be_noted_again(printed):
    for _ in range(3):
        assert printed.type("played", "1", "--felt", "1").code == 0
        assert stood(printed) == {1: (1, None, None)}
        assert printed.type("played", "--undo").code == 0
        assert stood(printed) == {}


def test_a_mistake_taken_back_leaves_tomorrow_as_if_it_had_not_been(desk, tmp_path):
    desk.plan(PLAN)
    desk.today()
    desk.type("played", "all", "--felt", "1")
    desk.type("played", "--undo")
    desk.type("played", "all", "--felt", "4")
    desk.sleep()
    desk.today()
    with_mistake = [(row.item, row.reason) for row in desk.sheet().rows]
    other = type(desk)(tmp_path / "other")
    other.folder.mkdir()
    other.plan(PLAN)
    other.today()
    other.type("played", "all", "--felt", "4")
    other.sleep()
    other.today()
    assert [(row.item, row.reason) for row in other.sheet().rows] == with_mistake


def test_asked_exercise_by_exercise(printed):
    said = printed.type("played", answers="\n4 88\n-\n92\nhuh\n1\nshaky 60\nq\n")
    assert said.code == 0
    assert stood(printed) == {
        1: (3, None, None), 2: (4, 88, None), 4: (3, 92, None), 5: (1, None, None), 6: (2, 60, None),
    }  # fmt: skip
    assert "'huh' is not understood" in said.words
    # One question for each exercise, each with its phrase.
    assert sum(printed.sheet().rows[0].phrase in line for line in said.err) == 1


def test_how_it_felt_in_words_and_in_the_words_of_before(printed):
    said = printed.type("played", answers="secure\nsteady\neasy\nfine\nlost\nq\n")
    assert "Enter = steady; 1 lost, 2 shaky, 4 secure" in said.words
    assert {number: felt for number, (felt, _, _) in stood(printed).items()} == {1: 4, 2: 3, 3: 4, 4: 3, 5: 1}


def test_enter_all_the_way_is_a_fine_day_and_an_early_end_keeps_what_was_said(printed):
    count = len(printed.sheet().rows)
    printed.type("played", answers="\n" * count)
    assert stood(printed) == dict.fromkeys(range(1, count + 1), (3, None, None))
    printed.type("played", "--undo")
    printed.type("played", answers="\n\n")
    assert set(stood(printed)) == {1, 2}
    printed.type("played", "--undo")
    assert printed.type("played", answers="q\n").code == 2
    assert stood(printed) == {}


def test_minutes_are_shared_out_and_their_sum_is_kept(printed):
    printed.type("played", "all", "--minutes", "13")
    minutes = [one[2] or 0 for one in stood(printed).values()]
    assert sum(minutes) == 13
    sheet = printed.sheet()
    numbers = tuple(range(1, len(sheet.rows) + 1))
    for total in (1, 3, 7, 600):
        assert sum(shared_out(total, numbers, sheet).values()) == total


def test_yesterdays_sheet_noted_for_yesterday(printed):
    code = printed.sheet().code
    printed.sleep()
    said = printed.type("played", "1")
    assert "if you played it then" in said.words
    printed.type("played", "--undo")
    assert "if you played it then" not in printed.type("played", "1", "--date", "yesterday").words
    assert {e.day for e in printed.plays()} == {dt.date(2027, 1, 4)}
    printed.today()
    printed.type("played", "2", "--sheet", code.lower())
    assert {(e.sheet, e.day) for e in printed.plays()} == {
        (code, dt.date(2027, 1, 4)), (code, dt.date(2027, 1, 5)),
    }  # fmt: skip


def test_the_newest_sheet_is_meant_unless_a_code_is_given(printed):
    first = printed.sheet().code
    printed.today("--sheet-number", "2")
    second = printed.sheet().code
    printed.type("played", "1")
    printed.type("played", "2", "--sheet", first)
    assert [(e.sheet, e.uid.split()[2]) for e in printed.plays()] == [(second, "1"), (first, "2")]


def test_export_and_import_carry_the_whole_log(printed, tmp_path):
    printed.type("played", "all", "--tempo", "80")
    printed.type("played", "--undo")
    printed.type("played", "2")
    for name in ("log.csv", "log.jsonl"):
        said = printed.type("played", "--export", name)
        assert (said.code, said.out) == (0, [name])
        assert printed.type("played", "--export", name).code == 0  # in place of the earlier one
    # Read by the standard library, not by us.
    text = (printed.folder / "log.csv").read_text("utf-8")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    lines = [json.loads(line) for line in (printed.folder / "log.jsonl").read_text("utf-8").splitlines()]
    assert (rows.pop()["kind"], lines.pop()["kind"]) == ("end", "end")
    assert [row["uid"] for row in rows] == [line["uid"] for line in lines] == [e.uid for e in printed.log()]
    other = type(printed)(tmp_path / "other")
    other.folder.mkdir()
    source = printed.folder / "log.jsonl"
    assert other.type("played", "--import", str(source)).code == 0
    assert other.log() == printed.log()
    again = other.type("played", "--import", str(source))
    assert f"0 entries added, {len(rows)} were there already" in again.words


@pytest.mark.parametrize(
    ("where", "name", "value"),
    [
        ("sheet", "number", "one"),
        ("sheet", "minutes", None),
        ("sheet", "minutes", 10**30),
        ("sheet", "level", []),
        ("sheet", "rest", [1]),
        ("sheet", "rows", 7),
        ("sheet", "notes", [["only a topic"]]),
        ("row", "phrase", None),
        ("row", "reason", 3),
        ("row", "aim", 80.5),
        ("row", "floor", "yes"),
    ],
)
def test_a_sheet_that_could_not_be_printed_again_is_not_imported(printed, where, name, value):
    printed.type("played", "--export", "log.jsonl")
    lines = [json.loads(line) for line in (printed.folder / "log.jsonl").read_text("utf-8").splitlines()]
    place, entry = next((n, line) for n, line in enumerate(lines, 1) if line["kind"] == "sheet")
    data = json.loads(entry["data"])
    (data if where == "sheet" else data["rows"][0])[name] = value
    entry["data"] = json.dumps(data)
    # As an earlier program wrote it, without seals and without a last line.
    plain = [{name: value for name, value in line.items() if name != "seal"} for line in lines[:-1]]
    (printed.folder / "changed.jsonl").write_text("\n".join(map(json.dumps, plain)), "utf-8")
    said = printed.type("played", "--import", "changed.jsonl", "--home", "other")
    assert (said.code, len(said.err)) == (2, 1)
    assert f"changed.jsonl, line {place}: the sheet of 2027-01-04 in the log cannot be read" in said.words


def test_a_bad_import_is_refused_with_its_line(printed):
    (printed.folder / "bad.csv").write_text("uid,kind,day,recorded_at\nx,play,2027-02-30,now\n", "utf-8")
    said = printed.type("played", "--import", "bad.csv")
    assert said.code == 2
    assert "bad.csv, line 2: " in said.words


def test_codes_lead_to_their_day_and_are_never_given_twice_on_one():
    day = dt.date(2027, 1, 4)
    taken: list[str] = []
    for number in range(40):
        taken.append(code_for(day, ["flute", number], taken))
    assert len(set(taken)) == 40
    assert {code[:2] for code in taken} == {day_letters(day)}
    assert all(letter in LETTERS for code in taken for letter in code)
    # No letter or digit that is taken for another one on paper.
    assert not set("01IO") & set(LETTERS)
    following = [day_letters(day + dt.timedelta(days=k)) for k in range(1024)]
    assert len(set(following)) == 1024


def test_a_sheet_from_years_ago_is_found_by_its_code(printed):
    code = printed.sheet().code
    printed.sleep(1500)
    printed.today()
    assert printed.sheet().code != code
    printed.type("played", "1", "--sheet", code)
    assert printed.plays()[-1].sheet == code
