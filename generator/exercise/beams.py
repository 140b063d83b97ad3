"""Where a rhythm asks for beams of its own; elsewhere notes are beamed by their metre when the page is engraved."""

from dataclasses import replace
from fractions import Fraction

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
    if not rhythm.beams:
        return notes
    borders = {sum(rhythm.beams[:k], Fraction(0)) for k in range(len(rhythm.beams) + 1)}
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
        if place % rhythm.metre.length in borders:
            flush()
        if note.pitch is None or note.value.base < 8:
            flush()
            found.append(note)
        else:
            stretch.append(note)
        place += note.length
    flush()
    return tuple(found)
