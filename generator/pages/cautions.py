"""A few sober cautions, printed only where a page asks for high, long or fast work.

Sources: BAPAM, "Ten top health tips" (rest five minutes in each half hour; never play in pain); NIOSH limits for noise
(85 dBA for eight hours, halved for every 3 dB). Nothing here diagnoses; it defers to a teacher or clinician.
"""

from collections.abc import Sequence
from fractions import Fraction

from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise
from generator.exercise.tempo import in_quarters

_FAST = 9.0  # notes a second: sixteenths at quarter = 135
_REST = (
    "Rest often, about five minutes in each half hour; stop when it hurts, and ask a teacher or clinician."
)
_HIGH = {
    "brass": "High work: rest as long as you play, put the instrument down before you tire; stop when it hurts "
    "and ask a teacher or clinician.",
    "reed": "High work: short turns, rest between them; stop when it hurts and ask a teacher or clinician.",
    "flute": "High work is loud at the ear: protect your hearing, rest between turns; stop when it hurts and "
    "ask a teacher or clinician.",
}


def caution(exercises: Sequence[Exercise], instrument: Instrument) -> str:
    """The caution for a page, or "".

    Args:
        exercises: what the page asks for.
        instrument: for which instrument.
    """
    limit = instrument.level("standard").high.height
    high = any(p.height > limit for e in exercises for p in e.pitches)
    if high and instrument.wind in _HIGH:
        return _HIGH[instrument.wind]
    if any(e.long for e in exercises) and instrument.wind in _HIGH:
        return f"Long tones: {_REST[0].lower()}{_REST[1:]} With a drone, keep it soft or on one ear only."
    if any(_notes_a_second(e) > _FAST for e in exercises):
        return f"Fast work: {_REST[0].lower()}{_REST[1:]}"
    return ""


def _notes_a_second(exercise: Exercise) -> float:
    if exercise.tempo is None:
        return 0.0
    fastest = max((exercise.tempo.bpm, *exercise.tempi))
    shortest = min((n.length for b in exercise.bars for n in b.notes), default=Fraction(1))
    quarters = in_quarters(exercise.tempo) * fastest / exercise.tempo.bpm
    return float(quarters / 60 / (shortest * 4))
