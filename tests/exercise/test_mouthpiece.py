"""Mouthpiece work: the pitches that are published, bends and sirens, for whom there are such."""

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.theory.pitch import Pitch
from tests.exercise.conftest import MakeOne


def heard(made) -> list[str]:
    sounds = shared_catalogue().instruments.find(made.instrument).sounds
    return [sounds.above(pitch).name for pitch in made.pitches]


# Source: B. Utley, as printed by a studio website and in "Buzzing the saxophone mouthpiece" (c3, a2, g2, d2 where
# c1 is middle C): soprano C6, alto A5, tenor G5, baritone D5 at concert pitch.
@pytest.mark.parametrize(
    ("instrument", "pitch"),
    [
        ("soprano saxophone", "C6"),
        ("alto saxophone", "A5"),
        ("tenor saxophone", "G5"),
        ("baritone saxophone", "D5"),
    ],
)
def test_a_saxophone_mouthpiece_sounds_what_teachers_say(make: MakeOne, instrument: str, pitch: str) -> None:
    made = make("mouthpiece alone", instrument=instrument)
    assert heard(made)[0] == heard(made)[-1] == pitch
    depths = {Pitch.parse(pitch).height - Pitch.parse(name).height for name in heard(made)}
    # Half a step, a whole one, a minor third and a fourth down, within the octave that bends reach (Utley).
    assert depths == {0, 1, 2, 3, 5}
    assert made.bars[0].notes[0].text == f"concert {pitch[:-1]}"


def test_a_clarinet_mouthpiece_and_barrel_sound_f_sharp(make: MakeOne) -> None:
    # Source: Texas Bandmasters Association, Bandmasters Review, September 2019: F-sharp or a flat G.
    made = make("mouthpiece and barrel", instrument="clarinet")
    assert heard(made)[0] == "F#5"
    assert set(heard(made)) == {"F#5", "F5"}


@pytest.mark.parametrize("level", ["first notes", "standard", "extended"])
def test_brass_buzz_easy_notes_of_their_own_in_sirens_that_grow(make: MakeOne, level: str) -> None:
    # Source: Humboldt State University trumpet studio: a note in the middle or lower range, small sirens, bigger ones.
    for row in shared_catalogue().instruments.rows:
        if row.wind != "brass":
            continue
        compass = player_named(row.name, level).compass
        made = make("buzzing", instrument=row.name, level=level)
        assert all(compass.holds(pitch) for pitch in made.pitches), row.name
        assert made.pitches[0].height <= compass.low.height + 0.6 * (compass.high.height - compass.low.height)
        far = [abs(pitch.height - made.pitches[0].height) for pitch in made.pitches]
        assert [step for step in far if step] == [2, 4, 7, 5]
        fundamental = shared_catalogue().tubes[row.name].fundamental.height
        assert (made.pitches[0].height - fundamental) in {12, 19, 24, 31}  # partials 2, 3, 4, 6


def test_each_group_is_one_breath_and_one_slur_and_bars_are_full(make: MakeOne) -> None:
    made = make("buzzing", instrument="trombone")
    notes = [note for bar in made.bars for note in bar.notes]
    assert sum("breath" in note.marks for note in notes) == 5
    assert [note.slur for note in notes[3:6]] == ["start", "inside", "stop"]
    assert all(bar.filled == bar.metre.length for bar in made.bars)
    assert made.notes == ("On the mouthpiece alone; slide from note to note, as a siren does",)


@pytest.mark.parametrize(
    ("phrase", "instrument", "whom"),
    [
        ("mouthpiece alone", "bass saxophone", "soprano saxophone, alto saxophone"),
        ("mouthpiece alone", "clarinet", "soprano saxophone"),
        ("mouthpiece and barrel", "bass clarinet", "for clarinet in B-flat"),
        ("buzzing", "flute", "for brass"),
    ],
)
def test_whoever_has_none_is_told_who_has(make: MakeOne, phrase: str, instrument: str, whom: str) -> None:
    with pytest.raises(DoesNotFitError, match=whom):
        make(phrase, instrument=instrument)
