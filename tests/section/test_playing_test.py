"""Playing tests: points, who is tested, numbers that are dealt, and what the section file may say."""

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.documents.section_file import read_section
from generator.errors import BadFileError, DoesNotFitError
from generator.section.audition import Audition
from generator.section.playing_tests import audition
from generator.section.rehearsal_plan import RehearsalPlan
from tests.fixtures.command import run_here

Seated = Callable[..., Section]
Written = Callable[[str, str], Path]


def made(section: Section, *phrases: str, seed: int | None = None) -> Audition:
    return audition(section, RehearsalPlan(phrases), None if seed is None else Random(seed))


def read(path: Path) -> Section:
    return read_section(path, shared_catalogue().instruments)


# Georgia Music Educators Association, all-state audition form, middle school: one point for each octave up, one for
# each octave down, one for the arpeggio, so that a scale gives 3, 5 or 7 points over one, two or three octaves.
@pytest.mark.parametrize(("span", "total"), [("one octave", 3), ("two octaves", 5), ("three octaves", 7)])
def test_octave_points_as_the_georgia_form_gives_them(seated: Seated, span: str, total: int) -> None:
    test = made(seated("flute", "extended"), f"concert C major, {span}", f"concert C major arpeggio, {span}")
    (page,) = test.pages
    assert [piece.exercise.span for piece in page.pieces] == [span, span]
    assert sum(piece.points for piece in page.pieces) == total


def test_only_played_halves_count_and_nothing_is_worth_nothing(seated: Seated) -> None:
    def points(phrase: str, level: str = "standard") -> int:
        return made(seated("flute", level), phrase).pages[0].pieces[0].points

    assert points("concert C major, a twelfth") == 2
    assert points("concert C major, a fifth") == 2
    assert points("concert C major, two octaves, up") == 2
    assert points("concert C major, two octaves, down") == 2


@pytest.mark.parametrize("key", ["C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F"])
@pytest.mark.parametrize("level", ["first notes", "standard", "extended"])
def test_every_chair_plays_complete_octaves_inside_its_own_notes(band: Section, key: str, level: str) -> None:
    names = ", ".join(dict.fromkeys(chair.player.instrument.name for chair in band.chairs))
    from generator.documents.section import from_names

    section = from_names(names, level, shared_catalogue().instruments)
    test = made(section, f"concert {key} major")
    for page in test.pages:
        for piece in page.pieces:
            if page.player.instrument.unpitched:
                continue
            heights = [pitch.height for pitch in piece.exercise.pitches]
            assert page.player.compass.low.height <= min(heights)
            assert max(heights) <= page.player.compass.high.height
            # The first note is the lowest tonic, and whoever has an octave plays whole ones.
            span = max(heights) - heights[0]
            assert span % 12 == 0 or span < 12
            assert piece.points >= 2
            assert (heights[0] + page.player.instrument.sounds.semitones) % 12 == sounding_class(key)
    assert all(column.best > 0 for column in test.columns)
    # Every column that is marked has points for somebody, and nobody has more than it can give.
    for table in test.tables:
        for line in table.lines:
            assert all(p is None or 0 < p <= c.best for p, c in zip(line.most, table.columns, strict=True))


def sounding_class(key: str) -> int:
    steps = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    return (steps[key[0]] + key.count("#") - key[1:].count("b")) % 12


def test_everyone_on_the_roster_has_a_line(seated: Seated) -> None:
    test = made(seated("25 flute, 30 clarinet, 5 snare drum"), "concert F major")
    assert sum(len(table.lines) for table in test.tables) == 60
    assert [line.chair for line in test.tables[0].lines[:2]] == ["Flute (1)", "Flute (2)"]


def test_numbers_are_dealt_to_everyone_once_and_the_same_seed_deals_them_again(
    written: Written,
) -> None:
    names = ["Ada Quill", "Ben Marsh", "Cleo Pond", "Dov Reed"]
    chairs = "".join(f'[[chair]]\ninstrument = "flute"\nplayer = "{name}"\n' for name in names)
    section = read(written("s.toml", chairs + '[[chair]]\ninstrument = "tuba"\ncopies = 2\n'))

    def deal(seed: int) -> list[tuple[int, str]]:
        return [
            (one.number, one.chair.person) for one, _ in made(section, "concert F major", seed=seed).lines
        ]

    assert deal(4) == deal(4)
    assert sorted(number for number, _ in deal(4)) == [1, 2, 3, 4, 5, 6]
    assert len({tuple(deal(seed)) for seed in range(20)}) > 15
    test = made(section, "concert F major", seed=4)
    # On the score sheet no name and no chair tells who it is; numbers go up within an instrument.
    lines = test.tables[0].lines
    assert {line.chair for line in lines} == {""}
    assert not any(name in line.name for line in lines for name in names)
    assert [int(line.name) for line in lines[:4]] == sorted(int(line.name) for line in lines[:4])


def test_drums_have_rudiments_and_the_rhythms_of_the_scales(seated: Seated) -> None:
    test = made(seated("flute, snare drum"), "concert F major, eighths", "concert C major, eighths")
    drum = test.pages[-1]
    # Single strokes, double strokes, paradiddles: Percussive Arts Society, international drum rudiments.
    assert [piece.exercise.head for piece in drum.pieces] == [
        "Rhythm", "Single strokes", "Double strokes", "Paradiddles",
    ]  # fmt: skip
    hands = [
        "".join(note.syllable or "" for note in piece.exercise.bars[0].notes)[:8] for piece in drum.pieces[1:]
    ]
    assert hands == ["RLRLRLRL", "RRLLRRLL", "RLRRLRLL"]
    assert [c.heading for c in test.tables[1].columns if not c.number] == [
        "Rhythm", "Pulse", "Sticking", "Evenness",
    ]  # fmt: skip


