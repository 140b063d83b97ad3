"""A line and what is asked of it: rows sharing a line take turns, longer spans count, old logs keep their meaning."""

import datetime as dt
from dataclasses import replace

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing
from generator.phrase.read import parse
from generator.practice.asking import Asking, by_line, line_id, line_name
from generator.practice.words import promise_words
from generator.practice_log import Entry, Kind, PracticeLog
from generator.rotation import Event

STAMP = "2027-01-01T12:00:00+00:00"


def plan(*rows, head='instrument = "alto saxophone"\nminutes = 20\n'):
    return head + "".join(f"[[keep]]\n{row}\n" for row in rows)


def lived(desk, days, *words, play=("all",)):
    """The phrases of each of some days, each day played."""
    found = []
    for _ in range(days):
        found.append(desk.phrases(desk.today(*words)))
        desk.type("played", *play)
        desk.sleep()
    return found


def test_nothing_a_row_asks_is_lost_behind_another(desk):
    desk.plan(
        plan('phrase = "G major"', 'phrase = "G major, staccato, eighths"', 'phrase = "G major, one octave"')
    )
    seen = [phrases[0] for phrases in lived(desk, 6)]
    # A play over the full range is one octave as well: the longer span counts, so the third row is met with the first.
    assert set(seen) == {"G major", "G major, eighths, staccato"}
    assert seen.count("G major, eighths, staccato") == 3
    assert "line 6 and line 4 ask for the same 1 exercise (G major)" in desk.type("plan", "check").words


def test_each_thing_asked_comes_within_its_own_promise(desk):
    rows = [
        f'phrase = "C, F and G major"\narticulations = "{one}"'
        for one in ("all tongued", "all slurred", "staccato")
    ]
    desk.plan(plan(*rows, head='instrument = "flute"\nminutes = 6\n'))
    days = lived(desk, 24)
    promise = desk.sheet().promise
    for key in ("C", "F", "G"):
        for worn in ("all tongued", "all slurred", "staccato"):
            on = [
                n
                for n, phrases in enumerate(days)
                if any(p.startswith(f"{key} ") and worn in p for p in phrases)
            ]
            gaps = [b - a for a, b in zip([0, *on], [*on, len(days)], strict=True)]
            assert max(gaps) <= 3 * promise, (key, worn, on)


def test_a_dated_list_is_printed_as_it_asks(desk):
    (desk.folder / "own.toml").write_text(
        'title = "Harbour Street, low brass"\nsource = "the band\'s own"\nyear = 2027\ntempo = 84\n'
        '[[item]]\nphrase = "C major"\noctaves = "one octave"\nrhythm = "eighths"\nup = "all slurred"\n',
        "utf-8",
    )
    desk.plan(
        plan('phrase = "all keys, major, triplets"', head='instrument = "trombone"\nminutes = 30\n')
        + '[[list]]\nname = "own.toml"\ncalled = "audition"\ndate = 2027-01-30\n'
    )
    seen = {p.split(", quarter")[0] for day in lived(desk, 20) for p in day if p.startswith("C major")}
    assert seen == {"C major, triplets", "C major, one octave, eighths, all slurred"}


def test_the_last_three_days_are_slow_and_the_day_itself_is_light(desk):
    desk.plan(
        plan('phrase = "all keys, harmonic minor"')
        + '[[list]]\nname = "florida-middle-school"\ncalled = "audition"\ndate = 2027-01-18\n'
    )
    lived(desk, 11)
    assert desk.day == dt.date(2027, 1, 15)
    for left in (3, 2, 1, 0):
        said = desk.today()
        sheet = desk.sheet()
        assert sheet.given_to == "audition"
        assert all("harmonic" not in row.item for row in sheet.rows)
        tempi = {row.phrase.split("quarter = ")[1] for row in sheet.rows}
        assert all(tempo.isdigit() and int(tempo) <= 80 for tempo in tempi), (
            tempi
        )  # two thirds of 120, no ladder
        assert ("once, lightly" if left == 0 else "slowly") in said.words
        assert sheet.minutes <= (10 if left == 0 else 20)
        desk.type("played", "all")
        desk.sleep()
    assert desk.today().code == 0
    assert "harmonic minor" in desk.sheet().rows[0].item


@pytest.mark.parametrize(
    ("asked", "played", "met"),
    [
        ("G major, one octave", "G major, two octaves", True),
        ("G major, two octaves", "G major, one octave", False),
        ("G major, one octave", "G major", True),  # full range
        ("G major, one octave, from the top octave", "G major, one octave", False),
        ("G major, up", "G major", False),
        ("G major, one octave", "G major, two octaves, all slurred", False),
    ],
)
def test_a_longer_span_of_the_same_line_counts_for_the_shorter(asked, played, met):
    names = shared_catalogue()
    asking = Asking.of(parse(asked, names), Dressing())
    assert asking.is_met_by(parse(played, names)) == met


