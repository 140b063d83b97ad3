"""Today's sheet: on a fresh machine, printed again, dressed anew each time, with dates, levels and second sheets."""

import datetime as dt
import json

import pytest

from generator.practice_log import Kind, PracticeLog

MAJORS = (
    'instrument = "alto saxophone"\nminutes = {minutes}\n[[keep]]\nphrase = "all keys, major, one octave"\n'
)


def one(desk, extra="", phrase="G major, one octave"):
    """A plan that keeps one exercise, so that it comes every day."""
    desk.plan(f'player = "Ada Quill"\ninstrument = "alto saxophone"\n[[keep]]\nphrase = "{phrase}"\n{extra}')


def days(desk, count, *words, play=("all",)):
    """The one phrase of each of some days, each day played."""
    found = []
    for _ in range(count):
        found.append(desk.phrases(desk.today(*words))[0])
        desk.type("played", *play)
        desk.sleep()
    return found


def test_no_plan_no_log_no_options(desk):
    said = desk.today()
    assert said.code == 0
    assert len(said.out) == 1
    assert "this is the starter plan, for flute" in said.words
    assert "scalewright plan new" in said.words
    assert len(desk.exercises(said)) >= 6
    assert (desk.home / "log.sqlite").is_file()


def test_each_exercise_has_its_reason_and_the_promise_stands_at_the_end(desk):
    said = desk.today("-i", "flute")
    sheet = desk.sheet()
    for number, row in enumerate(sheet.rows, 1):
        line = next(text for text in said.err if text.startswith(f"{number}. "))
        assert row.reason[1:] in line
        assert ("• " in line) == row.floor
    assert (
        f"sheet {sheet.code}: 20 minutes, 4 of them rest; play what is marked •, and everything comes round "
        f"within {sheet.promise} practice days of 20 minutes" in said.words
    )


def test_rest_is_part_of_the_minutes_and_told_where_it_comes(desk):
    said = desk.today("-i", "flute", "-m", "30")
    sheet = desk.sheet()
    # BAPAM, "Ten top health tips": five minutes in each half hour.
    assert sheet.rest == 5
    assert sum(row.rest_after for row in sheet.rows) == 5 * 60
    assert sum(row.minutes for row in sheet.rows) <= 25
    assert "— then rest 5 minutes" in said.words


def test_quiet_says_nothing_but_the_path(desk):
    said = desk.today("-i", "flute", "--quiet")
    assert (len(said.out), said.err) == (1, [])


def test_the_sheet_is_printed_again_as_it_was_whatever_was_played_since(desk):
    desk.plan(MAJORS.format(minutes=5))
    first = desk.today()
    before = (desk.folder / first.out[0]).read_bytes()
    (desk.folder / first.out[0]).unlink()
    desk.type("played", "1", "2", "--felt", "1")
    again = desk.today()
    assert again.out == first.out
    assert "printed again" in again.words
    assert (desk.folder / first.out[0]).read_bytes() == before
    # Also when it is asked for on a later day.
    day = desk.day
    desk.type("played", "all", "--felt", "4")
    desk.sleep(3)
    desk.today()
    assert desk.today("--date", day.isoformat()).out == first.out
    assert sum(entry.kind is Kind.SHEET for entry in desk.log()) == 2


def test_a_sheet_of_a_day_gone_by_stays_as_it_was_when_the_plan_has_changed_since(desk):
    desk.plan(MAJORS.format(minutes=5))
    first = desk.today()
    day = desk.day.isoformat()
    before = (desk.folder / first.out[0]).read_bytes()
    desk.sleep(2)
    desk.plan(MAJORS.format(minutes=30).replace("major", "dorian") + 'articulations = ["all slurred"]\n')
    assert desk.today("--date", day).out == first.out
    assert (desk.folder / first.out[0]).read_bytes() == before
    assert desk.today("--date", day, "-m", "6").out != first.out


def test_a_changed_plan_makes_another_sheet_the_same_day_and_a_mere_comment_does_not(desk):
    desk.plan(MAJORS.format(minutes=5))
    first = desk.today()
    desk.plan("# nothing new\n" + MAJORS.format(minutes=5))
    assert desk.today().out == first.out
    desk.plan(MAJORS.format(minutes=5).replace("major", "dorian"))
    assert all("dorian" in phrase for phrase in desk.phrases(desk.today()))


def test_a_second_sheet_has_other_exercises_and_the_last_one_says_that_all_were_there(desk):
    desk.plan(MAJORS.format(minutes=5))
    seen: list[str] = []
    for number in range(1, 4):
        said = desk.today("--sheet-number", str(number))
        if said.code:
            break
        phrases = desk.phrases(said)
        assert not set(phrases) & set(seen)
        seen += phrases
    assert len(seen) == 12
    said = desk.today("--sheet-number", str(number + (said.code == 0)))
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert "Everything that fits has been on a sheet today." in said.words


