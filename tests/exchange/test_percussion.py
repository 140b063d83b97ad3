"""Percussion, timpani and chords in the open formats: valid, read back by music21, and heard on the right keys."""

import json
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import mido
import pytest
from lxml import etree

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import from_names
from generator.exchange.formats import Music, open_files
from generator.exchange.playback import Playback
from generator.exercise.kit import AT
from generator.publish.handout import score_as_musicxml
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.warm_up import warm_up
from generator.theory.chord import KINDS, Chord
from generator.theory.pitch import NoteName

pytestmark = [
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore::music21.musicxml.xmlObjects.MusicXMLWarning"),
]
NAMES = (
    "flute, clarinet, timpani, marimba, snare drum, bass drum, drum set, cymbals, tambourine, guitar, harp, piano, "
    "cello"
)


@pytest.fixture(scope="module")
def band() -> Rehearsal:
    section = from_names(NAMES, "standard", shared_catalogue().instruments)
    plan = RehearsalPlan((
        "concert B-flat major, one octave, slur two tongue two, sixteenths",
        "concert G minor, swing eighths, slurs of three",
        "concert F major in 6/8, one octave",
        "concert C dominant seventh, quarters in 3/4",
    ))  # fmt: skip
    return rehearse(section, plan, warm_up(seats_of(section), NoteName.parse("Bb"), 15, plan))


def part(band: Rehearsal, name: str) -> ChairPart:
    return next(one for one in band.parts if one.player.instrument.name == name)


def files(band: Rehearsal, name: str) -> dict[str, bytes]:
    one = part(band, name)
    return open_files(
        "x", Music(name, one.player.instrument, one.exercises), ("musicxml", "midi", "json"), Playback()
    )


def test_every_part_and_the_score_are_valid_and_of_one_length(
    band: Rehearsal, schema: Any, with_music21: Any
) -> None:
    for one in band.parts:
        schema.validate(etree.fromstring(files(band, one.player.instrument.name)["x.musicxml"]))
        assert not list(schema.error_log), (one.player.instrument.name, schema.error_log)
    data = score_as_musicxml("Score", band)
    schema.validate(etree.fromstring(data))
    assert not list(schema.error_log)
    score = with_music21(data)
    bars = [
        [float(bar.duration.quarterLength) for bar in staff.getElementsByClass("Measure")]
        for staff in score.parts
    ]
    assert all(line == bars[0] for line in bars)


def test_a_drum_set_sounds_on_the_percussion_channel_on_the_keys_of_its_parts(
    band: Rehearsal, with_music21: Any
) -> None:
    made = files(band, "drum set")
    track = mido.MidiFile(file=BytesIO(made["x.mid"])).tracks[1]
    played = [m for m in track if m.type == "note_on" and m.velocity]
    struck = [
        AT[pitch].key
        for exercise in part(band, "drum set").exercises
        for bar in exercise.bars
        for note in bar.notes
        if note.pitch
        for pitch in (note.pitch, *note.also)
    ]
    assert {m.channel for m in played} == {9}
    assert sorted(m.note for m in played) == sorted(struck)
    root = etree.fromstring(made["x.musicxml"])
    keys = {
        one.get("id"): int(one.findtext("midi-unpitched")) - 1 for one in root.iter("midi-instrument")
    }  # General MIDI, counted from 1 in MusicXML
    written = [
        keys[note.find("instrument").get("id")]
        for note in root.iter("note")
        if note.find("instrument") is not None
    ]
    assert sorted(written) == sorted(struck)
    assert len(list(root.iter("notehead"))) > len(struck) / 3
    data = json.loads(made["x.json"])
    named = [n["drums"] for e in data["exercises"] for b in e["bars"] for n in b["notes"] if n["written"]]
    assert ["hi-hat", "bass drum"] in named
    assert ["ride cymbal", "hi-hat pedal"] in named
    assert len(list(with_music21(made["x.musicxml"]).recurse().notes)) == len(named)


def test_rolls_are_tremolos_of_three_strokes(band: Rehearsal) -> None:
    for name in ("snare drum", "timpani", "marimba"):
        root = etree.fromstring(files(band, name)["x.musicxml"])
        rolls = [n for e in part(band, name).exercises for b in e.bars for n in b.notes if "roll" in n.marks]
        assert len(rolls) > 5
        assert [one.text for one in root.iter("tremolo")] == ["3"] * len(rolls)


def symbols(band: Rehearsal, name: str) -> Iterator[Chord]:
    for exercise in part(band, name).exercises:
        yield from (note.chord for bar in exercise.bars for note in bar.notes if note.chord)


def test_music21_reads_the_chords_that_are_meant(band: Rehearsal, with_music21: Any) -> None:
    for name in ("piano", "classical guitar", "harp"):
        meant = list(symbols(band, name))
        score = with_music21(files(band, name)["x.musicxml"])
        # The two hands of a piano are two parts to music21, each with the symbols.
        read = list(score.parts[0].recurse().getElementsByClass("ChordSymbol"))
        assert len(read) == len(meant) > 8
        for one, chord in zip(read, meant, strict=True):
            assert {p.pitchClass for p in one.pitches} == {n.pitch_class for n in chord.notes}, chord.symbol


def test_a_chords_notes_are_those_music21_gives_its_symbol() -> None:
    harmony = pytest.importorskip("music21.harmony")
    kinds = {
        "major": "major", "minor": "minor", "diminished": "diminished", "augmented": "augmented",
        "dominant seventh": "dominant-seventh", "major seventh": "major-seventh", "minor seventh": "minor-seventh",
        "minor major seventh": "minor-major-seventh", "half-diminished seventh": "half-diminished-seventh",
        "diminished seventh": "diminished-seventh", "suspended fourth": "suspended-fourth",
    }  # fmt: skip
    assert set(kinds) == set(KINDS)
    for kind, name in kinds.items():
        for root in ("C", "F#", "Bb", "Eb"):
            read = harmony.ChordSymbol(root=root.replace("b", "-"), kind=name)
            own = Chord(NoteName.parse(root), kind)
            assert [p.name.replace("-", "b") for p in read.pitches] == [n.name for n in own.notes], own.symbol
