"""Mallets in a section: the line hand to hand, long notes rolled where bars do not ring by themselves.

Glockenspiel, vibraphone and tubular bells ring on; xylophone and marimba roll. The tubular bells are struck with one
hammer or two as their player likes, so that they have no letters (common practice, no source).
"""

from dataclasses import replace
from fractions import Fraction

from generator.exercise.records import Exercise, Note
from generator.exercise.strokes import ROLLED, held_notes

FAMILY = "mallets"
ROLLING = frozenset({"xylophone", "marimba"})
"""Bars that do not ring by themselves."""
_FREE = "tubular bells"
_OTHER = {"R": "L", "L": "R"}


def with_sticking(exercise: Exercise) -> Exercise:
    """An exercise with the letters of the hands, which begin anew with the right one after a long note or a rest.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, eighths", player=player("xylophone"))[0]
    >>> " ".join(note.syllable or "-" for note in with_sticking(made).bars[0].notes)
    'R L R L R L R L'
    """
    if exercise.instrument == _FREE:
        return exercise
    long = {(held.bar, held.place) for held in held_notes(exercise.bars) if held.length >= ROLLED}
    rolls = exercise.instrument in ROLLING and exercise.level != "first notes"
    given = any(note.syllable for bar in exercise.bars for note in bar.notes)
    hand, tied, rolling = "L", False, False
    bars = []
    for number, bar in enumerate(exercise.bars):
        place = Fraction(0)
        notes: list[Note] = []
        for note in bar.notes:
            made = note
            if not tied:
                rolling = (number, place) in long
            if note.pitch is None or (rolling and rolls):
                hand = "L"
                made = note.marked("roll") if note.pitch else note
            elif not (tied or given or note.grace):
                hand = _OTHER[hand]
                made = replace(note, syllable=hand)
            notes.append(made)
            tied = note.tie
            place += note.length
        bars.append(replace(bar, notes=tuple(notes)))
    return replace(exercise, bars=tuple(bars))
