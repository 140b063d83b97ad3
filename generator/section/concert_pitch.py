"""What a chair plays, at concert pitch: for a score of what is heard."""

from dataclasses import replace

from generator.exercise.build import Player
from generator.exercise.clef import in_one_clef, ledger_lines
from generator.exercise.instrument import Compass, Instrument
from generator.exercise.records import Exercise
from generator.theory.interval import UNISON


def at_concert_pitch(player: Player) -> Player:
    """The same player reading what is heard."""
    instrument, compass = player.instrument, player.compass
    limits = Compass(
        instrument.sounds.above(compass.low), instrument.sounds.above(compass.high), compass.source
    )
    return Player(replace(instrument, sounds=UNISON, clefs=("treble",), ottava=False), player.level, limits)


def in_clef(exercise: Exercise, instrument: Instrument) -> Exercise:
    """The exercise in the instrument's own clef, treble or bass, whichever spares most ledger lines."""
    if exercise.left is not None:
        return exercise
    return in_one_clef(exercise, _clef(exercise, instrument))


def _clef(exercise: Exercise, instrument: Instrument) -> str:
    clefs = dict.fromkeys((instrument.clefs[0], "treble", "bass"))
    return min(clefs, key=lambda clef: sum(ledger_lines(p, clef) for p in exercise.pitches))
