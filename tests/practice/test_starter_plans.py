"""The built-in plans: by instrument and level, without a mistake, and growing as a teacher would have it."""

import datetime as dt
import itertools

import pytest

from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.documents.new_plan import Answers, plan_text
from generator.documents.plan_file import read_plan
from generator.documents.starter import STYLES, rows_for, starter_file
from generator.files.home import Home
from generator.phrase.read import parse
from generator.practice.forecast import forecast
from generator.practice.player_session import PlayerOptions, open_session

NAMES = shared_catalogue()
DAY = dt.date(2027, 1, 4)
NOW = dt.datetime(2027, 1, 4, 8, tzinfo=dt.UTC)
FAMILIES = sorted({row.family for row in NAMES.instruments.rows})


def opened(folder, instrument, level="standard", style=""):
    """A new plan for an instrument, read as the player's own, which is stricter than the built-in one."""
    text = rows_for(starter_file(level, style).read_text("utf-8"), instrument, NAMES)
    (folder / "plan.toml").write_text(
        plan_text(Answers(instrument=instrument.name, level=level), text), "utf-8"
    )
    return open_session(Home.at(folder / "home"), PlayerOptions(), folder)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_plan_has_no_mistake_and_leaves_nothing_out(family, tmp_path):
    for row in NAMES.instruments.rows:
        if row.family != family:
            continue
        for level, style in [*((level, "") for level in LEVELS), ("standard", "jazz")]:
            if style and row.name == "tubular bells":
                continue  # an octave and a fourth are not enough for it
            session = opened(tmp_path, row, level, style)
            if (row.name, level) != ("tubular bells", "extended"):
                assert session.repertoire.unfit == (), (row.name, level, style)
            assert len(session.repertoire.items(DAY)) >= (2 if row.unpitched else 4)


@pytest.mark.parametrize("family", FAMILIES)
def test_first_notes_are_a_few_keys_straight_in_plain_values(family, tmp_path):
    instrument = next(row for row in NAMES.instruments.rows if row.family == family)
    session = opened(tmp_path, instrument, "first notes")
    kept = [parse(name, NAMES) for name in session.repertoire.columns.names]
    requests = [request for request in kept if request.keys]
    # Besides, what sounds on the mouthpiece alone, which is where a beginner begins.
    assert {request.form.name for request in kept if not request.keys} <= {
        "buzzing", "mouthpiece alone", "mouthpiece and barrel",
    }  # fmt: skip
    if not instrument.unpitched:
        keys = {request.keys[0].name for request in requests}
        assert 3 <= len(keys) <= 5
        assert {request.form.name for request in requests} == {"major"}
        assert {r.figure.name for r in requests if r.figure} <= {"long tones along the scale"}
        spans = {asking.span for asking in session.repertoire.askings if asking.dressing.rhythms}
        assert spans == {"a fifth", "one octave"}
    worn = {name for asking in session.repertoire.askings for name in asking.dressing.rhythms}
    # Half notes and longer to eighths: grading charts of beginners' music (Northeastern Music Publications, grade 1).
    assert worn <= {
        "half notes", "quarters", "eighths", "four counts and a rest", "quarter and two eighths",
        "two eighths and a quarter",
    }  # fmt: skip


# Standard: majors and their arpeggios first; minors when those have gone round; then thirds, sevenths, whole-tone.
@pytest.mark.parametrize("instrument", ["alto saxophone", "trumpet", "violin", "xylophone", "piano", "tuba"])
def test_a_standard_list_grows_a_family_at_a_time(instrument, tmp_path):
    session = open_session(Home.at(tmp_path / "h"), PlayerOptions(instrument=instrument), tmp_path)
    come: dict[str, int] = {}
    majors: dict[str, int] = {}
    new: list[tuple[int, int]] = []
    known: set[str] = set()
    for day, (_, sheet) in enumerate(itertools.islice(forecast(session, DAY, NOW, 9), 60), 1):
        names = [session.repertoire.name_of(row.item_id) for row in sheet.rows]
        new.append((sum(name not in known for name in names), len(names)))
        known.update(names)
        for name in names:
            request = parse(name, NAMES)
            if not request.figure and hasattr(request.form, "up"):
                come.setdefault(request.form.name, day)
            if name.endswith(" major"):
                majors.setdefault(name, day)
    assert len(majors) == 12
    assert max(majors.values()) <= 14
    order = ["major", "harmonic minor", "chromatic", "dominant seventh"]
    assert sorted(order, key=come.__getitem__) == order
    assert come["major arpeggio"] <= 2 < come["harmonic minor"]
    # After the first two days a third of a sheet at the most is new, but for the odd short sheet, and less over all.
    assert sum(3 * fresh > rows for fresh, rows in new[2:]) <= 2, new
    assert sum(3 * fresh for fresh, _ in new[2:]) <= sum(rows for _, rows in new[2:]), new


