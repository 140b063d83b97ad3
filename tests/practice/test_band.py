"""A section's plan and log: what is due for all, each chair its part, noted apart from everyone's own practice."""

import datetime as dt
import itertools
import json
from pathlib import Path

import pytest

from generator.files.home import Home
from generator.files.resources import data_folder
from generator.practice.band import band_of
from generator.practice.band_session import open_band
from generator.practice.forecast import forecast
from generator.practice_log import Kind, PracticeLog
from generator.theory.interval import Interval
from generator.theory.pitch import NoteName

HARBOUR = data_folder("shared") / "examples" / "harbour-street.toml"
FEW = """title = "Harbour Street Brass"
[[chair]]
instrument = "trumpet"
[[chair]]
instrument = "horn"
[[chair]]
instrument = "tuba"
[[chair]]
instrument = "snare drum"
"""


@pytest.fixture
def few(desk):
    """A small band, and how its commands are typed."""
    path = desk.folder / "brass.toml"
    path.write_text(FEW, "utf-8")

    def type_(command, *words):
        shown = ("--format", "json") if command == "today" else ()
        return desk.type(command, *words, "--section", str(path), *shown)

    return desk, path, type_


def log_path(desk, name="harbour-street-brass"):
    return desk.home / "sections" / name / "log.sqlite"


def plays(desk, name="harbour-street-brass"):
    with PracticeLog.open(log_path(desk, name)) as log:
        return log.entries(kinds=(Kind.PLAY,))


def code_of(said):
    return next(line.split()[1].rstrip(",") for line in said.err if line.startswith("sheet "))


def parts(desk, said):
    """What each chair reads, by file name."""
    found = {}
    for line in said.out:
        path = desk.folder / line
        if path.suffix == ".json":
            found[path.stem] = json.loads(path.read_text("utf-8"))["exercises"]
    return found


def test_every_chair_reads_what_is_due_in_its_own_key_and_all_bars_line_up(few):
    desk, _, type_ = few
    said = type_("today", "-m", "15")
    assert said.code == 0, said
    found = parts(desk, said)
    by = {exercises[0]["instrument"]: exercises for exercises in found.values()}
    assert len(by) == len(found) == 4
    tuba = [NoteName.parse(one["key"]) for one in by["tuba"]]
    # The usual band keys (Northeastern Music Publications, grading chart), in concert pitch.
    assert {key.words for key in tuba} <= {"B-flat", "E-flat", "F", "A-flat"}
    # A trumpet in B-flat reads a major second above what is heard, a horn in F a perfect fifth (orchestration books).
    for name, interval in (("trumpet in B-flat", "M2"), ("horn in F", "P5")):
        above = [Interval.parse(interval).above_name(key) for key in tuba]
        assert [NoteName.parse(one["key"]) for one in by[name]] == above, name
    counts = {tuple(len(one["bars"]) for one in exercises) for exercises in by.values()}
    assert len(counts) == 1, counts


def test_what_a_band_plays_is_noted_in_its_own_log_alone(few):
    desk, path, type_ = few
    desk.today("-i", "flute")
    code = code_of(type_("today"))
    assert type_("played", "1", "2", "--tempo", "84", "--felt", "3").code == 0
    assert {(one.tempo, one.rating, one.instrument) for one in plays(desk)} == {(84, 3, "concert pitch")}
    assert desk.plays() == []
    # The flute's own log is still the only one of a player, so that nobody has to say whose.
    assert desk.type("played", "all").code == 0
    assert {one.instrument for one in desk.plays()} == {"flute"}
    assert len(plays(desk)) == 2
    # The code at the foot of the page is enough.
    assert f"sheet {code}" in desk.type("played", "3", "--sheet", code).words
    assert len(plays(desk)) == 3
    assert "taken back" in desk.type("played", "--undo", "--section", str(path)).words
    assert len(plays(desk)) == 2


def test_the_same_day_gives_the_same_sheet_whatever_was_played(few):
    desk, _, type_ = few
    first = type_("today")
    type_("played", "all")
    again = type_("today")
    assert code_of(first) == code_of(again)
    assert "printed again" in again.words
    assert parts(desk, first) == parts(desk, again)
    desk.sleep()
    assert code_of(type_("today")) != code_of(first)


def test_a_chair_that_comes_or_goes_takes_no_history_with_it(few):
    desk, path, type_ = few
    for _ in range(3):
        type_("today")
        type_("played", "all")
        desk.sleep(3)
    before = plays(desk)
    path.write_text(FEW + '[[chair]]\ninstrument = "flute"\nlevel = "first notes"\n', "utf-8")
    said = type_("today")
    assert "last played" in said.words.casefold()
    assert any("flute" in name for name in parts(desk, said))
    path.write_text(FEW.replace('[[chair]]\ninstrument = "horn"\n', ""), "utf-8")
    desk.sleep()
    said = type_("today")
    assert "last played" in said.words.casefold()
    assert not any("horn" in name for name in parts(desk, said))
    assert plays(desk) == before


