"""Nobody is told to do what their instrument has no word for: every instrument, articulation and step of a warm-up.

Which words nobody of a family is told: common practice, no source.
"""

import re
from collections.abc import Callable, Iterator

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.documents.section_file import read_section
from generator.errors import DoesNotFitError
from generator.exercise.instrument import Instrument
from generator.exercise.mallets import ROLLING
from generator.exercise.one_line import DRUM_SET, words_of
from generator.exercise.records import Exercise
from generator.files.resources import data_folder
from generator.pages.cautions import caution
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.warm_up import warm_up
from generator.theory.pitch import NoteName

BLOWN = (
    "tongue",
    "tongued",
    "tonguing",
    "breath",
    "breathe",
    "air",
    "lip",
    "lips",
    "reed",
    "embouchure",
    "mouthpiece",
)
BOWED = ("bow", "bows", "bowed", "bowing", "hooked")
SUNG = ("vowel", "syllable", "consonant", "consonants", "hum", "sing")
STRUCK = (
    "roll",
    "rolls",
    "rolled",
    "strokes",
    "stick",
    "sticks",
    "sticking",
    "paradiddle",
    "paradiddles",
    "flam",
    "flams",
)
PLUCKED = ("pluck", "plucked")
SLURRED = ("slur", "slurs", "slurred", "legato")
VALVES = ("valve", "valves", "slide")
FORBIDDEN = {
    "flute": (*BOWED, *SUNG, *STRUCK, *PLUCKED, *VALVES[:2]),
    "reed": (*BOWED, *SUNG, *STRUCK, *PLUCKED, *VALVES[:2]),
    "brass": (*BOWED, *SUNG, *STRUCK, *PLUCKED, "reed"),
    "string": (*BLOWN, *SUNG, *(w for w in STRUCK if w != "strokes"), *PLUCKED, *VALVES),
    "voice": ("tongue", "tongued", "tonguing", *BOWED, *STRUCK, *PLUCKED, *VALVES, "reed", "mouthpiece"),
    "keyboard": (*BLOWN, *BOWED, *SUNG, *STRUCK, *PLUCKED, *VALVES),
    "plucked": (*BLOWN, *BOWED, *SUNG, *(w for w in STRUCK if w != "strokes"), *VALVES),
    "harp": (*BLOWN, *BOWED, *SUNG, *(w for w in STRUCK if w != "strokes"), *VALVES),
    "mallet": (*BLOWN, *BOWED, *SUNG, *PLUCKED, *SLURRED, *VALVES),
    "unpitched": (*BLOWN, *BOWED, *SUNG, *PLUCKED, *SLURRED, *VALVES),
}
INSTRUMENTS = shared_catalogue().instruments.rows


def told(words: str) -> set[str]:
    return set(re.findall(r"[a-z]+", words.casefold()))


def wrong(instrument: Instrument, words: str) -> set[str]:
    never = set(FORBIDDEN[instrument.wind])
    if instrument.family == "mallets" and instrument.name not in ROLLING:
        never |= {"roll", "rolls"}
    return told(words) & never


def page(part: ChairPart) -> Iterator[str]:
    for exercise in part.exercises:
        yield from words_on(exercise)
    yield caution(part.exercises, part.player, shared_catalogue().cautions.rows)


def words_on(exercise: Exercise) -> Iterator[str]:
    yield exercise.heading
    yield exercise.concert_heading
    yield exercise.reason
    yield from exercise.notes
    for bar in exercise.bars:
        for note in bar.notes:
            yield from filter(None, (note.text, note.syllable if len(note.syllable or "") > 1 else ""))
            yield " ".join(mark for mark in note.marks if mark == "breath")


def test_every_way_of_sounding_has_a_table() -> None:
    assert {row.wind for row in INSTRUMENTS} == set(FORBIDDEN)
    find = shared_catalogue().instruments.find
    assert wrong(find("violin"), "Light tongue, the air goes on") == {"tongue", "air"}
    assert wrong(find("snare drum"), "Then a breath for each note") == {"breath"}
    assert not wrong(find("flute"), "Light tongue, the air goes on")


