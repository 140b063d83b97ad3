"""Instruments and their levels, as data. Every range is in written pitch."""

from dataclasses import dataclass
from functools import cached_property

from generator.errors import RequestError, shown
from generator.theory.interval import Interval
from generator.theory.pitch import Pitch

UNPITCHED = "unpitched"


@dataclass(frozen=True)
class Compass:
    """The written notes a player may be given.

    Attributes:
        low: lowest written pitch.
        high: highest written pitch.
        source: where the limits come from.
        drums: lowest and highest note of each drum, where that is what it is.
    """

    low: Pitch
    high: Pitch
    source: str = ""
    drums: tuple[tuple[Pitch, Pitch], ...] = ()

    def __post_init__(self) -> None:
        if self.low.height > self.high.height:
            raise RequestError(f"the lowest note {self.low.words} lies above the highest {self.high.words}")

    def holds(self, pitch: Pitch) -> bool:
        """Whether a written pitch lies inside, compared by height and not by letter.

        >>> compass = Compass(Pitch.parse("Bb3"), Pitch.parse("F6"))
        >>> compass.holds(Pitch.parse("E#6")), compass.holds(Pitch.parse("F#6"))
        (True, False)
        """
        return self.low.height <= pitch.height <= self.high.height

    @property
    def words(self) -> str:
        """``B-flat 3 to F 6``."""
        return f"{self.low.words} to {self.high.words}"


@dataclass(frozen=True)
class Instrument:
    """One written instrument.

    Attributes:
        name: catalogue name, lower case.
        label: name at the top of a page.
        short: name at a staff of a score.
        family: group in a score.
        wind: how it is sounded: flute, reed, brass, string, plucked, mallet, voice, keyboard, or unpitched.
        order: place in a score, from the top.
        sounds: interval from written to sounding pitch.
        clefs: usual clef first.
        ottava: whether a line an octave lower with 8va is customary for high passages.
        levels: written compass by level name.
        both_hands: the left hand plays the line an octave lower on a staff of its own.
        over_the_break: the written notes on both sides of the break between its registers, where it has one.
    """

    name: str
    label: str
    short: str
    family: str
    wind: str
    order: int
    sounds: Interval
    clefs: tuple[str, ...]
    ottava: bool
    levels: tuple[tuple[str, Compass], ...]
    aliases: tuple[str, ...] = ()
    note: str = ""
    over_the_break: Compass | None = None
    both_hands: bool = False

    @cached_property
    def transposes(self) -> bool:
        """Whether written and concert keys have different names."""
        return self.sounds.semitones % 12 != 0

    @property
    def unpitched(self) -> bool:
        """Whether it has no definite pitch, and a part of rhythm alone."""
        return self.wind == UNPITCHED

    def level(self, name: str) -> Compass:
        """The compass of a level.

        Raises:
            RequestError: no such level.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> shared_catalogue().instruments.find("flute").level("standard").words
        'C 4 to C 7'
        """
        for level, compass in self.levels:
            if level == name:
                return compass
        raise RequestError(
            f"{self.name} has no level {shown(name)}; it has {', '.join(n for n, _ in self.levels)}"
        )
