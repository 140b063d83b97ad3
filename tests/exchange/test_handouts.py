"""Handouts in the open formats: parts and scores against the schema, and read back by two programs."""

import json
import os
import random
from fractions import Fraction
from io import BytesIO
from typing import Any

import mido
import pytest
from lxml import etree

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import from_names
from generator.errors import RequestError
from generator.exchange.formats import Music, open_files
from generator.exchange.playback import Playback
from generator.publish.handout import HandedOut, HandoutOrder, hand_out, score_as_musicxml
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan

# More handouts than the usual four, for a long check.
COUNT = int(os.environ.get("SCALEWRIGHT_HANDOUTS", "4"))
CHAIRS = (
    "piccolo", "flute", "oboe", "bassoon", "E-flat clarinet", "3 clarinet", "bass clarinet", "2 alto saxophone",
    "tenor saxophone", "baritone saxophone", "2 horn", "2 trumpet", "trombone", "euphonium", "tuba", "glockenspiel",
    "snare drum", "bass drum", "cymbals", "double bass",
)  # fmt: skip
pytestmark = [
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore::music21.musicxml.xmlObjects.MusicXMLWarning"),
]


def _phrase(chance: random.Random) -> str:
    key = chance.choice(("C", "F", "B-flat", "E-flat", "A-flat", "D-flat", "G", "D"))
    form = chance.choice(("major", "harmonic minor", "melodic minor", "major arpeggio", "dorian"))
    figure = chance.choice(("", "", " in thirds", " in triads")) if "arpeggio" not in form else ""
    rhythm = chance.choice(("", "triplets", "swung eighths", "eighths", "dotted eighth and sixteenth"))
    slurs = chance.choice(("", "slur two tongue two", "all slurred, one octave", "staccato"))
    return ", ".join(part for part in (f"concert {key} {form}{figure}", rhythm, slurs) if part)


@pytest.fixture(scope="module")
def handouts() -> list[Rehearsal]:
    """Sections and exercises mixed."""
    chance = random.Random(7)
    table = shared_catalogue().instruments
    found: list[Rehearsal] = []
    while len(found) < COUNT:
        names = chance.sample(CHAIRS[:16], 4) + chance.sample(CHAIRS[16:19], 1)
        try:
            section = from_names(", ".join(names), "standard", table)
            found.append(rehearse(section, RehearsalPlan((_phrase(chance), _phrase(chance)))))
        except RequestError:
            continue
    return found


@pytest.fixture(scope="module")
def written(handouts: list[Rehearsal], tmp_path_factory: pytest.TempPathFactory) -> list[HandedOut]:
    folder = tmp_path_factory.mktemp("handouts")
    return [
        hand_out(
            HandoutOrder(out=folder / str(n), formats=("musicxml", "json", "midi"), title=f"Rows & <{n}>"),
            one,
        )
        for n, one in enumerate(handouts)
    ]


def test_every_part_and_score_is_valid(written: list[HandedOut], schema: Any) -> None:
    files = [path for done in written for path in done.paths if path.suffix == ".musicxml"]
    assert len(files) >= 6 * COUNT
    for path in files:
        schema.validate(etree.fromstring(path.read_bytes()))
        assert not list(schema.error_log), (path.name, schema.error_log)


def _notes(data: dict[str, Any]) -> list[dict[str, Any]]:
    return [n for e in data["exercises"] for b in e["bars"] for n in b["notes"] if n["written"]]


def test_music21_and_partitura_read_every_part_alike(
    written: list[HandedOut], with_music21: Any, with_partitura: Any, partitura: Any
) -> None:
    compared = drums = 0
    for path in (p for done in written for p in done.paths if p.suffix == ".musicxml" and p.stem != "score"):
        score = with_music21(path.read_bytes())
        (part,) = with_partitura(path.read_bytes())
        data = json.loads(path.with_suffix(".json").read_text("utf-8"))
        notes = _notes(data)
        names = [n["written"] for n in notes]
        heard = list(score.parts[0].recurse().notes)
        assert [Fraction(n.quarterLength) for n in heard] == [Fraction(n["duration"]) * 4 for n in notes]
        if data["exercises"][0].get("unpitched"):
            drums += 1
            assert all(one.get("unpitched") for one in data["exercises"])
            assert not any(hasattr(n, "pitch") for n in heard)
            assert not any(n["sounding"] for n in notes)
            continue
        assert [n.pitch.nameWithOctave.replace("-", "b") for n in heard] == names, path
        read = sorted(part.iter_all(partitura.score.Note), key=lambda n: n.start.t)
        signs = {None: "", 0: "", 1: "#", -1: "b", 2: "##", -2: "bb"}
        assert [f"{n.step}{signs[n.alter]}{n.octave}" for n in read] == names
        slurs = sum("start" in (n["slur"] or "") for n in notes)
        assert len(list(part.iter_all(partitura.score.Slur))) == slurs
        compared += 1
    assert compared >= 4 * COUNT
    assert drums == COUNT


def test_a_score_lines_its_parts_up_bar_for_bar(
    handouts: list[Rehearsal], with_music21: Any, with_partitura: Any
) -> None:
    for rehearsal in handouts:
        data = score_as_musicxml("Score", rehearsal)
        score = with_music21(data)
        assert len(score.parts) == len(rehearsal.parts)
        assert len({len(part.getElementsByClass("Measure")) for part in score.parts}) == 1
        bars = [
            [(m.number, Fraction(m.duration.quarterLength)) for m in part.getElementsByClass("Measure")]
            for part in score.parts
        ]
        assert all(line == bars[0] for line in bars)
        # Everyone at concert pitch: the same letters at the same moments, whatever the octave.
        sounding = score.toSoundingPitch()
        lines = [
            [n.pitch.pitchClass for n in part.recurse().notes if hasattr(n, "pitch")]
            for part, own in zip(sounding.parts, rehearsal.parts, strict=True)
            if not own.unpitched
        ]
        assert all(line == lines[0] for line in lines)
        assert len(with_partitura(data)) == len(rehearsal.parts)


def test_percussion_has_no_pitch_but_a_drum(handouts: list[Rehearsal]) -> None:
    for rehearsal in handouts:
        (drum,) = [part for part in rehearsal.parts if part.unpitched]
        instrument = drum.player.instrument
        files = open_files("x", Music("Drum", instrument, drum.exercises), ("midi", "musicxml"), Playback())
        root = etree.fromstring(files["x.musicxml"])
        assert not list(root.iter("pitch"))
        assert root.findtext("part-list/score-part/midi-instrument/midi-channel") == "10"
        # General MIDI percussion map: bass drum 36, snare drum 38, crash cymbal 49; MusicXML counts from 1.
        key = {"bass drum": 36, "snare drum": 38, "cymbals": 49}[instrument.name]
        assert root.findtext("part-list/score-part/midi-instrument/midi-unpitched") == str(key + 1)
        track = mido.MidiFile(file=BytesIO(files["x.mid"])).tracks[1]
        played = [m for m in track if m.type == "note_on"]
        assert {(m.channel, m.note) for m in played} == {(9, key)}
        notes = [n for e in drum.exercises for b in e.bars for n in b.notes if n.pitch and not n.grace]
        rolled = sum((n.length for n in notes if "roll" in n.marks), Fraction(0))
        # A roll is heard as thirty-seconds.
        assert len(played) == len([n for n in notes if not n.tie]) + 32 * rolled