def test_a_section_that_is_given_another_title_goes_on_in_its_log(few):
    desk, path, type_ = few
    type_("today")
    type_("played", "all")
    path.write_text(FEW.replace("Harbour Street Brass", "The Harbour Street Five"), "utf-8")
    desk.sleep()
    type_("today")
    assert type_("played", "1").code == 0
    assert [one.parent.name for one in desk.home.glob("sections/*/log.sqlite")] == ["harbour-street-brass"]


def test_two_sections_never_share_a_log_even_if_their_names_are_in_other_letters(desk):
    for title in ("Καπετάνιος", "港街"):
        path = desk.folder / "one.toml"
        path.write_text(FEW.replace("Harbour Street Brass", title), "utf-8")
        (desk.folder / f"{len(title)}.toml").write_bytes(path.read_bytes())
        assert desk.today("--section", f"{len(title)}.toml").code == 0
    assert len(list(desk.home.glob("sections/*/log.sqlite"))) == 2


def test_a_log_of_a_section_is_exported_merged_and_repaired_like_every_log(few):
    desk, path, type_ = few
    type_("today")
    type_("played", "all")
    out = desk.folder / "band.jsonl"
    assert type_("played", "--export", str(out)).code == 0
    other = desk.folder / "other"
    said = desk.type("played", "--merge", str(out), "--mine", "--section", str(path), "--home", str(other))
    assert said.code == 0, said
    with PracticeLog.open(other / "sections" / "harbour-street-brass" / "log.sqlite") as log:
        assert log.entries(kinds=(Kind.PLAY,)) == plays(desk)
    assert "sound" in type_("played", "--repair").words


PLAN = """phrases = 2
minutes = 15
{head}
[[keep]]
phrase = "concert B-flat, E-flat, F major, one octave"
[[keep]]
phrase = "concert C harmonic minor, one octave"
"""


@pytest.mark.parametrize(
    ("head", "row", "told"),
    [
        ('instrument = "tuba"', "", "instrument: the plan of a section has none"),
        ('low = "C4"', "", "low: the plan of a section has none"),
        ("", "slurs over the partials", "differ from instrument to instrument"),
        ("", "G major, over the break", "the break lies elsewhere"),
    ],
)
def test_a_plan_that_no_section_can_follow_is_refused_with_its_line(few, head, row, told):
    desk, path, type_ = few
    rows = f'[[keep]]\nphrase = "{row}"\n' if row else ""
    (desk.folder / "band-plan.toml").write_text(PLAN.format(head=head) + rows, "utf-8")
    path.write_text('plan = "band-plan.toml"\n' + FEW, "utf-8")
    said = type_("plan", "check")
    assert said.code == 2
    assert "band-plan.toml" in said.words
    assert told in said.words
    assert "line" in said.words
    assert not log_path(desk).exists()


def test_what_nobody_can_play_at_their_level_is_left_out_with_the_reason(few):
    desk, path, type_ = few
    # A tuba from B-flat 1 to F 2 has a fifth of B-flat major, and of no other scale here.
    text = FEW.replace('instrument = "trumpet"', 'instrument = "trumpet"\nlow = "F#4"\nhigh = "C5"')
    text = text.replace('instrument = "horn"', 'instrument = "horn"\nlow = "C4"\nhigh = "F4"')
    text = text.replace('instrument = "tuba"', 'instrument = "tuba"\nlow = "Bb1"\nhigh = "F2"')
    path.write_text('plan = "band-plan.toml"\n' + text, "utf-8")
    (desk.folder / "band-plan.toml").write_text(PLAN.format(head=""), "utf-8")
    said = type_("plan", "check")
    assert said.code == 2
    assert "can be played by all together: " in said.words
    assert "tuba" in said.words.casefold()
    assert "--own-range" not in said.words


def test_the_plan_of_a_section_is_written_and_used(few):
    _, _, type_ = few
    said = type_("plan", "new", "-m", "12")
    (written,) = said.out
    assert Path(written).parent.name == "harbour-street-brass"
    assert type_("plan", "check").words.endswith("no mistakes")
    assert any("12 minutes a rehearsal" in line for line in type_("plan", "show").out)
    assert "built-in plan" not in type_("today").words
    assert "is there already" in type_("plan", "new").fails(2)


