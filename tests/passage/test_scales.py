"""The scales at the foot: every run of our own lines is found again, in a phrase that a sheet prints."""

from random import Random

import pytest

from generator.catalogue.players import player_named
from generator.passage.records import Passage, PassageBar, PassageNote, WrittenValue
from generator.passage.scales import scales_of
from generator.phrase import expand
from generator.theory.duration import Metre, Value

FLUTE = player_named("flute")
PHRASES = (
    "G major", "E-flat major in thirds", "D harmonic minor", "A major arpeggio", "B-flat major in groups of four",
    "F-sharp natural minor", "whole-tone on C", "A-flat major in triads", "C melodic minor", "E major in fourths",
)  # fmt: skip


def cut(phrase: str, start: int, count: int) -> Passage:
    made = expand.exercises([phrase], FLUTE).exercises[0]
    pitches = made.pitches[start : start + count]
    metre = Metre.parse("4/4")
    value = Value(16)
    notes = tuple(PassageNote(p, value.length * n, (WrittenValue(value),)) for n, p in enumerate(pitches))
    bars = tuple(
        PassageBar(str(n + 1), metre, made.signature, metre.length * n, metre.length)
        for n in range(-(-count // 16))
    )
    return Passage(bars, notes)


@pytest.mark.parametrize("seed", range(30))
def test_a_run_of_our_own_is_found_again(seed: int) -> None:
    chance = Random(seed)
    phrase = chance.choice(PHRASES)
    whole = len(expand.exercises([phrase], FLUTE).exercises[0].pitches)
    count = chance.randrange(5, min(13, whole // 2))
    # Where a line turns depends on the instrument's own highest note; so the rising half.
    passage = cut(phrase, chance.randrange(0, whole // 2 - count), count)
    found = scales_of(passage)
    run = [note.pitch.height % 12 for note in passage.attacks if note.pitch]
    assert any(_holds(phrase, run) for phrase in found), (phrase, found)


def _holds(phrase: str, run: list[int]) -> bool:
    """Whether the exercise of a phrase, as a sheet prints it, holds a run in some octave."""
    heights = [pitch.height % 12 for pitch in expand.exercises([phrase], FLUTE).exercises[0].pitches]
    return any(heights[k : k + len(run)] == run for k in range(len(heights)))


def test_what_holds_no_run_names_no_scale() -> None:
    from generator.passage.source import read_line

    assert scales_of(read_line("[K:C][L:1/4] c g _e'").passage) == ()


def test_a_passage_that_is_one_line_may_turn_where_it_likes() -> None:
    from generator.passage.source import read_line

    # By hand: G A C D E G A C and back is the pentatonic scale of C major, whatever note an instrument turns on.
    assert scales_of(read_line("[K:C][M:4/4][L:1/16] GAcd egac' aged cA").passage) == ("C major pentatonic",)
    assert scales_of(read_line("[K:C][M:4/4][L:1/16] cdefga gfed").passage)[0] == "C major"
