"""Which notes a printed tuplet embraces, where a source does not say it or a cell cuts one short."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from generator.passage.records import ReadNote


def bracketed(notes: Sequence[ReadNote]) -> tuple[ReadNote, ...]:
    """The notes of a bar, each run of tuplet notes with a first and a last one.

    What a source says is kept. Else a tuplet ends where its notes fill the time of its own unit, and come to a length
    that needs no tuplet.

    >>> from generator.theory.duration import Tuplet, Value
    >>> from generator.theory.pitch import Pitch
    >>> triplet = ReadNote(Pitch.parse("C5"), Value(8, 0, Tuplet(3, 2)))
    >>> [(note.starts, note.stops) for note in bracketed([triplet] * 6)][:4]
    [(True, False), (False, False), (False, True), (True, False)]
    """
    found: list[ReadNote] = []
    begun: int | None = None
    for place, note in enumerate(notes):
        tuplet = note.value.tuplet
        before = found[-1] if found else None
        if begun is not None and (tuplet is None or (before is not None and before.value.tuplet != tuplet)):
            found[-1] = replace(found[-1], stops=True)
            begun = None
        if tuplet is None:
            found.append(replace(note, starts=False, stops=False) if note.starts or note.stops else note)
            continue
        if begun is not None and note.starts:
            found[-1] = replace(found[-1], stops=True)
            begun = None
        starts = begun is None
        begun = place if begun is None else begun
        run = [*found[begun:], note]
        stops = note.stops or (_is_whole(run) and not _goes_on(notes[place + 1 :], note))
        found.append(replace(note, starts=starts, stops=stops))
        if stops:
            begun = None
    if begun is not None:
        found[-1] = replace(found[-1], stops=True)
    return tuple(found)


def _goes_on(later: Sequence[ReadNote], note: ReadNote) -> bool:
    """Whether the source itself says that the tuplet ends later."""
    for one in later:
        if one.value.tuplet != note.value.tuplet or one.starts:
            return False
        if one.stops:
            return True
    return False


def _is_whole(run: Sequence[ReadNote]) -> bool:
    tuplet = run[0].value.tuplet
    assert tuplet is not None  # noqa: S101  # for the type checker: only tuplet notes come here
    filled = sum((note.value.length for note in run), Fraction(0))
    least = Fraction(tuplet.normal, max(note.value.base for note in run))
    return filled >= least and filled.denominator & (filled.denominator - 1) == 0