def test_other_minutes_make_another_sheet_without_what_was_played_today(desk):
    desk.plan(MAJORS.format(minutes=5))
    desk.today()
    first = desk.sheet()
    desk.type("played", "1")
    desk.today("-m", "10")
    second = desk.sheet()
    assert second.code != first.code
    assert second.code[:2] == first.code[:2]  # the same day
    assert first.rows[0].item not in {row.item for row in second.rows}
    assert first.rows[1].item in {row.item for row in second.rows}


def test_the_next_articulation_comes_each_time(desk):
    one(desk, 'articulations = ["all tongued", "all slurred", "slur two tongue two"]\n')
    worn = [phrase.split(", ")[-1] for phrase in days(desk, 4)]
    assert worn == ["all tongued", "all slurred", "slur two tongue two", "all tongued"]


def test_a_day_without_a_play_does_not_turn_the_articulation(desk):
    one(desk, 'articulations = ["all tongued", "all slurred"]\n')
    desk.today()
    desk.sleep()
    assert desk.phrases(desk.today())[0].endswith("all tongued")


def test_articulations_and_rhythms_go_through_all_their_pairs(desk):
    one(desk, 'articulations = ["all tongued", "all slurred"]\nrhythms = ["sixteenths", "triplets"]\n')
    assert len(set(days(desk, 4))) == 4


def test_an_articulation_that_does_not_suit_the_rhythm_is_passed_over(desk):
    # Slur two tongue one is a cell of three; triple tonguing does not suit a reed.
    one(desk, 'articulations = ["triple tongue", "all slurred"]\nrhythms = ["sixteenths"]\n')
    assert all(phrase.endswith("all slurred") for phrase in days(desk, 3))


def test_keys_with_two_names_are_read_as_the_player_prefers(desk):
    plan = (
        'instrument = "flute"\nnames = "{}"\n[[keep]]\nphrase = "all keys, major, one octave"\nminutes = 1\n'
    )
    for how, expected in (("usual", {"G-flat"}), ("sharps", {"F-sharp"}), ("flats", {"G-flat"})):
        desk.plan(plan.format(how))
        phrases = desk.phrases(desk.today())
        assert {p.split()[0] for p in phrases if p[:6] in ("F-shar", "G-flat")} == expected


def test_alternate_reads_both_names_in_turn(desk):
    desk.plan(
        'instrument = "flute"\nnames = "alternate"\n[[keep]]\nphrase = "all flat keys, major, one octave"\n'
    )
    seen = []
    for _ in range(4):
        seen += [p.split()[0] for p in desk.phrases(desk.today("-m", "20")) if p[:6] in ("F-shar", "G-flat")]
        desk.type("played", "all")
        desk.sleep()
    assert seen == ["G-flat", "F-sharp", "G-flat", "F-sharp"]


def test_the_row_of_tempi_leads_from_the_last_tempo_to_the_goal(desk):
    one(desk, "start = 60\ngoal = 108\n")
    assert days(desk, 1, play=("all", "--tempo", "84"))[0].endswith("quarter = 60 to 108")
    assert days(desk, 1, play=("all", "--tempo", "92", "--felt", "2"))[0].endswith("quarter = 84 to 108")
    # After a shaky play one metronome mark lower: 88 stands before 92 in the traditional series.
    assert days(desk, 1, play=("all",))[0].endswith("quarter = 88 to 108")
    # A play without a tempo keeps the last one; felt fine, so no step back.
    assert days(desk, 1, play=("all", "--tempo", "120"))[0].endswith("quarter = 92 to 108")
    assert days(desk, 1)[0].endswith("quarter = 120")


def test_a_goal_still_far_off_does_not_make_every_play_a_weak_one(desk):
    desk.plan(
        'instrument = "flute"\nminutes = 9\n[[keep]]\nphrase = "all keys, major, one octave"\nminutes = 2\n'
        "start = 60\ngoal = 120\n"
    )
    for _ in range(12):
        desk.today()
        desk.type("played", "all", "--tempo", "60", "--felt", "3")
        desk.sleep()
    assert "wanted every practice day" not in desk.today().words


def test_without_a_goal_the_tempo_is_left_to_the_player(desk):
    one(desk)
    assert "=" not in days(desk, 1)[0]


