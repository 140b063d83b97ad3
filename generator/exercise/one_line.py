"""Percussion without a definite pitch reads the rhythm of an exercise on one line."""

from dataclasses import replace

from generator.exercise.articulation import STICKS
from generator.exercise.build import Player
from generator.exercise.records import Exercise, Note
from generator.theory.pitch import Pitch

CLEF = "percussion"
# The line of a one-line staff: LilyPond's percussion clef has middle C there.
LINE = Pitch.parse("C4")


def on_one_line(exercise: Exercise, player: Player, heading: str) -> Exercise:
    """The rhythm of an exercise, for a player whose instrument is unpitched.

    Args:
        exercise: as somebody else plays it.
        player: who reads the line.
        heading: what the others play, in small print beside the heading.

    >>> from generator import exercises, player
    >>> drum = exercises("C major, one octave, quarters", player=player("snare drum"))[0]
    >>> drum.head, drum.clef, len(drum.bars), {pitch.name for pitch in drum.pitches}
    ('Rhythm', 'percussion', 4, {'C4'})
    """
    bars = tuple(replace(bar, notes=tuple(_stroke(n) for n in bar.notes)) for bar in exercise.bars)
    return replace(
        exercise,
        head="Rhythm",
        details="",
        concert_heading=heading,
        instrument=player.instrument.name,
        level=player.level,
        key="",
        signature=0,
        clefs=(CLEF,) * len(bars),
        bars=bars,
        notes=(),
        ottava=False,
        drone="",
    )


def _stroke(note: Note) -> Note:
    if note.pitch is None:
        return note
    marks = tuple(mark for mark in note.marks if mark != "breath")
    hand = note.syllable if note.syllable in STICKS else None
    return replace(note, pitch=LINE, slur=None, syllable=hand, text=None, marks=marks)
