"""Routines over the partials or on the mouthpiece, and the harmonic series they run through, as data."""

from dataclasses import dataclass

from generator.exercise.rhythm import Rhythm
from generator.theory.interval import Interval
from generator.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Routine:
    """A row of shared/partials.toml: a pattern over the partials, or moves on the mouthpiece.

    Attributes:
        name: what a phrase calls it.
        pattern: places in the row of usable partials, from the lowest that is used.
        rhythm: the rhythm it is printed in.
        winds: how the instrument must be sounded; empty for any.
        families: instrument families it is for; empty for any.
        moves: on the mouthpiece alone: intervals from its own pitch, a group between two breaths.
        how: how it is done.
        narrower: the pattern over fewer partials, from wide to narrow.
        sounding: sounding pitch by instrument; brass take theirs from the harmonic series.
    """

    name: str
    pattern: tuple[int, ...]
    rhythm: Rhythm
    winds: tuple[str, ...] = ()
    families: tuple[str, ...] = ()
    moves: tuple[tuple[Interval, ...], ...] = ()
    how: str = ""
    sounding: tuple[tuple[str, Pitch], ...] = ()
    narrower: tuple[tuple[int, ...], ...] = ()
    aliases: tuple[str, ...] = ()
    catalogue: int = 0
    listed: str = ""

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)


@dataclass(frozen=True, slots=True)
class Tube:
    """An instrument's harmonic series.

    Attributes:
        fundamental: written fundamental of the open tube.
        steps: fingering or position, and the half steps it moves the fundamental.
    """

    fundamental: Pitch
    steps: tuple[tuple[str, int], ...]
