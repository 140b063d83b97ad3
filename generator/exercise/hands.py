"""Both hands of a keyboard."""

from dataclasses import replace

from generator.exercise.clef import in_clefs
from generator.exercise.records import Exercise, Note


def with_left_hand(exercise: Exercise) -> Exercise:
    """Hands together: the left hand plays the line an octave lower, on a staff of its own.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, quarters", player=player("piano"))[0]
    >>> print(made.left.clef, *made.left.pitches[:3])
    bass C3 D3 E3
    """
    bars = tuple(replace(bar, notes=tuple(_octave_down(note) for note in bar.notes)) for bar in exercise.bars)
    bars, clefs = in_clefs(bars, ("bass", "treble"))
    return replace(exercise, left=replace(exercise, bars=bars, clefs=clefs, left=None))


def resting_left(exercise: Exercise) -> Exercise:
    """The staff of a left hand that rests while the right one plays alone.

    >>> from generator import exercises, player
    >>> made = exercises("C major, a fifth, quarters", player=player("piano right hand"))[0]
    >>> lower = resting_left(made)
    >>> lower.clef, lower.pitches, len(lower.bars) == len(made.bars)
    ('bass', (), True)
    """
    bars = tuple(
        replace(bar, notes=tuple(_rest(note) for note in bar.notes if not note.grace), label="")
        for bar in exercise.bars
    )
    return replace(exercise, bars=bars, clefs=("bass",) * len(bars), left=None, ottava=False)


def _rest(note: Note) -> Note:
    marks = tuple(mark for mark in note.marks if mark == "fermata")
    return Note(None, note.value, marks=marks, tuplet_start=note.tuplet_start, tuplet_stop=note.tuplet_stop)


def _octave_down(note: Note) -> Note:
    """The same note in the left hand; dynamics stand once, between the staves."""
    if note.pitch is None:
        return note
    return replace(note, pitch=note.pitch.octaves_up(-1), dynamic=(), dynamic_end=(), text=None, clef="")
