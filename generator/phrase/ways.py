"""What a player's plan settles about phrases: which minor a bare "minor" is, and figures under names of their own."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from generator.exercise.figure import Figure
from generator.exercise.rhythm import Rhythm
from generator.exercise.span import Span

MINORS = ("natural", "harmonic", "melodic")
Words = Literal["now", "logged", "before"]
"""Whose words a phrase is in: today's; those of a log, which may hold older ones; those of a plan or list of before.

What changed is the dominant seventh. "G dominant seventh" and "dominant seventh on G" name the root today, "of G" and
"in G" the key. Before, all of them named the key, and so did logs, which wrote "G dominant seventh"; today they hold
"dominant seventh of G" and "dominant seventh on G", which nobody wrote before, so that both can be told apart.
"""
PHRASES = 2
"""What a plan or list says in its field ``phrases`` when it is written in today's words; without it they are older."""


@dataclass(frozen=True, slots=True)
class Ways:
    """How one player's phrases are read.

    Attributes:
        minor: which minor is meant where a phrase says only "minor", one of `MINORS`.
        figures: figures of the player's own by name.
        words: whose words it is in.
        span: taken where a phrase names none and its figure has none; None for the full range.
        rhythms: likewise, the first that suits the articulation; none for the figure's own.
        tempo: likewise, in the beat of the metre; 0 for none.
        slow_tempo: the same for what has a rhythm of its own, such as long tones, chorales and slurs over the partials.
    """

    minor: str = "harmonic"
    figures: Mapping[tuple[str, ...], Figure] = field(default_factory=dict)
    words: Words = "now"
    span: Span | None = None
    rhythms: tuple[Rhythm, ...] = ()
    tempo: int = 0
    slow_tempo: int = 0


def words_of_file(phrases: int) -> Words:
    """Whose words a plan or list is in, by its field ``phrases``.

    >>> words_of_file(1), words_of_file(PHRASES)
    ('before', 'now')
    """
    return "now" if phrases >= PHRASES else "before"


USUAL = Ways()
"""How a phrase is read without a plan."""
LOGGED = Ways(words="logged")
"""How a phrase is read that a log holds."""
