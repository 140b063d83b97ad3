"""What a player's plan settles about phrases: which minor a bare "minor" is, and figures under names of their own."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.exercise.figure import Figure

MINORS = ("natural", "harmonic", "melodic")


@dataclass(frozen=True, slots=True)
class Ways:
    """How one player's phrases are read.

    Attributes:
        minor: which minor is meant where a phrase says only "minor", one of `MINORS`.
        figures: figures of the player's own by name.
    """

    minor: str = "harmonic"
    figures: Mapping[tuple[str, ...], Figure] = field(default_factory=dict)


USUAL = Ways()
"""How a phrase is read without a plan."""