@pytest.mark.parametrize("wind", sorted(FORBIDDEN))
def test_no_articulation_has_a_word_that_a_player_would_laugh_at(wind: str) -> None:
    for instrument in (row for row in INSTRUMENTS if row.wind == wind):
        whose = words_of(instrument) if instrument.unpitched else wind
        for row in shared_catalogue().articulations.rows:
            # What is for others is refused, or said in words for this family.
            if row.winds and wind not in row.winds and not dict(row.said).get(wind):
                continue
            assert not wrong(instrument, row.words_for(whose)), (instrument.name, row.name)


def _with_warm_up(seated: Callable[..., Section], names: str, level: str) -> Rehearsal:
    section = seated(names, level)
    plan = RehearsalPlan(("concert B-flat major, a fifth, eighths, slur two tongue two",))
    before = warm_up(seats_of(section), NoteName.parse("Bb"), 20, plan)
    return rehearse(section, plan, before)


@pytest.mark.parametrize("level", ["first notes", "standard"])
def test_no_step_of_a_warm_up_tells_anybody_what_another_family_does(
    seated: Callable[..., Section], level: str
) -> None:
    seen = 0
    for number, row in enumerate(INSTRUMENTS):
        if number % 2 == (level == "standard") and row.wind in ("flute", "reed", "brass"):
            continue  # half of the winds at each level
        try:
            parts = _with_warm_up(seated, f"{row.name}, oboe, snare drum", level).parts
        except DoesNotFitError:
            continue
        for part in parts:
            for words in page(part):
                assert not wrong(part.player.instrument, words), (part.player.instrument.name, words)
        seen += 1
    assert seen > 45


@pytest.mark.parametrize(("name", "key"), [
    ("harbour-street", "Bb"), ("harbour-street-jazz", "Bb"), ("harbour-street-strings", "D"),
    ("harbour-street-beginners", "Bb"),
])  # fmt: skip
def test_a_band_a_jazz_band_strings_and_beginners_are_spoken_to_rightly(name: str, key: str) -> None:
    section = read_section(
        data_folder("shared") / "examples" / f"{name}.toml", shared_catalogue().instruments
    )
    span = "a fifth" if "beginners" in name else "one octave"
    plan = RehearsalPlan(
        tuple(
            f"concert {key} major, {span}, {words}"
            for words in ("quarters", "eighths, slurred pairs", "all slurred")
        )
    )
    rehearsal = rehearse(section, plan, warm_up(seats_of(section), NoteName.parse(key), 15, plan))
    assert len(rehearsal.turns) == 10
    for part in rehearsal.parts:
        for words in page(part):
            assert not wrong(part.player.instrument, words), (part.player.instrument.name, words)
        # Everyone has the same bars.
        assert [len(e.bars) for e in part.exercises] == [len(t.read[0].bars) for t in rehearsal.turns]


def test_who_does_not_roll_is_not_told_to(seated: Callable[..., Section]) -> None:
    for level, names in (("first notes", ("snare drum", "bass drum", "timpani")), ("standard", (DRUM_SET,))):
        for name in names:
            parts = _with_warm_up(seated, f"flute, {name}", level).parts
            (part,) = (one for one in parts if one.player.instrument.name == name)
            said = told(" ".join(page(part)))
            assert not said & {"roll", "rolls", "rolled"}, (level, name)


def test_a_string_orchestra_is_told_nothing_of_winds(seated: Callable[..., Section]) -> None:
    rehearsal = _with_warm_up(seated, "violin, viola, cello, double bass", "standard")
    assert not told(" ".join(rehearsal.headings)) & set(BLOWN)
    assert rehearsal.headings[0].startswith("Long bows")