def test_old_names_are_read_as_lines_and_a_span_that_left_says_nothing_about_its_line():
    log = [
        Event(1, "item_in", "2027-01-01", "flute: G major, one octave"),
        Event(2, "item_in", "2027-01-01", "flute: G major, two octaves"),
        Event(3, "play", "2027-01-02", "flute: G major, one octave", 3),
        Event(4, "item_out", "2027-01-03", "flute: G major, one octave"),
        Event(5, "play", "2027-01-04", "a march, one octave", 3),
    ]
    assert [(event.seq, event.item) for event in by_line(log, "flute")] == [
        (1, "flute: G major"),
        (2, "flute: G major"),
        (3, "flute: G major"),
        (5, "a march, one octave"),
    ]
    assert line_name("whole-tone on C in thirds, a fifth, from the top octave, inside the span") == (
        "whole-tone on C in thirds"
    )
    assert line_id("flute: major pentatonic on C", "flute") == "flute: major pentatonic on C"


def test_a_log_that_names_spans_goes_on(desk):
    desk.home.mkdir()
    old = "alto saxophone: G major, one octave"
    entries = [
        Entry(
            f"in {old}",
            Kind.ITEM_IN,
            dt.date(2026, 12, 1),
            STAMP,
            item=old,
            minutes=1,
            instrument="alto saxophone",
        )
    ]
    entries.append(
        Entry(
            "play old",
            Kind.PLAY,
            dt.date(2026, 12, 30),
            STAMP,
            item=old,
            rating=3,
            instrument="alto saxophone",
        )
    )
    with PracticeLog.open(desk.home / "log.sqlite") as log:
        log.append(entries)
    desk.plan(plan('phrase = "G major, two octaves"'))
    said = desk.today()
    assert "last played 5 days ago" in said.words.casefold()
    assert [e.item for e in desk.log() if e.kind in (Kind.ITEM_IN, Kind.ITEM_OUT)] == [old]


def test_double_tonguing_is_kept_alive_every_third_practice_day(desk):
    row = (
        'phrase = "all keys, major"\narticulations = ["all tongued", "all slurred", "staccato", "slurred pairs", '
        '"double tongue"]'
    )
    desk.plan(plan(row, head='instrument = "flute"\nminutes = 12\n'))
    worn = [any("double tongue" in phrase for phrase in day) for day in lived(desk, 14)]
    assert all(any(worn[n : n + 3]) for n in range(len(worn) - 2)), worn


def test_the_exercises_of_a_row_begin_on_different_articulations(desk):
    row = 'phrase = "all keys, major"\narticulations = ["all tongued", "all slurred", "staccato", "slurred pairs"]'
    desk.plan(plan(row, head='instrument = "flute"\nminutes = 20\n'))
    (first,) = lived(desk, 1)
    assert len({phrase.split(", ")[1] for phrase in first}) >= 3


@pytest.mark.parametrize(
    ("theme", "threaded"), [("key of the day", True), ("key of the week", True), ("scattered", False)]
)
def test_a_theme_of_the_plan_runs_through_the_sheets(theme, threaded, desk):
    kinds = ("major", "major arpeggio", "major in thirds", "harmonic minor", "dominant seventh")
    rows = [f'phrase = "all keys, {kind}"' for kind in kinds]
    desk.plan(plan(*rows, head=f'instrument = "flute"\nminutes = 20\ntheme = "{theme}"\n'))
    threads = []
    for _ in range(8):
        desk.today()
        threads.append(desk.sheet().thread)
        desk.type("played", "all")
        desk.sleep()
    if not threaded:
        assert set(threads) == {""}
    else:
        assert all(one.startswith(f"{theme}: ") for one in threads)
        # 4 January 2027 is a Monday: seven days of one key, then the next; or a new key every day.
        assert len(set(threads)) == (8 if theme == "key of the day" else 2)


def test_an_unknown_theme_is_refused(desk):
    desk.plan(plan('phrase = "G major"', head='instrument = "flute"\ntheme = "key of the hour"\n'))
    said = desk.today()
    assert said.code == 2
    assert "it can be key of the day, key of the week, scattered" in said.words


def test_brass_rest_between_rows_and_ten_hours_get_a_word(desk):
    desk.plan(plan('phrase = "all keys, major"', head='instrument = "trumpet"\nminutes = 20\n'))
    said = desk.today()
    sheet = desk.sheet()
    assert (sheet.rest, sheet.minutes) == (8, 20)
    assert all(row.rest_after >= 30 for row in sheet.rows[:-1])
    assert "more than anyone should play" not in said.words
    assert "600 minutes are more than anyone should play in a day" in desk.today("-m", "600").words


def test_old_sheets_keep_their_words(desk):
    desk.plan(plan('phrase = "all keys, major"'))
    desk.today()
    sheet = replace(desk.sheet(), rule=1, promise=13, usual=0)
    assert promise_words(sheet) == "nothing waits longer than 13 practice days"
