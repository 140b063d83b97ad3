"""What a page leaves to its engraver and an open format has to say: accidentals and beams, note by note.

Both follow what our printed pages do, so that a score opened elsewhere looks like them. Accidentals:
LilyPond's style "modern" (Notation Reference, "Automatic accidentals"): a sign counts to the end of the bar
in its own octave, and is cancelled in the bar after it and in other octaves of the same bar. Beams: by the
beat, and wider where a bar holds nothing shorter than eighths (LilyPond's default settings for each metre).
"""

from collections.abc import Sequence
from fractions import Fraction

from generator.exercise.records import Bar, Note
from generator.theory.duration import Metre
from generator.theory.key import signature_alter
from generator.theory.pitch import Pitch

_QUARTER, _HALF, _DOTTED_HALF = Fraction(1, 4), Fraction(1, 2), Fraction(3, 4)
_TRIPLET, _SIXTEENTH, _THIRTY_SECOND = Fraction(1, 12), Fraction(1, 16), Fraction(1, 32)
# Metres whose beams are wider or narrower than their beats: the width where all notes under a beam are longer than
# a limit, and the width elsewhere.
_WIDTHS = {
    "4/4": (_HALF, _TRIPLET, _QUARTER),
    "3/4": (_DOTTED_HALF, _TRIPLET, _QUARTER),
    "6/4": (_DOTTED_HALF, _SIXTEENTH, _QUARTER),
    "9/4": (_DOTTED_HALF, _THIRTY_SECOND, _QUARTER),
    "12/4": (_DOTTED_HALF, _THIRTY_SECOND, _QUARTER),
    "2/2": (_HALF, _THIRTY_SECOND, _QUARTER),
    "3/2": (_HALF, _THIRTY_SECOND, _QUARTER),
    "4/2": (_HALF, _SIXTEENTH, _QUARTER),
    "4/8": (_QUARTER, Fraction(0), _QUARTER),
}


class Accidentals:
    """Decides which notes of a line carry a sign."""

    def __init__(self, signature: int) -> None:
        self._key = [signature_alter(signature, step) for step in range(7)]
        self._here: dict[tuple[int, int], tuple[int, int]] = {}
        self._anywhere: dict[int, tuple[int, int]] = {}
        self._bar = 0

    def new_key(self, signature: int) -> None:
        """A key signature within the line."""
        self._key = [signature_alter(signature, step) for step in range(7)]

    def next_bar(self) -> None:
        """A barline."""
        self._bar += 1

    def shows(self, pitch: Pitch) -> bool:
        """Whether the next note carries a sign; ask once for each note that is begun, in order.

        Args:
            pitch: written pitch.
        """
        place = (pitch.octave, pitch.step)
        here, anywhere = self._here.get(place), self._anywhere.get(pitch.step)
        key = self._key[pitch.step]
        expected = {
            here[0] if here and here[1] == self._bar else key,
            here[0] if here and here[1] >= self._bar - 1 else key,
            anywhere[0] if anywhere and anywhere[1] == self._bar else key,
        }
        self._here[place] = self._anywhere[pitch.step] = (pitch.alter, self._bar)
        return expected != {pitch.alter}


def beams(bar: Bar) -> tuple[tuple[str, ...], ...]:
    """Beams of each note of a bar, from the eighth's inwards: begin, continue, end, forward or backward hook."""
    found: list[tuple[str, ...]] = [()] * len(bar.notes)
    for group in beam_groups(bar):
        for index, signs in zip(group, _signs(bar, group), strict=True):
            found[index] = signs
    return tuple(found)


def beam_groups(bar: Bar) -> tuple[tuple[int, ...], ...]:
    """Places, within the bar, of the notes under each beam."""
    if any(n.beam for n in bar.notes):
        return _marked_groups(bar.notes)
    if bar.metre.name not in _WIDTHS or len(set(bar.metre.beats)) > 1:
        groups = _stretches(bar, set(bar.metre.beat_starts))
    else:
        wide, limit, narrow = _WIDTHS[bar.metre.name]
        single = _stretches(bar, _every(narrow, bar.metre))
        groups = []
        for stretch in _stretches(bar, _every(wide, bar.metre)):
            joined = all(bar.notes[i].length > limit for i in stretch)
            groups += [stretch] if joined else [g for g in single if g[0] in stretch]
    return tuple(g for g in groups if len(g) > 1)


def _every(width: Fraction, metre: Metre) -> set[Fraction]:
    return {width * n for n in range(int(metre.length / width))}


def _flagged(note: Note) -> bool:
    return note.pitch is not None and note.value.base >= 8 and not note.grace


def _stretches(bar: Bar, borders: set[Fraction]) -> list[tuple[int, ...]]:
    """Runs of flagged notes that no border, rest, longer note or breath parts."""
    runs: list[list[int]] = [[]]
    place = Fraction(0)
    for index, note in enumerate(bar.notes):
        breathed = index > 0 and "breath" in bar.notes[index - 1].marks
        if place in borders or breathed or not _flagged(note):
            runs.append([])
        if _flagged(note):
            runs[-1].append(index)
        place += note.length
    return [tuple(r) for r in runs if r]


def _marked_groups(notes: Sequence[Note]) -> tuple[tuple[int, ...], ...]:
    groups: list[tuple[int, ...]] = []
    begun = 0
    for index, note in enumerate(notes):
        if note.beam == "[":
            begun = index
        elif note.beam == "]":
            groups.append(tuple(range(begun, index + 1)))
    return tuple(groups)


def _signs(bar: Bar, group: tuple[int, ...]) -> list[tuple[str, ...]]:
    levels = [bar.notes[i].value.base.bit_length() - 3 for i in group]
    starts = [sum((n.length for n in bar.notes[:i]), Fraction(0)) for i in group]
    signs: list[tuple[str, ...]] = []
    for at, level in enumerate(levels):
        before = levels[at - 1] if at else 0
        after = levels[at + 1] if at + 1 < len(levels) else 0
        own = []
        for depth in range(1, level + 1):
            joined = (before >= depth, after >= depth)
            if joined == (False, False):
                own.append(_hook(at, len(levels), starts[at], bar.notes[group[at]]))
            else:
                own.append({(True, True): "continue", (True, False): "end", (False, True): "begin"}[joined])
        signs.append(tuple(own))
    return signs


def _hook(at: int, size: int, start: Fraction, note: Note) -> str:
    """A short beam points into the beam; in the middle, towards the note it shares a longer value with."""
    if at == 0:
        return "forward hook"
    if at == size - 1:
        return "backward hook"
    return "forward hook" if start % (2 * note.length) == 0 else "backward hook"
