"""Forty players of whom eleven are in their first year: four scales of an octave, and nobody left out of a bar.

Two programs read the MusicXML of the score: music21, which transposes it, and partitura, which counts its bars.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from generator.documents.roster import read_roster
from generator.documents.section import Section
from generator.publish.handout import score_as_musicxml
from generator.publish.handout_scores import ScoreKinds
from generator.publish.staff_names import part_names, staves
from generator.section.condensed import condensed
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from tests.fixtures.sounding import sounding

ROSTER = Path(__file__).parents[1] / "data" / "rosters" / "harbour-street-forty.csv"
KEYS = ("B-flat", "E-flat", "F", "A-flat")


@pytest.fixture(scope="module")
def forty() -> Section:
    """The Harbour Street band with its first-year players."""
    section = read_roster(ROSTER)
    assert len(section.chairs) == 40
    assert sum(chair.player.level == "first notes" for chair in section.chairs) == 11
    return section


@pytest.fixture(scope="module", params=["eighths", "quarters"])
def rehearsal(request: pytest.FixtureRequest, forty: Section) -> Rehearsal:
    phrases = tuple(f"concert {key} major, one octave, {request.param}" for key in KEYS)
    return rehearse(forty, RehearsalPlan(phrases))


def test_every_pitch_class_agrees_at_every_moment(rehearsal: Rehearsal) -> None:
    heard = sounding(rehearsal)
    pitched = [line for line, part in zip(heard, rehearsal.parts, strict=True) if not part.unpitched]
    assert len(pitched) > 20
    model = {moment: height % 12 for moment, height in pitched[0].items()}
    assert len(model) == 4 * 15
    for line in pitched:
        # Nobody rests: at an octave, eleven beginners fold what they lack.
        assert {moment: height % 12 for moment, height in line.items()} == model
    # Four major scales, up and down: B-flat, E-flat, F and A-flat (their notes from any theory book).
    steps = (0, 2, 4, 5, 7, 9, 11, 12, 11, 9, 7, 5, 4, 2, 0)
    expected = [(tonic + step) % 12 for tonic in (10, 3, 5, 8) for step in steps]
    assert [model[moment] for moment in sorted(model)] == expected


@pytest.mark.filterwarnings("ignore:error parsing")  # it takes headings for tempi
def test_partitura_counts_the_same_bars_in_every_part(rehearsal: Rehearsal, tmp_path: Path) -> None:
    partitura = pytest.importorskip("partitura")
    # It cannot read two drums at once, as a drum set has them.
    readable = [part for part in rehearsal.parts if part.player.instrument.name != "drum set"]
    assert len(readable) == len(rehearsal.parts) - 1
    rehearsal = replace(rehearsal, parts=tuple(readable))
    path = tmp_path / "score.musicxml"
    path.write_bytes(score_as_musicxml("Forty", rehearsal))
    score = partitura.load_musicxml(str(path))
    parts = list(partitura.score.iter_parts(score.parts))
    assert len(parts) == len(rehearsal.parts)
    lines = []
    for part in parts:
        quarter = part.quarter_duration_map(0)
        lines.append([(m.start.t / quarter, m.end.t / quarter) for m in part.measures])
    assert all(line == lines[0] for line in lines)
    pitched = [(part, one) for part, one in zip(parts, readable, strict=True) if not one.unpitched]
    for part, ours in pitched:
        starts = sorted({note.start.t for note in part.notes_tied})
        for measure in part.measures:
            playing = any(measure.start.t <= start < measure.end.t for start in starts)
            assert playing, (ours.chairs[0].name, measure.number)


def test_every_chair_is_named_in_both_scores_and_only_once(rehearsal: Rehearsal) -> None:
    assert ScoreKinds().for_chairs(rehearsal) == ScoreKinds(condensed=True)
    names = [staff.name for staff in staves(rehearsal.parts, concert=False)]
    assert len(set(names)) == len(names) == len(rehearsal.parts)
    assert names == part_names(rehearsal.parts)
    assert "Flute 2, first notes" in names
    for turn in condensed(rehearsal, lambda places: ",".join(map(str, places))):
        told = ",".join(word.rpartition(": ")[2] for s in turn.staves for word in s.words.split("; "))
        assert sorted(map(int, told.split(","))) == list(range(len(rehearsal.parts)))
