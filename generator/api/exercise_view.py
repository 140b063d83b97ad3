"""An exercise told as plain data, for a page that shows it, clicks to it and lets it be heard.

Lengths are fractions of a whole note as numbers; tempi count the exercise's own beat.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

from generator.catalogue.tables import shared_catalogue
from generator.engraving.render import signs
from generator.exchange.clicks import beats
from generator.exchange.drone import drone
from generator.exchange.performance import quarters
from generator.exchange.sounding import tones
from generator.exercise.build import Player
from generator.exercise.caution import asks_for
from generator.exercise.records import Exercise
from generator.exercise.tempo import usual_bpm
from generator.pages.cautions import caution

_NUMBER = re.compile(r"^\d+\. ")
View = dict[str, Any]
"""Data as JSON has it."""


def exercise_view(exercise: Exercise, player: Player, a4: int, *pages: Sequence[str]) -> View:
    """Everything a page needs of one exercise; the fields are told in `generator.stand`.

    Args:
        exercise: in written pitch.
        player: for whom.
        a4: the A above middle C, in Hz.
        pages: its pictures, then those of each piece of music that follows under its number.
    """
    own, *others = pages or ((),)
    others += [()] * (len(exercise.follows) - len(others))
    whole = replace(exercise, bars=exercise.bars * exercise.repeats)
    tempo = exercise.tempo
    speeds = quarters(exercise) * exercise.repeats
    sounds = player.instrument.sounds
    warned = caution([exercise], player, shared_catalogue().cautions.rows)
    return {
        "heading": signs(exercise.heading),
        "concert": signs(exercise.concert_heading),
        "phrase": exercise.phrase,
        "tempo": {
            "unit": str((tempo.unit if tempo else exercise.beat).length),
            "bpm": tempo.bpm if tempo else usual_bpm(exercise.beat),
        },
        "tempi": list(exercise.tempi),
        "asked": tempo is not None,
        "metre": exercise.bars[0].metre.name,
        "beats_per_bar": len(beats(exercise.bars[0].metre, exercise.beat)),
        "bars": [_clicks(whole, number) for number in range(len(whole.bars))],
        "speeds": [_number(speed / speeds[0]) for speed in speeds],
        "swing": exercise.feel.casefold() == "swing",
        "feel": exercise.feel,
        "concert_tonic_midi": None if player.instrument.unpitched else _tonic(exercise, player),
        "a4": a4,
        "notes": [] if player.instrument.unpitched else [
            {
                "midi": tone.height,
                "start": _number(tone.start),
                "length": _number(tone.length),
                "loud": tone.loudness,
            }
            for tone in tones(whole, sounds)
        ],
        "length": _number(sum((bar.metre.length for bar in whole.bars), Fraction(0))),
        "high": "high" in asks_for(exercise, player),
        "cautions": [warned] if warned else [],
        "told": [signs(line) for line in exercise.notes],
        "why": signs(exercise.reason),
        # A row's own number counts on a page of several.
        "beneath": [[_NUMBER.sub("", signs(words)), signs(line)] for words, line in exercise.beneath],
        "pictures": list(own),
        "more": [
            exercise_view(one, player, a4, drawn)
            for one, drawn in zip(exercise.follows, others, strict=True)
        ],
    }  # fmt: skip


def _clicks(exercise: Exercise, number: int) -> list[float]:
    """From click to click in a bar."""
    metre = exercise.bars[number].metre
    places = [*beats(metre, exercise.beat), metre.length]
    return [_number(later - place) for place, later in pairwise(places)]


def _tonic(exercise: Exercise, player: Player) -> int | None:
    if not exercise.key:
        return None
    pipes = drone(exercise, player.instrument.sounds, "tonic")
    return pipes[0].height if pipes else None


def _number(fraction: Fraction) -> float:
    return round(float(fraction), 7)
