"""A condensed score says of everybody where they sound: held against music21, which transposes a score by itself."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from generator.catalogue.players import player_named
from generator.documents.section import Chair, Section, in_score_order
from generator.pages.condensed import CondensedStaff
from generator.pages.paper import Paper
from generator.publish.handout import HandoutOrder, hand_out
from generator.publish.handout_scores import ScoreKinds
from generator.section.choir import parted
from generator.section.condensed import condensed, sound_together, written_keys
from generator.section.rehearsal import Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.warm_up import warm_up
from generator.theory.pitch import NoteName
from tests.fixtures.sounding import Moments, sounding

_OCTAVES = {"an octave": 12, "two octaves": 24, "three octaves": 36}


def numbered(places: Sequence[int]) -> str:
    return " ".join(f"#{place}" for place in places)


def said(staff: CondensedStaff) -> list[tuple[str, list[int]]]:
    """How each part stands to what is printed, by the words at the staff."""
    found = []
    for words in staff.words.split("; "):
        way, _, names = words.rpartition(": ")
        found.append((way, [int(place) for place in re.findall(r"#(\d+)", names)]))
    return found


def printed(staff: CondensedStaff) -> Moments:
    place, found = 0.0, {}
    for bar in staff.voices[0].bars:
        for note in bar.notes:
            if note.pitch:
                found[place] = note.pitch.height
            place += float(note.length * 4)
    return found


def agrees(way: str, heard: Moments, line: Moments) -> bool:
    """Whether a part stands to a printed line as the words say."""
    if found := re.fullmatch(r"(an octave|two octaves|three octaves) (higher|lower)", way):
        apart = _OCTAVES[found[1]] * (1 if found[2] == "higher" else -1)
        return heard == {moment: height + apart for moment, height in line.items()}
    if not way:
        return heard == line
    same = all((height - line[moment]) % 12 == 0 for moment, height in heard.items() if moment in line)
    if way == "changing octave":
        return same and heard.keys() == line.keys()
    return way == "resting in part" and same and heard.keys() < line.keys()


@pytest.mark.parametrize(
    "phrase",
    [
        "concert B-flat major, one octave, eighths",
        "concert A-flat major in thirds, two octaves",
        "concert F major arpeggio",
        "concert C harmonic minor, one octave, quarters",
    ],
)
def test_every_part_is_named_once_and_sounds_where_the_words_put_it(band: Section, phrase: str) -> None:
    beginner = Chair("Clarinet, first year", player_named("clarinet", "first notes"))
    young = Chair("Trumpet, first year", player_named("trumpet", "first notes"))
    section = replace(band, chairs=in_score_order((*band.chairs, beginner, young)))
    rehearsal = rehearse(section, RehearsalPlan((phrase,)))
    heard = sounding(rehearsal)
    (turn,) = condensed(rehearsal, numbered)
    told: list[int] = []
    for staff in turn.staves:
        line = printed(staff)
        for way, places in said(staff):
            told += places
            for place in places:
                if way == "rhythm":
                    assert rehearsal.parts[place].unpitched
                else:
                    assert agrees(way, heard[place], line), (way, rehearsal.parts[place].chairs[0].name)
    assert sorted(told) == list(range(len(rehearsal.parts)))
    assert [staff.voices[0].clef for staff in turn.staves] == ["treble", "bass"]


def test_notes_that_differ_share_stems_and_are_named_from_the_top(band: Section) -> None:
    seats = seats_of(band)
    plan = RehearsalPlan(("concert B-flat major",))
    rehearsal = rehearse(band, plan, warm_up(seats, NoteName.parse("Bb"), 15, plan))
    (stack,) = [t for t in condensed(rehearsal, numbered) if t.heading.startswith("Stacked")]
    assert sum(len(staff.voices) for staff in stack.staves) == 3
    assert any(staff.words.startswith("from the top: ") for staff in stack.staves)
    everyone = sorted(int(n) for staff in stack.staves for n in re.findall(r"#(\d+)", staff.words))
    assert everyone == list(range(len(rehearsal.parts)))


@pytest.mark.parametrize(
    "phrase", ["concert B-flat tuning chorale", "concert F balance chorale", "concert F scale in canon"]
)
def test_everybody_finds_their_voice_of_a_chorale_or_a_canon(band: Section, phrase: str) -> None:
    rehearsal = rehearse(parted(band), RehearsalPlan((phrase,)))
    heard = sounding(rehearsal)
    (turn,) = condensed(rehearsal, numbered)
    told: list[int] = []
    for staff in turn.staves:
        words = staff.words.partition("; rhythm: ")[0].removeprefix("from the top: ")
        groups = words.split(" / ")
        assert len(groups) == len(staff.voices)
        for voice, group in zip(staff.voices, groups, strict=True):
            line = printed(replace(staff, voices=(voice,)))
            places = [int(place) for place in re.findall(r"#(\d+)", group)]
            told += places
            for place in places:
                assert heard[place].keys() == line.keys()
                assert all((height - line[moment]) % 12 == 0 for moment, height in heard[place].items())
    assert sorted(told) == [n for n, part in enumerate(rehearsal.parts) if not part.unpitched]


# Concert B-flat is read as C by B-flat instruments, G by E-flat ones, F by horns (common practice of transposition).
def test_written_keys_are_told_by_transposition(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages("flute, clarinet, alto saxophone, horn, tuba", "concert B-flat major")
    assert written_keys(rehearsal.parts, 0) == "in C: B-flat · in B-flat: C · in E-flat: G · in F: F"


def test_up_to_twelve_chairs_have_a_full_score_and_more_a_condensed_one(
    seated: Callable[..., Section], band: Section
) -> None:
    plan = RehearsalPlan(("concert B-flat major, one octave",))
    twelve = rehearse(seated(", ".join(["flute", "clarinet", "horn", "tuba"] * 3)), plan)
    assert ScoreKinds().for_chairs(twelve) == ScoreKinds(full=True)
    assert ScoreKinds().for_chairs(rehearse(band, plan)) == ScoreKinds(condensed=True)
    assert ScoreKinds(condensed=True).for_chairs(twelve) == ScoreKinds(condensed=True)
    assert ScoreKinds(concert=True).for_chairs(rehearse(band, plan)) == ScoreKinds(full=True, concert=True)
    # Where all read the same written key, no two staves hold what is heard.
    written = rehearse(band, RehearsalPlan(("written F major, one octave",)))
    assert not sound_together(written)
    assert ScoreKinds().for_chairs(written) == ScoreKinds(full=True)


@pytest.mark.lilypond
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_twelve_keys_of_a_band_stand_on_three_pages_with_their_table(
    band: Section, tmp_path: Path, paper: str
) -> None:
    rehearsal = rehearse(band, RehearsalPlan(("all keys, major, one octave, eighths",)))
    order = HandoutOrder(out=tmp_path, paper=Paper.of(paper, "normal"))
    done = hand_out(order, rehearsal)
    assert [path.name for path in done.paths[:3]] == ["everything.pdf", "cover.pdf", "condensed-score.pdf"]
    reader = PdfReader(BytesIO(done.paths[2].read_bytes()))
    words = [page.extract_text() for page in reader.pages]
    assert len(words) == 3
    assert "Written key and" in words[2]
    for chair in band.chairs:
        assert chair.name.split()[-1] in words[2]
    assert done.warnings == ()