def test_hold_together_takes_the_tempo_of_the_slowest_key(desk):
    desk.plan(
        'instrument = "flute"\nminutes = 9\n[[keep]]\nphrase = "C, F and G major, one octave"\n'
        "minutes = 2\nstart = 60\ngoal = 100\n"
    )
    desk.today()
    numbers = {row.phrase.split()[0]: str(n) for n, row in enumerate(desk.sheet().rows, 1)}
    for key, tempo in (("C", "88"), ("F", "66"), ("G", "80")):
        desk.type("played", numbers[key], "--tempo", tempo)
    desk.sleep()
    assert {p.split("= ")[1] for p in desk.phrases(desk.today())} == {"88 to 100", "66 to 100", "80 to 100"}
    assert {p.split("= ")[1] for p in desk.phrases(desk.today("--hold-together"))} == {"66 to 100"}


def test_editing_a_plan_keeps_the_history_of_what_leaves_and_comes_back(desk):
    one(desk, 'articulations = ["all tongued", "all slurred", "staccato"]\n')
    days(desk, 2)
    text = (desk.folder / "plan.toml").read_text("utf-8")
    desk.plan(text.replace("G major", "D major"))
    desk.today()
    assert [e.kind for e in desk.log() if e.item and "G major" in e.item].count(Kind.ITEM_OUT) == 1
    desk.type("played", "all")
    desk.sleep()
    desk.plan(text)
    said = desk.today()
    # Two plays long ago: the third articulation, and its true last day.
    assert desk.phrases(said)[0].endswith("staccato")
    assert "last played 2 days ago" in said.words.casefold()
    kinds = [e.kind for e in desk.log() if e.item == "alto saxophone: G major"]
    assert (kinds.count(Kind.ITEM_IN), kinds.count(Kind.ITEM_OUT), kinds.count(Kind.PLAY)) == (2, 1, 2)


def test_an_edit_that_changes_no_exercise_changes_no_entry(desk):
    one(desk)
    desk.today()
    changes = [e for e in desk.log() if e.kind in (Kind.ITEM_IN, Kind.ITEM_OUT)]
    one(desk, "goal = 90\nrhythms = 'triplets'\n")
    desk.sleep()
    desk.today()
    assert [e for e in desk.log() if e.kind in (Kind.ITEM_IN, Kind.ITEM_OUT)] == changes


def test_two_instruments_have_each_their_own_waits(desk):
    for _ in range(2):
        for name in ("flute", "tuba"):
            desk.today("-i", name, "-m", "6")
            if name == "flute":
                desk.type("played", "all", "-i", name)
        desk.sleep()
    rows = desk.today("-i", "tuba", "-m", "6").words
    assert "new: " in rows.casefold()
    assert "last played" not in rows.casefold()
    assert "last played" in desk.today("-i", "flute", "-m", "240").words.casefold()


def test_a_required_list_and_its_date(desk):
    desk.plan(
        'instrument = "alto saxophone"\nminutes = 12\n[[keep]]\nphrase = "all keys, harmonic minor"\n'
        '[[list]]\nname = "florida-middle-school"\ncalled = "audition"\ndate = 2027-01-20\n'
    )
    plays: dict[str, int] = {}
    told = False
    while desk.day < dt.date(2027, 1, 20):
        said = desk.today()
        told |= "audition in " in said.words.casefold()
        for row in desk.sheet().rows:
            plays[row.item] = plays.get(row.item, 0) + 1
        desk.type("played", "all")
        desk.sleep()
    required = [item for item in plays if "harmonic" not in item]
    assert told
    # Fourteen exercises of the list, each at least twice before the date.
    assert len(required) == 14
    assert all(plays[item] >= 2 for item in required)
    # The day after it is over: what only the list asked for has left.
    desk.today()
    assert {row.item for row in desk.sheet().rows} <= set(required)  # the day itself
    desk.sleep()
    desk.today()
    assert all("harmonic" in row.item for row in desk.sheet().rows)
    gone = [e.item for e in desk.log() if e.kind is Kind.ITEM_OUT]
    assert sorted(gone) == sorted(required)


def test_a_list_that_comes_too_late_is_told_on_the_page(desk):
    desk.plan(
        'instrument = "flute"\nminutes = 5\n[[list]]\nname = "florida-high-school"\ndate = 2027-01-06\n'
    )
    said = desk.today("-f", "ly")
    assert "The florida high school list takes" in said.words
    assert "The florida high school list takes" in (desk.folder / said.out[0]).read_text("utf-8")


def test_an_own_list_by_path(desk):
    (desk.folder / "my-list.toml").write_text(
        'title = "Harbour Street, second chairs"\nsource = "the band\'s own"\nyear = 2027\ntempo = 84\n'
        '[[item]]\nphrase = "concert F major"\noctaves = "one octave"\nup = "all slurred"\n',
        "utf-8",
    )
    desk.plan('instrument = "trumpet"\n[[list]]\nname = "my-list.toml"\n')
    assert desk.phrases(desk.today())[0] == "G major, one octave, all slurred, quarter = 50 to 84"


