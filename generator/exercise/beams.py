"""Where a rhythm asks for beams of its own; elsewhere notes are beamed by their metre when the page is engraved."""

from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, cycle

from generator.exercise.records import Note
from generator.exercise.rhythm import Rhythm


def with_beams(notes: tuple[Note, ...], rhythm: Rhythm) -> tuple[Note, ...]:
    """Beams that differ from the metre's own: over each stretch of eighths or shorter.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.duration import Value
    >>> from generator.theory.pitch import Pitch
    >>> rhythm = shared_catalogue().rhythms.find("three three two")
    >>> eighths = tuple(Note(Pitch.parse("G4"), Value(8)) for _ in range(8))
    >>> print(*[note.beam or "-" for note in with_beams(eighths, rhythm)])
    [ - ] [ - ] [ ]
    """
    if not any(rhythm.beams_by_bar):
        return notes
    borders = _borders(rhythm, sum((note.length for note in notes), Fraction(0)))
    found: list[Note] = []
    stretch: list[Note] = []
    place = Fraction(0)

    def flush() -> None:
        if len(stretch) > 1:
            found.extend([replace(stretch[0], beam="["), *stretch[1:-1], replace(stretch[-1], beam="]")])
        else:
            found.extend(stretch)
        stretch.clear()

    for note in notes:
        if place in borders:
            flush()
        if note.pitch is None or note.value.base < 8:
            flush()
            found.append(note)
        else:
            stretch.append(note)
        place += note.length
    flush()
    return tuple(found)


def _borders(rhythm: Rhythm, end: Fraction) -> set[Fraction]:
    """Where beams begin anew, up to the end of a line."""
    found: set[Fraction] = set()
    bar = Fraction(0)
    for metre, beams in cycle(zip(rhythm.metres, rhythm.beams_by_bar, strict=True)):
        if bar >= end:
            return found
        found |= set(accumulate(beams, initial=bar))
        bar += metre.length
    raise AssertionError("metres go round")
