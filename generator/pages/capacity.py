"""How much fits on a line: natural widths of notes, in staff spaces.

Measured with LilyPond 2.24 at the house spacing: sixteen sixteenths take 36 staff spaces (45 when every one has an
accidental), twelve triplet eighths 33, eight eighths 27.5 with or without accidentals, four quarters 19, a whole note
8.6. LilyPond gives no warning when a line holds too much; it crushes the notes, so the program counts.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise
from math import log2

from generator.exercise.records import Note
from generator.theory.key import signature_alter

BARLINE = 1.0
CLEF, TIME_SIGNATURE, SIGNATURE_SIGN = 4.2, 3.3, 1.05
CLEF_CHANGE = 2.6
# Width of a note by the binary logarithm of its real length.
_WIDTHS = (
    (-6.0, 1.55),
    (-5.0, 1.75),
    (-4.0, 2.19),
    (-3.585, 2.67),
    (-3.0, 3.31),
    (-2.0, 4.5),
    (-1.0, 6.0),
    (0.0, 7.6),
)
_ACCIDENTAL, _SYLLABLE = 0.58, 0.45
_GRACE = 1.5
# A bar of long tones, hairpin and letter included.
LONG_BAR = 11.6


def note_width(length: Fraction) -> float:
    """Natural width of a note without an accidental."""
    place = log2(length)
    for (low, narrow), (high, wide) in pairwise(_WIDTHS):
        if place <= high:
            return narrow + (wide - narrow) * max(0.0, place - low) / (high - low)
    return _WIDTHS[-1][1] + 1.6 * place


def notes_width(notes: Sequence[Note], signature: int) -> float:
    """Natural width of some notes of one bar, accidentals included."""
    width = 0.0
    for note, sign in zip(notes, _accidentals(notes, signature), strict=True):
        plain = _GRACE if note.grace else note_width(note.length)
        if sign:
            # Beside wide notes an accidental stands in room that is free anyway.
            plain = max(plain, min(plain + _ACCIDENTAL, 3.31))
        if note.syllable:
            plain = max(plain, 2.19) + (_SYLLABLE if len(note.syllable) > 2 else 0.1)
        width += plain
    return width


def _accidentals(notes: Iterable[Note], signature: int) -> list[bool]:
    """Which notes print an accidental, the bar's memory included."""
    memory: dict[int, int] = {}
    signs: list[bool] = []
    for note in notes:
        if note.pitch is None:
            signs.append(False)
            continue
        now = memory.get(note.pitch.place, signature_alter(signature, note.pitch.step))
        signs.append(note.pitch.alter != now)
        memory[note.pitch.place] = note.pitch.alter
    return signs


def prefix_width(signature: int, *, first: bool) -> float:
    """Width of clef, key signature and, on the first line, time signature."""
    return CLEF + SIGNATURE_SIGN * abs(signature) + (TIME_SIGNATURE if first else 0.0)