@pytest.mark.parametrize(
    ("day", "shown"),
    [
        ("2028-02-29", "29 February 2028"),
        ("2027-12-31", "31 December 2027"),
        ("2028-01-01", "1 January 2028"),
    ],
)
def test_leap_days_and_the_turn_of_the_year(day, shown, desk):
    desk.day = dt.date.fromisoformat(day)
    said = desk.today("-i", "flute", "-f", "json,ly")
    assert said.code == 0
    assert shown in (desk.folder / next(p for p in said.out if p.endswith(".ly"))).read_text("utf-8")
    assert desk.type("played", "all").code == 0
    desk.sleep()
    assert "last played 1 day ago" in desk.today("-i", "flute", "-m", "300").words.casefold()
    assert {entry.day for entry in desk.plays()} == {dt.date.fromisoformat(day)}


@pytest.mark.parametrize("day", ["2027-02-29", "2027-13-01", "2027-1-01", "", "soon", "20270101"])
def test_what_is_no_day_is_refused(day, desk):
    said = desk.today("--date", day)
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert "is no day of the calendar" in said.words


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("-i", "kazoo"), "unknown instrument 'kazoo'"),
        (("-l", "expert"), "unknown level 'expert'"),
        (("--paper", "a5"), "unknown paper 'a5'"),
        (("--print", "huge"), "unknown print size 'huge'"),
        (("--show", "all"), "unknown --show 'all'"),
        (("-m", "0"), "0 is not in the range"),
        (("--sheet-number", "0"), "0 is not in the range"),
        (("--low", "F6", "--high", "C4"), "lies above"),
        (("--format", "docx"), "unknown format 'docx'"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_left(words, reason, desk):
    said = desk.type("today", *words) if "--format" in words else desk.today(*words)
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert reason in said.words
    assert not (desk.folder / "out").exists()


def test_a_log_that_is_no_log_is_a_fault_of_the_machine(desk):
    desk.home.mkdir()
    (desk.home / "log.sqlite").write_text("no database at all, but long enough to be looked at " * 4, "utf-8")
    said = desk.today("-i", "flute")
    assert (said.code, said.out, len(said.err)) == (3, [], 1)
    assert "is not a practice log" in said.words


def test_a_sheet_for_a_day_before_the_list_changed_leaves_the_list_alone(desk):
    desk.plan(MAJORS.format(minutes=5))
    desk.today()
    before = [e for e in desk.log() if e.kind is not Kind.SHEET]
    desk.plan(MAJORS.format(minutes=5).replace("major", "dorian"))
    assert desk.today("--date", "2026-12-24").code == 0
    assert [e for e in desk.log() if e.kind is not Kind.SHEET] == before


def test_practice_entered_afterwards_counts_like_any_other(desk):
    # A first sheet for yesterday, noted for yesterday: today it has waited one day and what is new goes first.
    desk.plan(MAJORS.format(minutes=5))
    desk.today("--date", "yesterday")
    first = {row.item for row in desk.sheet().rows}
    desk.type("played", "all", "--date", "yesterday")
    said = desk.today()
    assert {row.item for row in desk.sheet().rows if row.floor}.difference(first)
    assert "new: the next to begin" in said.words.casefold()
    assert "last played 1 day ago" in said.words.casefold()


def test_a_slip_into_the_future_does_not_keep_today_from_its_sheet(desk):
    desk.plan(MAJORS.format(minutes=5))
    desk.today("--date", "2072-01-04")
    said = desk.today()
    assert said.code == 0
    assert len(desk.exercises(said)) >= 3
    assert {e.day.year for e in desk.log() if e.kind is Kind.ITEM_IN} == {2027, 2072}
    assert "dated later than this sheet" in said.words


def test_the_stored_sheet_holds_rows_code_and_rule(desk):
    desk.today("-i", "flute")
    (entry,) = [e for e in desk.log() if e.kind is Kind.SHEET]
    data = json.loads(entry.data or "")
    assert data["rule"] == 2
    assert entry.sheet == desk.sheet().code
    assert [row["item"] for row in data["rows"]] == [row.item for row in desk.sheet().rows]


def test_two_that_print_at_once_make_one_sheet(desk):
    # The second finds nothing stored yet, chooses the same and saves the same entry.
    desk.today("-i", "flute")
    entries = desk.log()
    stored = [e for e in entries if e.kind is Kind.SHEET]
    with PracticeLog.open(desk.home / "log.sqlite") as log:
        saved = log.append([desk.sheet().entry("2027-01-04T08:00:00.000000+00:00")])
    assert (saved.added, saved.present, len(stored)) == (0, 1, 1)