def test_a_beginner_comes_from_three_keys_to_five_and_from_five_notes_to_an_octave(desk):
    seen = []
    for _ in range(16):
        exercises = desk.exercises(desk.today("-i", "trumpet", "--level", "first notes"))
        majors = [one for one in exercises if one["form"] == "major" and one["figure"] == "straight"]
        seen.append(({one["key"] for one in majors}, {one["span"] for one in majors}))
        desk.type("played", "all")
        desk.sleep()
    assert set().union(*(keys for keys, _ in seen[:2])) <= {"C", "F", "G"}
    assert seen[0][1] == {"a fifth"}
    assert (
        set().union(*(keys for keys, _ in seen)) == {"C", "F", "G", "B-flat", "D"}
        or len(set().union(*(keys for keys, _ in seen))) == 5
    )
    wide = next(day for day, (_, spans) in enumerate(seen) if "one octave" in spans or "a sixth" in spans)
    assert 3 <= wide <= 10


def test_brass_have_partials_and_saxophones_overtones_and_nobody_else(tmp_path):
    for name, routines in {
        "trumpet in B-flat": {"slurs over the partials", "neighbouring partials", "buzzing"},
        "alto saxophone": {"overtones", "mouthpiece alone"},
        "flute": set(),
        "violin": set(),
    }.items():
        session = opened(tmp_path, NAMES.instruments.find(name))
        kept = set(session.repertoire.columns.names)
        assert kept & {row.name for row in NAMES.routines.rows} == routines


def test_mallets_strike_and_strings_bow(desk):
    for instrument, words in {"xylophone": ("on each", "single strokes"), "violin": ("bow", "slur")}.items():
        said = desk.today("-i", instrument, "-m", "30")
        assert any(word in said.words for word in words)
        assert "tongu" not in said.words


def test_the_plan_is_that_of_the_level_asked_for(desk):
    first = desk.exercises(desk.today("-i", "clarinet", "--level", "first notes"))
    assert {one["key"] for one in first if one["form"] == "major"} <= {"C", "F", "G"}
    assert {one["span"] for one in first if one["form"] == "major"} == {"a fifth"}
    standard = desk.exercises(desk.today("-i", "clarinet"))
    assert {one["span"] for one in standard} > {"full range"} or len(standard) >= 6


@pytest.mark.parametrize(("words", "kinds"), [
    (("-i", "alto sax", "--level", "first notes"), {"major"}),
    (("-i", "alto sax"), {"major", "major arpeggio", "harmonic minor", "whole-tone"}),
    (("-i", "alto sax", "--style", "jazz"), {"mixolydian", "blues", "bebop dominant"}),
])  # fmt: skip
def test_a_new_plan_begins_with_the_rows_of_instrument_level_and_style(words, kinds, desk):
    desk.type("plan", "new", *words)
    text = (desk.home / "plan.toml").read_text("utf-8")
    assert all(kind in text for kind in kinds)
    assert "slurs over the partials" not in text
    assert "only = [" not in text.split("[[dress]]", 1)[1]
    assert desk.type("plan", "check").code == 0


def test_an_unknown_style_is_refused_with_those_there_are(desk):
    said = desk.type("plan", "new", "-i", "flute", "--style", "jaz")
    assert said.code == 2
    assert all(style in said.words for style in STYLES)
    assert not (desk.home / "plan.toml").exists()


@pytest.mark.parametrize(
    "instrument", ["violin", "marimba", "classical guitar", "harp", "piano", "timpani", "alto voice"]
)
@pytest.mark.parametrize("level", LEVELS)
def test_a_new_plan_speaks_to_who_plays_and_means_what_the_starter_means(desk, instrument, level):
    desk.type("plan", "new", "-i", instrument, "-l", level, "--home", "h").succeeds()
    text = (desk.folder / "h" / "plan.toml").read_text("utf-8")
    assert "tongue" not in text
    desk.type("plan", "check", "--home", "h").succeeds()
    own, _ = read_plan(desk.folder / "h" / "plan.toml", NAMES)
    built_in, _ = read_plan(starter_file(level), NAMES)
    wanted = [dress.articulations for dress in built_in.dresses if instrument in dress.only or not dress.only]
    assert [dress.articulations for dress in own.dresses] == wanted
