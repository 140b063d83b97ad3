"""Hands together: two staves on the page and in every format, the left hand an octave below the right."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from lxml import etree

from generator.exchange.formats import Music
from generator.exchange.json_contract import as_json
from generator.exchange.performance import perform
from generator.exchange.playback import Playback

PHRASES = (
    "D major, two octaves, all slurred",
    "B-flat harmonic minor in thirds, one octave, eighths",
    "F major, pp to ff and back",
)
pytestmark = [
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore::music21.musicxml.xmlObjects.MusicXMLWarning"),
]


@pytest.fixture(scope="module")
def music(make_sheet: Callable[..., Music]) -> Music:
    return make_sheet(*PHRASES, instrument="piano")


def test_the_left_hand_plays_an_octave_lower_in_its_own_clefs(music: Music) -> None:
    for exercise in music.exercises:
        assert exercise.left is not None
        right, left = exercise.pitches, exercise.left.pitches
        assert [(p.height - 12, p.note) for p in right] == [(p.height, p.note) for p in left]
        assert exercise.left.clefs[0] == "bass"
        assert len(exercise.left.clefs) == len(exercise.bars)
        # Dynamics stand once, between the staves.
        assert not any(n.dynamic for bar in exercise.left.bars for n in bar.notes)


def test_one_hand_has_one_staff(make_sheet: Callable[..., Music]) -> None:
    for hand in ("piano right hand", "piano left hand", "harp"):
        assert all(one.left is None for one in make_sheet("C major, one octave", instrument=hand).exercises)


def test_the_file_has_two_staves_and_is_valid(schema: Any, music: Music, xml_of: Any) -> None:
    root = etree.fromstring(xml_of(music))
    schema.assertValid(root)
    assert root.findtext(".//staves") == "2"
    assert {note.findtext("staff") for note in root.iter("note")} == {"1", "2"}
    for measure in root.iter("measure"):
        filled = {"1": 0, "2": 0}
        for note in measure.iter("note"):
            filled[note.findtext("staff")] += int(note.findtext("duration"))
        assert filled["1"] == filled["2"] == int(measure.findtext("backup/duration"))


def test_music21_reads_both_hands(music: Music, xml_of: Any, with_music21: Any) -> None:
    right, left = with_music21(xml_of(music)).parts
    heights = [[note.pitch.midi for note in part.recurse().notes] for part in (right, left)]
    assert heights[0] == [p.height for one in music.exercises for p in one.pitches]
    assert heights[1] == [height - 12 for height in heights[0]]
    slurs = [len(list(part.recurse().getElementsByClass("Slur"))) for part in (right, left)]
    assert sum(slurs) == 4  # two of each hand; the reader keeps all with the upper staff


def test_both_hands_sound_together_and_as_loud(music: Music) -> None:
    heard = perform("both", music.instrument, music.exercises, Playback()).tones
    assert len(heard) % 2 == 0
    for lower, upper in zip(heard[::2], heard[1::2], strict=True):
        assert (lower.start, lower.length, lower.loudness) == (upper.start, upper.length, upper.loudness)
        assert lower.height == upper.height - 12


def test_the_contract_holds_the_left_hand_beside_the_right(music: Music) -> None:
    data = json.loads(as_json("both", music.exercises, [music.instrument.sounds] * len(music.exercises)))
    for one in data["exercises"]:
        pairs = zip(one["bars"], one["left"], strict=True)
        notes = [pair for right, left in pairs for pair in zip(right["notes"], left["notes"], strict=True)]
        assert all(left["midi"] == right["midi"] - 12 for right, left in notes if right["midi"])
