"""Where hairpins stand: a crescendo or diminuendo over each half of a line.

Swells on every single note (long tones) belong to the articulation; see articulation.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.exercise.articulate import Sung
from generator.exercise.articulation import Articulation
from generator.exercise.records import Note


def with_hairpins(
    worn: list[tuple[Note, ...]], sung: Sequence[Sung], up: Articulation, down: Articulation
) -> list[tuple[Note, ...]]:
    """A hairpin over each half; at the note that two halves share one ends and the next begins.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.duration import Value
    >>> from generator.theory.pitch import Pitch
    >>> line = [(Note(Pitch.parse(name), Value(4)),) for name in "C4 D4 E4 F4 G4 F4 E4 D4 C4".split()]
    >>> sung = [Sung(pieces, "up" if place < 4 else "down") for place, pieces in enumerate(line)]
    >>> row = shared_catalogue().articulations.find("crescendo up, diminuendo down")
    >>> marked = with_hairpins(line, sung, row, row)
    >>> [(note.pitch.name, *note.dynamic) for (note,) in marked if note.dynamic]
    [('C4', 'p', '<'), ('G4', 'f', '>'), ('C4', 'p')]
    """
    swells = {"up": (up.swell or ("", ""))[0], "down": (down.swell or ("", ""))[-1]}
    changes = [i for i in range(1, len(sung)) if sung[i].half != sung[i - 1].half]
    # The shared note stands on either side of where the line changes its way.
    halves = [(0, sung[0].half), *((i - (sung[i - 1].turn and i > 1), sung[i].half) for i in changes)]
    found = list(worn)

    def put(index: int, *signs: str) -> None:
        pieces = found[index]
        first = next(k for k, n in enumerate(pieces) if n.pitch is not None)
        note = replace(pieces[first], dynamic=(*pieces[first].dynamic, *(s for s in signs if s)))
        found[index] = (*pieces[:first], note, *pieces[first + 1 :])

    loud = {"<": ("p", "f"), ">": ("f", "p")}
    for number, (index, half) in enumerate(halves):
        sign = swells[half]
        end = halves[number + 1][0] if number + 1 < len(halves) else len(sung) - 1
        if not sign or end - index < 3:  # too short for a hairpin to be seen
            continue
        put(index, loud[sign][0] if number == 0 else "", sign)
        put(end, loud[sign][1])
    return found
