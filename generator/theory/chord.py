"""Chords as a symbol names them: a root and a kind."""

from collections.abc import Mapping
from dataclasses import dataclass

from generator.theory.interval import Interval
from generator.theory.pitch import NoteName

# Notes above the root, and how the kind is written after it (common practice, no source).
_KINDS: Mapping[str, tuple[str, str]] = {
    "major": ("M3 P5", ""),
    "minor": ("m3 P5", "m"),
    "diminished": ("m3 d5", "dim"),
    "augmented": ("M3 A5", "aug"),
    "dominant seventh": ("M3 P5 m7", "7"),
    "major seventh": ("M3 P5 M7", "maj7"),
    "minor seventh": ("m3 P5 m7", "m7"),
    "minor major seventh": ("m3 P5 M7", "m(maj7)"),
    "half-diminished seventh": ("m3 d5 m7", "m7(b5)"),
    "diminished seventh": ("m3 d5 d7", "dim7"),
    "suspended fourth": ("P4 P5", "sus4"),
}
KINDS = tuple(_KINDS)


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord.

    Attributes:
        root: its root.
        kind: one of `KINDS`.
    """

    root: NoteName
    kind: str

    @property
    def symbol(self) -> str:
        """As it is written over a line.

        >>> Chord(NoteName.parse("Bb"), "minor seventh").symbol, Chord(NoteName.parse("F#"), "major").symbol
        ('Bbm7', 'F#')
        """
        return f"{self.root.name}{_KINDS[self.kind][1]}"

    @property
    def notes(self) -> tuple[NoteName, ...]:
        """Its notes from the root up.

        >>> print(*Chord(NoteName.parse("E"), "dominant seventh").notes)
        E G# B D
        """
        above = _KINDS[self.kind][0].split()
        return (self.root, *(Interval.parse(one).above_name(self.root) for one in above))


def kind_of(intervals: frozenset[int]) -> str | None:
    """The kind that has a set of intervals above its root, in semitones within the octave; None for no such kind.

    >>> kind_of(frozenset({3, 7})), kind_of(frozenset({2}))
    ('minor', None)
    """
    for kind, (above, _) in _KINDS.items():
        if {Interval.parse(one).semitones for one in above.split()} == intervals:
            return kind
    return None