def test_progress_says_which_concert_keys_the_band_has_not_seen(few):
    desk, _, type_ = few
    type_("today")
    type_("played", "all")
    lines = type_("progress").out
    (unseen,) = (line for line in lines if line.startswith("not yet played: concert"))
    heard = {one.item.removeprefix("concert pitch: ").split()[0] for one in plays(desk)}
    assert {"B-flat", "F"} <= heard
    told = set(unseen.removeprefix("not yet played: concert ").replace(" and ", ", ").split(", "))
    assert not told & heard
    assert len(told) == 12 - len(heard)
    # Written keys of a horn in F and a trumpet in B-flat for concert C (any orchestration book).
    row = {line.split(":")[0].strip(): line.split() for line in lines if line.startswith("  in ")}
    assert row["in F"][-12] == "G"
    assert row["in B-flat"][-12] == "D"
    pages = type_("progress", "--format", "svg")
    assert len(pages.out) == 3


@pytest.mark.parametrize(
    "words", [("--silent",), ("-i", "flute"), ("--low", "C4"), ("--show", "outline"), ("--click", "none")]
)
def test_what_is_for_a_player_alone_is_refused(few, words):
    desk, path, _ = few
    line = desk.type("today", "--section", str(path), *words).fails(2, words[0], "not for a --section")
    assert "leave it out" in line
    assert not log_path(desk).exists()


def test_the_days_to_come_are_a_forecast(few):
    _, _, type_ = few
    said = type_("today", "--days", "3")
    sheets = [line for line in said.err if line.startswith("sheet ")]
    assert len(sheets) == 3
    assert "a forecast" in sheets[1]
    assert "rehearsals of 15 minutes" in sheets[0]


def test_an_easy_day_promises_nothing(few):
    _, _, type_ = few
    for _ in range(2):
        said = type_("today", "--easy")
    assert "An easy day" in said.words
    assert "what is left out today waits a day longer" in said.words


@pytest.mark.parametrize(
    ("chairs", "level", "kind", "first"),
    [
        # Half of eight at first notes is not most of them.
        (
            [("flute", "first notes", 4), ("tuba", "standard", 4)],
            "standard",
            "band",
            {"B-flat", "E-flat", "F", "A-flat"},
        ),
        (
            [("flute", "first notes", 5), ("tuba", "standard", 4)],
            "first notes",
            "band",
            {"B-flat", "E-flat", "F"},
        ),
        (
            [("violin", "standard", 9), ("cello", "standard", 3), ("flute", "standard", 2)],
            "standard",
            "strings",
            set("DGCA"),
        ),
        ([("viola", "first notes", 9), ("cello", "first notes", 3)], "first notes", "strings", set("DGA")),
        ([("guitar", "standard", 4), ("piano", "standard", 1)], "standard", "strings", set("DGCA")),
        (
            [("soprano voice", "standard", 9), ("bass voice", "standard", 5), ("piano", "standard", 1)],
            "standard",
            "choir",
            {"C", "D", "E-flat", "F", "D-flat", "E"},
        ),
        (
            [("soprano voice", "first notes", 5), ("alto voice", "first notes", 5)],
            "first notes",
            "choir",
            {"C", "D", "E-flat"},
        ),
    ],
)
def test_the_built_in_plan_is_that_of_most_chairs(chairs, level, kind, first, tmp_path):
    path = tmp_path / "s.toml"
    path.write_text(
        "".join(f'[[chair]]\ninstrument = "{i}"\nlevel = "{lv}"\ncopies = {n}\n' for i, lv, n in chairs),
        "utf-8",
    )
    band = band_of(path)
    assert (band.level, band.kind) == (level, kind)
    session = open_band(Home.at(tmp_path / "home"), path)
    begun = session.lists.up_to(1)
    keys = {name.split()[0] for name in begun.columns.names}
    assert keys == first
    assert session.repertoire.unfit == ()


def test_the_harbour_street_band_can_play_all_of_its_plan(tmp_path):
    session = open_band(Home.at(tmp_path), HARBOUR)
    assert session.repertoire.unfit == ()
    majors = {name for name in session.repertoire.columns.names if name.endswith(" major")}
    assert len(majors) == 12
    assert len(session.repertoire.items(dt.date(2027, 1, 4))) > 30


def test_a_drum_line_has_a_plan_of_its_own(desk):
    path = desk.folder / "drums.toml"
    path.write_text('[[chair]]\ninstrument = "snare drum"\n[[chair]]\ninstrument = "bass drum"\n', "utf-8")
    said = desk.today("--section", str(path))
    assert said.code == 0, said
    assert len(parts(desk, said)) == 2


