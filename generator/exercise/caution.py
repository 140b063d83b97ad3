"""When work can hurt: rows of data, and what an exercise asks of the player's own notes."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

from generator.exercise.build import Player
from generator.exercise.instrument import Compass
from generator.exercise.records import Exercise
from generator.exercise.tempo import in_quarters

When = Literal[
    "high", "low", "loud", "long", "fast", "partials", "overtones", "mouthpiece", "drone", "always"
]
WHENS: tuple[When, ...] = get_args(When)
_FAST = 9.0  # notes a second: sixteenths at quarter = 135
# From where on the player's own notes are high and low, as parts of their compass; our own convention.
_TOP, _BOTTOM = Fraction(2, 3), Fraction(1, 4)
_MOSTLY = Fraction(1, 2)
_OCTAVE = 12
_LOUD = frozenset({"f", "ff", "fff", "sf", "sfz"})
_ACCENTS = frozenset({"accent", "marcato"})


@dataclass(frozen=True, slots=True)
class Caution:
    """A row of shared/cautions.toml.

    Attributes:
        name: of the row.
        when: what an exercise must ask for.
        work: what the page calls that.
        advice: what to do about it.
        winds: how the instrument must be sounded; empty for any.
        instruments: by name; empty for any.
        stop: when to stop.
    """

    name: str
    when: When
    work: str
    advice: str
    winds: tuple[str, ...] = ()
    instruments: tuple[str, ...] = ()
    stop: str = ""
    aliases: tuple[str, ...] = ()

    def concerns(self, player: Player) -> bool:
        """Whether it is for the player's instrument.

        >>> from generator.catalogue.players import player_named
        >>> Caution("", "high", "high work", "rest", winds=("brass",)).concerns(player_named("flute"))
        False
        """
        instrument = player.instrument
        return (not self.winds or instrument.wind in self.winds) and (
            not self.instruments or instrument.name in self.instruments
        )


def asks_for(exercise: Exercise, player: Player) -> frozenset[When]:
    """Everything in an exercise that can hurt.

    Args:
        exercise: in written pitch.
        player: for whom; whose own notes count.

    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase import expand
    >>> alto = player_named("alto saxophone", high="D5")
    >>> def asked(phrase: str) -> list[str]:
    ...     return sorted(asks_for(expand.exercises([phrase], alto).exercises[0], alto))
    >>> asked("G major"), asked("G major, a fifth, from the top octave")
    (['always'], ['always', 'high'])
    >>> asked("long tones on G"), asked("G major, accented, quarter = 160")
    (['always', 'drone', 'long', 'loud'], ['always', 'fast', 'loud'])
    """
    tests: dict[When, Callable[[], bool]] = {
        "high": lambda: _is_high(exercise, player),
        "low": lambda: _is_low(exercise, player),
        "loud": lambda: _is_loud(exercise),
        "long": lambda: exercise.long and exercise.figure != "mouthpiece",
        "fast": lambda: _notes_a_second(exercise) > _FAST,
        "partials": lambda: exercise.figure == "partials" and player.instrument.wind == "brass",
        "overtones": lambda: exercise.figure == "partials" and player.instrument.wind == "reed",
        "mouthpiece": lambda: exercise.figure == "mouthpiece",
        "drone": lambda: bool(exercise.drone),
        "always": lambda: True,
    }
    return frozenset(when for when, holds in tests.items() if holds())


def _is_high(exercise: Exercise, player: Player) -> bool:
    standard, own = player.instrument.level("standard"), player.compass
    line = own.low.height + _TOP * (own.high.height - own.low.height)
    fingered = exercise.figure != "mouthpiece"
    beyond = fingered and any(pitch.height > standard.high.height for pitch in exercise.pitches)
    return beyond or (fingered and _wide(own) and _share(exercise, lambda height: height > line) >= _MOSTLY)


def _is_low(exercise: Exercise, player: Player) -> bool:
    standard, own = player.instrument.level("standard"), player.compass
    line = own.low.height + _BOTTOM * (own.high.height - own.low.height)
    beyond = any(pitch.height < standard.low.height for pitch in exercise.pitches)
    return beyond or (_wide(own) and _share(exercise, lambda height: height < line) >= _MOSTLY)


def _wide(own: Compass) -> bool:
    """Whether there is a top and a bottom to speak of."""
    return own.high.height - own.low.height >= _OCTAVE


def _share(exercise: Exercise, there: Callable[[int], bool]) -> Fraction:
    """The share of the notes that lie on some heights."""
    heights = [pitch.height for pitch in exercise.pitches]
    return Fraction(sum(map(there, heights)), max(1, len(heights)))


def _is_loud(exercise: Exercise) -> bool:
    notes = [note for bar in exercise.bars for note in bar.notes if note.pitch is not None]
    if any(_LOUD.intersection(note.dynamic + note.dynamic_end) for note in notes):
        return True
    return 2 * sum(bool(_ACCENTS.intersection(note.marks)) for note in notes) >= max(1, len(notes))


def _notes_a_second(exercise: Exercise) -> float:
    if exercise.tempo is None:
        return 0.0
    fastest = max((exercise.tempo.bpm, *exercise.tempi))
    shortest = min((n.length for b in exercise.bars for n in b.notes), default=Fraction(1))
    quarters = in_quarters(exercise.tempo) * fastest / exercise.tempo.bpm
    return float(quarters / 60 / (shortest * 4))
