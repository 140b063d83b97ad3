"""A player by names: instrument, level, own limits."""

from generator.catalogue.rows import LEVELS
from generator.catalogue.spelled import instrument_named
from generator.errors import RequestError, shown
from generator.exercise.build import Player
from generator.exercise.instrument import Compass
from generator.theory.pitch import Pitch

OWN_RANGE = "own range"


def level_named(level: str) -> str:
    """A level by name, however it is written.

    Raises:
        RequestError: no such level.
    """
    name = " ".join(level.replace("_", " ").replace("-", " ").casefold().split())
    if name not in LEVELS:
        raise RequestError(f"unknown level {shown(level)}; the levels are {', '.join(LEVELS)}")
    return name


def player_named(
    instrument: str, level: str = "standard", low: str | None = None, high: str | None = None
) -> Player:
    """A player by names.

    Args:
        instrument: name or alias.
        level: "first notes", "standard" or "extended".
        low: own lowest written note, like ``B3``; it wins over the level.
        high: own highest written note.

    Raises:
        UnknownNameError: no such instrument.
        RequestError: no such level or note, or nothing between low and high.
    """
    found = instrument_named(instrument)
    name = level_named(level)
    compass = found.level(name)
    if not (low or high):
        return Player(found, name, compass)
    if found.unpitched:
        raise RequestError(f"the {found.name} reads rhythm on one line and has no lowest or highest note")
    own = Compass(
        Pitch.parse(low) if low else compass.low,
        Pitch.parse(high) if high else compass.high,
        "the player's own",
        compass.drums,
    )
    lowest, highest = found.level("extended").low.octaves_up(-1), found.level("extended").high.octaves_up(1)
    if own.low.height < lowest.height or own.high.height > highest.height:
        raise RequestError(
            f"{own.words} goes more than an octave beyond the {found.name} ({found.level('extended').words} extended)"
        )
    return Player(found, OWN_RANGE, own)
