"""What a player's plan settles about phrases."""

import pytest

from generator.catalogue.players import player_named
from generator.phrase import expand
from generator.phrase.ways import MINORS, USUAL, Ways


@pytest.mark.parametrize("minor", MINORS)
def test_a_bare_minor_is_the_one_that_the_plan_means(minor):
    player = player_named("clarinet")
    for phrase in ("C minor", "d minor in thirds"):
        (meant,) = expand.exercises([phrase], player, ways=Ways(minor=minor)).exercises
        (said,) = expand.exercises([phrase.replace("minor", f"{minor} minor")], player).exercises
        assert (meant.phrase, meant.pitches) == (said.phrase, said.pitches)


def test_without_a_plan_it_is_the_harmonic_minor():
    assert USUAL.minor == "harmonic"