def test_two_sections_with_one_plan_have_pages_of_different_codes(few):
    desk, path, _ = few
    other = desk.folder / "second.toml"
    other.write_text(FEW.replace("Harbour Street Brass", "Harbour Street Second Band"), "utf-8")
    codes = {code_of(desk.today("--section", str(one))) for one in (path, other)}
    assert len(codes) == 2
    for code in codes:
        assert desk.type("played", "1", "--sheet", code).code == 0
    assert [len(plays(desk, name)) for name in ("harbour-street-brass", "harbour-street-second-band")] == [
        1,
        1,
    ]


def test_a_band_that_meets_once_a_week_was_not_away(few):
    desk, _, type_ = few
    for _ in range(2):
        said = type_("today")
        type_("played", "all")
        desk.sleep(7)
    assert "begins a mark lower" not in said.words
    desk.sleep(21)
    assert "After three weeks off" in type_("today").words


def test_days_to_come_are_those_on_which_the_band_meets(few):
    desk, path, type_ = few
    path.write_text('rehearsals = ["Tuesday", "Thu"]\n' + FEW, "utf-8")
    desk.day = dt.date(2027, 1, 5)  # a Tuesday
    said = type_("today", "--days", "4")
    days = [line.split(", ")[1].split(":")[0] for line in said.err if line.startswith("sheet ")]
    assert days == [
        "Tuesday 5 January 2027",
        "Thursday 7 January 2027",
        "Tuesday 12 January 2027",
        "Thursday 14 January 2027",
    ]
    (calendar,) = type_("plan", "calendar", "--weeks", "2").out
    text = (desk.folder / calendar).read_text("utf-8")
    starts = [
        line.removeprefix("DTSTART;VALUE=DATE:").strip()
        for line in text.splitlines()
        if line.startswith("DTSTART")
    ]
    assert starts == ["20270105", "20270107", "20270112", "20270114"]
    assert "Rehearsal\\, Harbour Street Brass" in text
    path.write_text('rehearsals = ["Tuesday", "Thirsday"]\n' + FEW, "utf-8")
    assert "is no weekday" in type_("today").words


def test_a_roster_read_anew_keeps_the_plan_and_the_days_of_a_section(desk):
    (desk.folder / "r.csv").write_text("name,instrument\nAda,flute\nBen,tuba\n", "utf-8")
    path = desk.folder / "s.toml"
    path.write_text('plan = "mine.toml"\nrehearsals = "Monday and Friday"\n' + FEW, "utf-8")
    assert desk.type("section", "new", "r.csv", "--out", "s.toml", "--force").code == 0
    band = band_of(path)
    assert (band.section.plan, band.section.rehearsals) == ("mine.toml", (0, 4))
    assert [chair.person for chair in band.section.chairs] == ["Ada", "Ben"]


def test_who_forgets_to_name_the_section_is_told_how(few):
    desk, _, type_ = few
    type_("today")
    desk.type("played", "all").fails(2, "--section FILE")
    assert "Harbour Street Brass" in type_("progress").words


def test_a_passage_is_handed_out_and_no_part_of_a_bands_plan(few):
    desk, _, type_ = few
    (desk.folder / "p.toml").write_text('phrases = 2\n[[keep]]\nphrase = "drill gigue"\n', "utf-8")
    assert 'scalewright handout "drill gigue"' in type_("plan", "check", "--plan", "p.toml").words


def test_a_band_begins_in_the_usual_keys_and_comes_to_all_twelve(tmp_path):
    session = open_band(Home.at(tmp_path), HARBOUR)
    now = dt.datetime(2027, 1, 4, 19, tzinfo=dt.UTC)
    come = {}
    for number, (_, sheet) in enumerate(itertools.islice(forecast(session, now.date(), now, 8), 56), 1):
        for row in sheet.rows:
            name = session.repertoire.name_of(row.item_id)
            if name.endswith(" major") and "," not in name:
                come.setdefault(name.removesuffix(" major"), number)
    # The usual band keys (Northeastern Music Publications, grading chart), then those of all-state auditions for middle
    # schools (Florida Bandmasters Association: concert G, C, F, B-flat, E-flat, A-flat, D-flat), then the other five.
    usual, auditions = {"B-flat", "E-flat", "F", "A-flat"}, {"G", "C", "D-flat"}
    assert come["B-flat"] == 1
    assert max(come[key] for key in usual) <= 2
    assert max(come[key] for key in usual) < min(come[key] for key in auditions)
    assert max(come[key] for key in auditions) < min(come[key] for key in come.keys() - usual - auditions)
    assert len(come) == 12


def test_a_level_chooses_the_built_in_plan_and_no_other(few):
    desk, path, type_ = few
    assert "built-in plan for a band at first notes" in type_("today", "--level", "first notes").words
    type_("plan", "new")
    assert "leave it out" in type_("today", "--level", "first notes").fails(2, "--level")
    assert desk.today("--section", str(path)).code == 0
