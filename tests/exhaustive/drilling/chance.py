"""Random passages with ties, tuplets, rests, pickups and changing metres: what holds for every drill holds for them."""

import re
from collections import Counter
from random import Random

from generator.exercise.instrument import Compass
from generator.theory.pitch import Pitch
from tests.passage.passages import random_passage
from tests.passage.properties import WIDE, faults_of

Row = tuple[str, str, str, bool]
# Written notes of an alto saxophone, a clarinet, and a euphonium in bass clef; half of the passages have room.
_COMPASSES = (("Bb3", "F#6"), ("E3", "G6"), ("E2", "Bb4"))


def random(most: int) -> Row:
    """Every property of `tests.passage.properties` for so many passages."""
    faults: Counter[str] = Counter()
    for seed in range(most):
        chance = Random(seed)
        passage = random_passage(chance)
        low, high = chance.choice(_COMPASSES)
        narrow = Compass(Pitch.parse(low), Pitch.parse(high))
        for fault in faults_of(passage, narrow if chance.random() < 0.5 else WIDE):
            faults[re.sub(r"\d+", "#", fault)] += 1
            print(f"    seed {seed}: {fault}")
    told = f"{faults.total()} faults of {len(faults)} kinds" if faults else "0 faults"
    return (
        f"{most} random passages",
        "nothing lost, bars full, keys by interval and in range",
        told,
        not faults,
    )
