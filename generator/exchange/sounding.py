"""Written notes as they sound: ties joined, swing played, dots short, rolls rolled, loudness from the dynamics.

Times are fractions of a whole note from the beginning of the exercise; heights are sounding, C4 = 60.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.clef import DRUM_SET
from generator.exercise.kit import AT
from generator.exercise.records import Exercise, Note
from generator.theory.interval import Interval

_QUARTER, _EIGHTH = Fraction(1, 4), Fraction(1, 8)
# Equal steps from pp to ff, as many notation programs have them (common practice, no source).
LEVELS = {"ppp": 20, "pp": 36, "p": 50, "mp": 64, "mf": 80, "f": 96, "ff": 112, "fff": 124}
_PLAIN = LEVELS["mf"]
_STEP = 16
_LOUDER = {"accent": 16, "marcato": 22}
_LOUDEST, _SOFTEST = 127, 1
# Strokes of a roll, and how much softer each is than a stroke for itself.
_ROLLED, _SOFTER = Fraction(1, 32), 12


@dataclass(frozen=True, slots=True)
class HeardTone:
    """One note as it is heard.

    Attributes:
        start: when it begins.
        length: how long it sounds.
        height: sounding pitch, C4 = 60; of a set of drums the key of the General MIDI percussion map.
        loudness: 1 to 127, as MIDI counts it.
    """

    start: Fraction
    length: Fraction
    height: int
    loudness: int


def tones(exercise: Exercise, sounds: Interval) -> tuple[HeardTone, ...]:
    """What is heard of an exercise.

    Args:
        exercise: the exercise, in written pitch.
        sounds: interval from written to sounding pitch.
    """
    loudness = _Loudness(exercise)
    swung = exercise.feel.casefold() == "swing"
    found: list[HeardTone] = []
    for start, notes in _begun(exercise):
        first = notes[0]
        assert first.pitch is not None  # noqa: S101  # for the type checker; rests are never begun
        length = sum((n.length for n in notes), Fraction(0))
        end = start + length
        begins, ends = (_swing(exercise, start), _swing(exercise, end)) if swung else (start, end)
        staccato = len(notes) == 1 and "staccato" in first.marks
        accent = sum(_LOUDER.get(m, 0) for m in first.marks)
        loud = min(_LOUDEST, max(_SOFTEST, loudness.at(start) + accent))
        heard = (ends - begins) / (2 if staccato else 1)
        for pitch in (first.pitch, *first.also):
            height = AT[pitch].key if exercise.clef == DRUM_SET else sounds.above(pitch).height
            found += _strokes(HeardTone(begins, heard, height, loud), notes)
    if exercise.left is not None:
        # The left hand is played as loud as the right, whose dynamics are those of both.
        lower = replace(
            exercise.left, bars=exercise.left.bars * (len(exercise.bars) // len(exercise.left.bars))
        )
        begun = {tone.start: tone.loudness for tone in found}
        found += (
            replace(tone, loudness=begun.get(tone.start, tone.loudness)) for tone in tones(lower, sounds)
        )
        found.sort(key=lambda tone: (tone.start, tone.height))
    return tuple(found)


def _strokes(tone: HeardTone, notes: list[Note]) -> Iterator[HeardTone]:
    """A tone, or the strokes of a roll and the one it ends on."""
    rolled = sum((n.length for n in notes if "roll" in n.marks), Fraction(0))
    count = int(rolled / _ROLLED)
    for number in range(count):
        soft = max(_SOFTEST, tone.loudness - _SOFTER * (number > 0))
        yield replace(tone, start=tone.start + number * _ROLLED, length=_ROLLED, loudness=soft)
    if tone.length > count * _ROLLED:
        yield replace(tone, start=tone.start + count * _ROLLED, length=tone.length - count * _ROLLED)


def _begun(exercise: Exercise) -> Iterator[tuple[Fraction, list[Note]]]:
    """Each note that is begun, with the pieces tied to it, and when."""
    place = start = Fraction(0)
    held: list[Note] = []
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not note.grace:
                if not held:
                    start = place
                held.append(note)
                if not note.tie:
                    yield start, held
                    held = []
            place += note.length
    if held:
        yield start, held


def _swing(exercise: Exercise, place: Fraction) -> Fraction:
    """Two eighths of a beat as two thirds and one third of it, in bars made of quarters."""
    start = Fraction(0)
    for bar in exercise.bars:
        if place < start + bar.length:
            within = place - start
            beat, rest = within // _QUARTER * _QUARTER, within % _QUARTER
            if beat + _QUARTER > bar.length:
                return place
            late = rest * 4 / 3 if rest <= _EIGHTH else _QUARTER * 2 / 3 + (rest - _EIGHTH) * 2 / 3
            return start + beat + late
        start += bar.length
    return place


class _Loudness:
    """Loudness over time, from dynamic signs and hairpins."""

    def __init__(self, exercise: Exercise) -> None:
        self._times: list[Fraction] = [Fraction(0)]
        self._levels: list[int] = [_PLAIN]
        self._grows: list[int] = [0]
        place = Fraction(0)
        for bar in exercise.bars:
            for note in bar.notes:
                self._read(place, note.dynamic)
                place += note.length
                self._read(place, note.dynamic_end)

    def _read(self, place: Fraction, signs: tuple[str, ...]) -> None:
        if not signs:
            return
        level = self._levels[-1] + _STEP * self._grows[-1]
        grows = 0
        for sign in signs:
            level = LEVELS.get(sign, level)
            grows = {"<": 1, ">": -1}.get(sign, grows)
        self._times.append(place)
        self._levels.append(level)
        self._grows.append(grows)

    def at(self, place: Fraction) -> int:
        """Loudness at a time."""
        last = bisect_right(self._times, place) - 1
        level = self._levels[last]
        if not self._grows[last] or last + 1 == len(self._times):
            return level
        gone = (place - self._times[last]) / (self._times[last + 1] - self._times[last])
        return level + round((self._levels[last + 1] - level) * gone)
