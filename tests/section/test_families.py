"""A handout for several families: each part in its own words, the score in words that fit all."""

from collections.abc import Callable

import pytest

from generator.documents.section import Section
from generator.section.rehearsal import Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.warm_up import warm_up
from generator.theory.pitch import NoteName


def test_each_chair_of_an_orchestra_reads_its_own_words(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages("flute, violin, xylophone, snare drum", "concert D major, one octave, slur 2 tongue 2")
    said = {part.player.instrument.name: part.exercises[0] for part in rehearsal.parts}
    assert said["flute"].heading == "D major, one octave, slur two tongue two"
    assert said["violin"].heading == "D major, one octave, slur two, separate two"
    assert said["xylophone"].heading == "D major, one octave"
    drum = "concert D major, one octave, single paradiddles, the double first"
    assert said["snare drum"].concert_heading == drum
    assert rehearsal.headings == ("Concert D major, one octave, slur two, detach two",)


@pytest.mark.parametrize(("names", "heading"), [
    ("flute, clarinet, tuba", "Concert F major, one octave, all tongued"),
    ("violin, cello", "Concert F major, one octave, separate bows"),
    ("flute, cello", "Concert F major, one octave, each note begun anew"),
])  # fmt: skip
def test_the_score_speaks_to_whoever_reads_it(
    pages: Callable[..., Rehearsal], names: str, heading: str
) -> None:
    assert pages(names, "concert F major, one octave, tongued").headings == (heading,)


def test_what_a_violin_cannot_tongue_it_plays_with_two_bows(pages: Callable[..., Rehearsal]) -> None:
    trumpet, violin = pages("trumpet, violin", "concert C major, double tongue").parts
    assert trumpet.exercises[0].heading == "D major, a twelfth, double tongue"
    assert violin.exercises[0].heading == "C major, a twelfth, two bows on each note"


def test_a_warm_up_tells_each_family_what_it_can_mind(seated: Callable[..., Section]) -> None:
    section = seated("trumpet, violin, alto voice, vibraphone, harp, snare drum")
    before = warm_up(seats_of(section), NoteName.parse("Bb"), 20, RehearsalPlan(()))
    rehearsal = rehearse(section, RehearsalPlan(("concert B-flat major",)), before)
    reasons = {
        part.player.instrument.name: " ".join(one.reason for one in part.exercises)
        for part in rehearsal.parts
    }
    assert "Light tongue" in reasons.pop("trumpet in B-flat")
    assert len(reasons) == 5  # violin, voice, vibraphone, harp, snare drum
    assert "a breath for each note" in reasons.pop("alto voice")
    assert not [name for name, said in reasons.items() if "tongue" in said or "a breath for each" in said]
    assert "bow" in reasons["violin"]
    assert "Loose wrists" in reasons["snare drum"]
