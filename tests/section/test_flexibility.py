"""Slurs over the partials for a whole section."""

from math import log2

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import from_names
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan

BAND = (
    "flute, oboe, bassoon, clarinet, bass clarinet, alto saxophone, trumpet, horn, trombone, euphonium, tuba, "
    "tenor horn, violin, cello, double bass, vibraphone, guitar, soprano voice, timpani, harp, snare drum"
)
# Fundamentals of an open B-flat tube and of its six lowerings, half step by half step (F. Allen; common practice).
ROOTS = (10, 9, 8, 7, 6, 5, 4)


def made(names: str, phrase: str = "lip slurs", level: str = "standard") -> Rehearsal:
    return rehearse(from_names(names, level, shared_catalogue().instruments), RehearsalPlan((phrase,)))


def part(rehearsal: Rehearsal, name: str) -> ChairPart:
    return next(p for p in rehearsal.parts if p.player.instrument.name == name)


def sounding(one: ChairPart) -> list[list[int]]:
    up = one.player.instrument.sounds.semitones
    return [[n.pitch.height + up for n in bar.notes if n.pitch] for bar in one.exercises[0].bars]


@pytest.mark.parametrize("phrase", ["lip slurs", "neighbouring partials, quarter = 60"])
@pytest.mark.parametrize("level", ["first notes", "standard", "extended"])
def test_everybody_sounds_one_major_triad_in_each_bar_and_has_its_notes(phrase: str, level: str) -> None:
    rehearsal = made(BAND, phrase, level)
    for one in rehearsal.parts:
        exercise = one.exercises[0]
        assert len(exercise.bars) == len(ROOTS)
        assert all(bar.filled == bar.metre.length for bar in exercise.bars)
        if one.unpitched:
            continue
        assert all(one.player.compass.holds(pitch) for pitch in exercise.pitches)
        for root, heights in zip(ROOTS, sounding(one), strict=True):
            assert {(h - root) % 12 for h in heights} <= {0, 4, 7}, (one.player.instrument.name, root)


def test_brass_play_whole_numbers_of_one_fundamental_and_change_nothing_within_a_bar() -> None:
    rehearsal = made(BAND)
    # Sounding fundamentals of the open tubes: B-flat trumpet, trombone, euphonium and tuba; the B-flat side of a horn.
    tubes = {"trumpet in B-flat": 46, "trombone": 34, "euphonium": 34, "tuba": 22, "horn in F": 34}
    for name, open_tube in tubes.items():
        one = part(rehearsal, name)
        for lowered, (bar, heights) in enumerate(zip(one.exercises[0].bars, sounding(one), strict=True)):
            assert bar.notes[0].text
            assert not any(note.text for note in bar.notes[1:])
            for height in heights:
                number = 2 ** ((height - open_tube + lowered) / 12)
                # Partials 2 to 6 lie within 14 cents of their written notes.
                assert abs(12 * log2(number / round(number))) < 0.15, (name, height)
                assert round(number) in (2, 3, 4, 5, 6, 8)


def test_the_valves_and_positions_are_those_of_the_chart() -> None:
    def labels(name: str) -> list[str | None]:
        return [bar.notes[0].text for bar in part(made(BAND), name).exercises[0].bars]

    # Open, 2, 1, 1-2, 2-3, 1-3, 1-2-3; slide positions 1 to 7 (any fingering chart).
    assert labels("trumpet in B-flat") == ["0", "2", "1", "1-2", "2-3", "1-3", "1-2-3"]
    assert labels("trombone") == [str(n) for n in range(1, 8)]
    assert labels("horn in F") == ["T", "T2", "T1", "T1-2", "T2-3", "T1-3", "T1-2-3"]


def test_who_cannot_rests_with_a_reason_and_drums_roll() -> None:
    rehearsal = made(BAND)
    for name, why in (("timpani", "tuned"), ("harp", "pedals")):
        exercise = part(rehearsal, name).exercises[0]
        assert not exercise.pitches
        assert why in exercise.reason
    assert "Harp" in rehearsal.turns[0].told[0]
    drum = part(rehearsal, "snare drum").exercises[0]
    assert [len(bar.notes) for bar in drum.bars] == [1] * len(ROOTS)
    assert "breath" not in {
        m for b in part(rehearsal, "violin").exercises[0].bars for n in b.notes for m in n.marks
    }


def test_strings_alone_have_a_line_of_their_own() -> None:
    rehearsal = made("2 violin, viola, cello")
    assert rehearsal.turns[0].heading.endswith("from concert B-flat down by half steps")
    assert all(len(one.exercises[0].pitches) > len(ROOTS) for one in rehearsal.parts)


def test_brass_in_e_flat_alone_begin_on_their_own_open_tube() -> None:
    rehearsal = made("2 tenor horn, soprano cornet")
    assert "concert E-flat" in rehearsal.turns[0].heading
    assert rehearsal.parts[0].exercises[0].bars[0].notes[0].text == "0"