def test_who_has_fewer_notes_can_have_fewer_points_and_that_is_said(seated: Seated) -> None:
    test = made(seated("flute, oboe"), "concert E-flat major", "concert C major")
    assert any("Oboe: for want of notes 1 gives 2 instead of 4" in line for line in test.told)
    assert [line.total for line in test.tables[0].lines] == [24, 22]


TEST = """
[test]
title = "Autumn"
octaves = 1
memory = true
source = "as agreed in September"
[[test_item]]
phrase = "concert B-flat major and E-flat major"
[[test_item]]
phrase = "concert F major"
points = 10
instruments = ["brass"]
[[test_item]]
phrase = "C major, paradiddles"
instruments = ["percussion"]
[[rubric]]
name = "Sound"
slip = "a split note"
marks = [6, 3, 0]
counts = ["none", "one", "more"]
[[rubric]]
name = "Fingers"
slip = "a wrong finger"
instruments = ["woodwinds"]
[[chair]]
instrument = "flute"
[[chair]]
instrument = "trumpet"
[[chair]]
instrument = "snare drum"
"""


def test_the_section_file_says_what_is_played_and_how_it_is_marked(written: Written) -> None:
    section = read(written("s.toml", TEST))
    assert (section.test.title, section.test.octaves, section.test.memory) == ("Autumn", 1, True)
    test = made(section)
    flute, trumpet, drum = (table.lines[0] for table in test.tables)
    titles = [[column.title for column in table.columns] for table in test.tables]
    assert titles[0] == [
        "1. Concert B-flat major (2)", "2. Concert E-flat major (2)", "Sound (6)", "Fingers (4)",
    ]  # fmt: skip
    assert titles[1][2:] == ["3. Concert F major (10)", "Sound (6)"]
    assert titles[2][-1] == "Sound (6)"
    assert len(titles[2]) == 2
    assert (flute.total, trumpet.total) == (14, 20)
    assert drum.instrument == "Snare Drum"
    assert test.own


def test_a_section_file_that_is_written_anew_keeps_its_test(written: Written, tmp_path: Path) -> None:
    old = written("s.toml", TEST.replace("[test]", 'plan = "band.toml"\n[test]', 1))
    before = read(old)
    roster = written("roster.csv", "Name,Instrument\nAda Quill,Flute\n")
    run_here("section", "new", str(roster), "--out", str(old), "--force", "--no-ask").succeeds()
    after = read(old)
    assert [chair.person for chair in after.chairs] == ["Ada Quill"]
    assert (after.test, after.plan) == (before.test, before.plan)


def test_phrases_go_before_the_items_of_the_file(written: Written) -> None:
    test = made(read(written("s.toml", TEST)), "concert A-flat major")
    assert next(c.heading for c in test.columns if c.number) == "Concert A-flat major"


def test_every_mistake_in_a_test_is_told_with_its_line(written: Written) -> None:
    text = """[test]
octaves = 9
pionts = 3
[[test_item]]
points = 2
[[test_item]]
phrase = "concert F mayor"
points = 0
[[rubric]]
name = "Tone"
slip = "x"
marks = [1, 2]
[[rubric]]
name = "tone"
slip = "y"
counts = ["none", "some"]
[[chair]]
instrument = "flute"
"""
    with pytest.raises(BadFileError) as told:
        read(written("s.toml", text))
    lines = str(told.value).split("\n")
    for line, words in (
        (2, "octaves: 9 is no whole number from 1 to 4"),
        (3, "unknown field 'pionts'"),
        (4, "phrase: it needs what is played"),
        (7, "phrase: "),
        (8, "points: 0 is no whole number"),
        (12, "marks: marks stand best first"),
        (14, "is there already"),
        (16, "counts: there are 4 marks and 2 counts"),
    ):
        assert any(text.startswith(f"s.toml, line {line}: ") and words in text for text in lines), (
            line,
            lines,
        )


def test_what_nobody_can_play_is_left_out_by_name(seated: Seated) -> None:
    test = made(seated("flute, timpani"), "concert B-flat major, eighths")
    assert any("Timpani: nothing of the test lies between" in line for line in test.told)
    assert test.pages[-1].remark
    with pytest.raises(DoesNotFitError):
        made(read_only_low(), "concert B-flat major")


def read_only_low() -> Section:
    from generator.catalogue.players import player_named
    from generator.documents.section import Chair

    return Section("", (Chair("Flute", player_named("flute", "standard", "C4", "D4")),))


def test_what_is_not_said_is_played_in_eighths_and_by_beginners_in_quarters(seated: Seated) -> None:
    def value(level: str, phrase: str) -> str:
        (piece,) = made(seated("flute", level), phrase).pages[0].pieces
        return str(piece.exercise.bars[0].notes[0].value)

    assert value("standard", "concert F major") == "8"
    assert value("first notes", "concert F major") == "4"
    assert value("first notes", "concert F major, half notes") == "2"
    assert value("standard", "concert F major, double tongue") == "16"
