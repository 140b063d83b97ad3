"""A drone to tune to: the concert tonic, with its fifth and third if asked for.

Just intervals and their distance from equal temperament: fifth 3:2 (+2 cents), major third 5:4 (-14), minor
third 6:5 (+16); computed from the ratios. A fifth or third that the exercise itself does not play is left
out, so that a whole-tone scale is not played against a perfect fifth.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import log2

from generator.exchange.playback import Drone
from generator.exercise.records import Exercise
from generator.theory.interval import Interval
from generator.theory.pitch import NoteName

VOICES = ("tonic", "fifth", "third")
# Half steps above the tonic, and the pure ratio.
_FIFTH = (7, Fraction(3, 2))
_THIRDS = {4: Fraction(5, 4), 3: Fraction(6, 5)}
# The tonic lies here: below or low in what the player plays, where small loudspeakers still carry it.
_LOWEST, _HIGHEST = 41, 63


@dataclass(frozen=True, slots=True)
class Pipe:
    """One voice of a drone.

    Attributes:
        voice: tonic, fifth or third.
        height: sounding pitch in half steps, C4 = 60.
        cents: how far above the equal-tempered pitch, the A being what it is.
    """

    voice: str
    height: int
    cents: float


def drone(exercise: Exercise, sounds: Interval, wanted: Drone) -> tuple[Pipe, ...]:
    """The voices of a drone under an exercise.

    Args:
        exercise: the exercise, in written pitch.
        sounds: interval from written to sounding pitch.
        wanted: which voices.
    """
    if wanted == "none" or not exercise.pitches:
        return ()
    tonic = sounds.above_name(NoteName.parse(exercise.key)).pitch_class
    played = [sounds.above(p).height for p in exercise.pitches]
    height = _octave(tonic, min(played))
    above = {(h - tonic) % 12 for h in played}
    pipes = [Pipe("tonic", height, 0.0)]
    equal = wanted == "equal third"
    if wanted != "tonic" and _FIFTH[0] in above:
        pipes.append(_pipe("fifth", height, *_FIFTH, equal=equal))
    thirds = [third for third in _THIRDS if third in above]
    if wanted in ("third", "equal third") and len(thirds) == 1:
        pipes.append(_pipe("third", height, thirds[0], _THIRDS[thirds[0]], equal=equal))
    return tuple(pipes)


def tuning(voice: str, wanted: Drone) -> str:
    """How a voice is tuned, for a label: ``third, just (5:4 or 6:5)``."""
    if voice == "tonic":
        return voice
    if wanted == "equal third":
        return f"{voice}, equal-tempered"
    return f"{voice}, just ({'3:2' if voice == 'fifth' else '5:4 or 6:5'})"


def _pipe(voice: str, tonic: int, steps: int, ratio: Fraction, *, equal: bool) -> Pipe:
    cents = 0.0 if equal else 1200 * log2(ratio) - 100 * steps
    return Pipe(voice, tonic + steps, cents)


def _octave(tonic: int, lowest: int) -> int:
    """The tonic at or below the lowest note played, moved by octaves into the drone's own range."""
    height = lowest - (lowest - tonic) % 12
    while height < _LOWEST:
        height += 12
    while height > _HIGHEST:
        height -= 12
    return height
