"""A seeded sample of the exhaustive walk over rhythms, articulations, figures and spans."""

from generator.catalogue.players import player_named
from tests.exhaustive.dressing import sample, walk


def test_dressed_exercises_are_whole() -> None:
    built, refused, faults = walk(sample(120, seed=11), [player_named("flute"), player_named("tuba")])
    assert faults == []
    assert built > 100
    # Refusals say what is needed, or that the form or the compass lacks the notes, or whose articulation it is.
    reasons = ("need", "try", "has no note", "fit", "lie", "ask for")
    assert all(any(reason in r for reason in reasons) for r in refused)
