"""Help for the hand at the notes of an exercise: valves and positions, strings, fingers of a keyboard, little fingers.

What a chart does not reach is left bare: nobody is helped by a guess. A player's own hints win over every chart.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.exercise.finger_charts import FingerChart
from generator.exercise.records import Exercise, Note
from generator.theory.pitch import NoteName, Pitch


@dataclass(frozen=True, slots=True)
class Hint:
    """What a player wants to read at a note.

    Attributes:
        note: which, in written pitch.
        octave: where, or None for every octave.
        words: what is printed.
        instruments: by name; empty for any.
        key: written tonic in whose scales alone it is printed, or "".
    """

    note: NoteName
    octave: int | None
    words: str
    instruments: tuple[str, ...] = ()
    key: str = ""

    def meets(self, pitch: Pitch, exercise: Exercise) -> bool:
        """Whether it is for a note of an exercise.

        >>> from generator import exercises, player
        >>> (scale,) = exercises("C major", player=player("clarinet"))
        >>> hint = Hint(NoteName.parse("B"), 4, "2P", ("clarinet in B-flat",), "C")
        >>> [hint.meets(Pitch.parse(name), scale) for name in ("B4", "B5")]
        [True, False]
        """
        return (
            pitch.note == self.note
            and self.octave in (None, pitch.octave)
            and self.key in ("", exercise.key)
            and (not self.instruments or exercise.instrument in self.instruments)
        )


def with_fingers(
    exercise: Exercise, chart: FingerChart | None, hints: Sequence[Hint] = (), *, digits: str = ""
) -> Exercise:
    """The exercise with help at its notes.

    Args:
        exercise: as it is, one staff of it.
        chart: of its instrument, or None.
        hints: the player's own, which win.
        digits: where fingers of a keyboard stand, "above" or "below"; "" for a line under the staff.

    >>> from generator import exercises, player
    >>> scale = exercises("C major, a fifth, quarters", player=player("trumpet"))[0]
    >>> from generator.exercise.finger_charts import Bore, BrassChart
    >>> bore = Bore(((2, 60), (3, 67)), (("0", 0), ("2", 1), ("1", 2), ("1-2", 3), ("2-3", 4), ("1-3", 5)))
    >>> helped = with_fingers(scale, BrassChart((bore,)), [Hint(NoteName.parse("E"), None, "1&2")])
    >>> [note.finger for bar in helped.bars for note in bar.notes][:5]
    ['0', '1-3', '1&2', '1', '0']
    """
    begun = list(_begun(exercise))
    told = chart.fingers(begun, exercise) if chart else [""] * len(begun)
    for place, pitch in enumerate(begun):
        own = next((hint.words for hint in reversed(hints) if hint.meets(pitch, exercise)), None)
        told[place] = told[place] if own is None else own
    if not any(told):
        return exercise
    waiting = iter(told)
    bars = []
    tied = False
    for bar in exercise.bars:
        notes: list[Note] = []
        for note in bar.notes:
            fresh = note.pitch is not None and not tied
            notes.append(replace(note, finger=next(waiting)) if fresh else note)
            tied = note.tie
        bars.append(replace(bar, notes=tuple(notes)))
    return replace(exercise, bars=tuple(bars), digits=digits)


def _begun(exercise: Exercise) -> Iterator[Pitch]:
    """The notes that are begun, in order."""
    tied = False
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not tied:
                yield note.pitch
            tied = note.tie
