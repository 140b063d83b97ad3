"""Where breath marks stand: how long a player is asked to play on one breath, and at which barlines to take the next.

Articulations that close every note with a breath (long tones) set their marks themselves, see articulation; a
partial's slurs end in one, see partials.
"""

from fractions import Fraction
from itertools import accumulate, cycle

from generator.exercise.records import Note
from generator.exercise.rhythm import Rhythm

# How an instrument is sounded when its player needs air.
BREATHING = frozenset({"flute", "reed", "brass", "voice"})


def breath_length(quarters_a_minute: Fraction | None) -> Fraction:
    """How long a player may be asked to play without a breath, as a fraction of a whole note.

    About fourteen seconds at the tempo asked for (72 when none is), between two and eight bars of 4/4 (common
    practice, no source for the figure).

    >>> print(breath_length(Fraction(60)))  # fourteen quarters
    7/2
    >>> print(breath_length(None))  # as at quarter = 72
    21/5
    """
    quarters = Fraction(quarters_a_minute or 72) * 14 / 60
    return min(max(quarters, Fraction(8)), Fraction(32)) / 4


def with_breaths(worn: list[tuple[Note, ...]], rhythm: Rhythm, longest: Fraction) -> list[tuple[Note, ...]]:
    """Breath marks at barlines of a line that is too long for one breath, never inside a slur.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.duration import Value
    >>> from generator.theory.pitch import Pitch
    >>> line = [(Note(Pitch.parse("G4"), Value(1)),)] * 9
    >>> marked = with_breaths(line, shared_catalogue().rhythms.find("whole notes"), Fraction(4))
    >>> [bar for bar, (note,) in enumerate(marked, 1) if "breath" in note.marks]
    [4, 8]
    """
    ends = list(accumulate(sum(rhythm.parts(n.value) for n in pieces) for pieces in worn))
    most = int(longest * rhythm.grain)
    if 5 * ends[-1] <= 8 * most:
        return worn
    found = list(worn)
    barlines = _barlines(rhythm, ends[-1])
    since, place = 0, None
    for index, end in enumerate(ends[:-1]):
        last = worn[index][-1]
        if end in barlines and last.slur in (None, "stop") and last.pitch is not None:
            place = index
        if place is not None and ends[index + 1] - since > most:
            found[place] = (*found[place][:-1], found[place][-1].marked("breath"))
            since, place = ends[place], None
    return found


def _barlines(rhythm: Rhythm, end: int) -> set[int]:
    """Barlines up to a place, in parts of the rhythm's grain."""
    found: set[int] = set()
    bars = (int(metre.length * rhythm.grain) for metre in cycle(rhythm.metres))
    place = 0
    while place < end:
        place += next(bars)
        found.add(place)
    return found
