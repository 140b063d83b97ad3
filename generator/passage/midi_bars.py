"""Tones of a MIDI file as bars: rests between them, ties over barlines, and names as the key has them."""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from generator.errors import RequestError
from generator.passage.brackets import bracketed
from generator.passage.records import ReadBar, ReadNote
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of
from generator.theory.key import signature_alter
from generator.theory.pitch import NATURAL_HEIGHTS, Pitch, spelled

SHORTEST, TRIPLET = Fraction(1, 32), Fraction(1, 24)
_MOST_BARS = 4000
_BOUND = Fraction(1, 16)  # of a whole note
_Told = TypeVar("_Told")


@dataclass(frozen=True, slots=True)
class MidiTone:
    """A note of a file: place and length as fractions of a whole note, and its height."""

    start: Fraction
    length: Fraction
    height: int


def midi_bars(
    tones: list[MidiTone], metres: dict[Fraction, Metre], keys: dict[Fraction, int]
) -> tuple[ReadBar, ...]:
    """The bars of a track.

    Args:
        tones: in order, on the grid.
        metres: by the place from which they hold.
        keys: signatures in fifths, by the place from which they hold; at least one.

    Raises:
        RequestError: there are too many bars, or a rhythm that cannot be written.
    """
    end = max(tone.start + tone.length for tone in tones)
    reader = _MidiTrackReader(tones, end)
    start = Fraction(0)
    bars: list[ReadBar] = []
    while start < end:
        if len(bars) >= _MOST_BARS:
            raise RequestError(f"the MIDI file has more than {_MOST_BARS} bars; export the part you practise")
        metre = _in_force(metres, start) or Metre.parse("4/4")
        signature = _in_force(keys, start)
        if signature is None:  # the first key is told late
            signature = keys[min(keys)]
        bars.append(reader.bar(str(len(bars) + 1), start, metre, signature))
        start += metre.length
    return tuple(bars)


def _in_force(changes: dict[Fraction, _Told], place: Fraction) -> _Told | None:
    """What was said last at a place, or before it."""
    places = sorted(changes)
    at = bisect_right(places, place)
    return changes[places[at - 1]] if at else None


class _MidiTrackReader:
    """Goes through the tones of a track, a bar at a time."""

    def __init__(self, tones: list[MidiTone], end: Fraction) -> None:
        self.tones, self.end = tones, end
        self.heights = [tone.height for tone in tones]
        self.at = 0

    def bar(self, number: str, start: Fraction, metre: Metre, signature: int) -> ReadBar:
        """The next bar, which is full: rests stand where nothing sounds."""
        stop = start + metre.length
        place, notes = self._held_over(start, stop, metre, signature)
        trouble = ""
        while self.at < len(self.tones) and self.tones[self.at].start < stop:
            tone = self.tones[self.at]
            if tone.start < place or self._overlaps():
                trouble = "has two notes at once; export one voice"
            if tone.start < place:
                self.at += 1
                continue
            until = self._until(stop)
            here = min(until, stop)
            notes += _written(None, place, tone.start, start, metre)
            pitch = _spelled(self.heights, self.at, signature)
            notes += _written(pitch, tone.start, here, start, metre, tie=here < until)
            place = here
            self.at += 1
        notes += _written(None, place, stop, start, metre)
        return ReadBar(number, metre, signature, bracketed(notes), trouble)

    def _overlaps(self) -> bool:
        """Whether the next tone sounds on under the one after it, by more than notes that are bound together do."""
        tone = self.tones[self.at]
        after = self.tones[self.at + 1].start if self.at + 1 < len(self.tones) else self.end
        return tone.start + tone.length - after > _BOUND

    def _held_over(
        self, start: Fraction, stop: Fraction, metre: Metre, signature: int
    ) -> tuple[Fraction, list[ReadNote]]:
        """What still sounds of the bar before, and where it ends."""
        if not self.at:
            return start, []
        held = self.tones[self.at - 1]
        end = held.start + held.length
        if end <= start:
            return start, []
        until = min(end, stop)
        pitch = _spelled(self.heights, self.at - 1, signature)
        return until, _written(pitch, start, until, start, metre, tie=until < end)

    def _until(self, stop: Fraction) -> Fraction:
        """Where the next tone ends on paper: not after the following one begins, and not shortly before it."""
        tone = self.tones[self.at]
        following = self.tones[self.at + 1].start if self.at + 1 < len(self.tones) else self.end
        until = min(tone.start + tone.length, following if following > tone.start else stop)
        # A gap of less than half the note is how it was played, not a rest.
        near = following > until and following - until < (following - tone.start) / 2
        return following if near and following <= stop else until


def _written(
    pitch: Pitch | None, begin: Fraction, end: Fraction, bar: Fraction, metre: Metre, *, tie: bool = False
) -> list[ReadNote]:
    if end <= begin:
        return []
    length = end - begin
    values: tuple[Value, ...]
    dyadic = (length.denominator & (length.denominator - 1)) == 0
    if dyadic and (begin - bar).denominator & ((begin - bar).denominator - 1) == 0:
        values = split_length(begin - bar, length, metre)
    else:
        triplet = Tuplet(3, 2)
        one = value_of(length, triplet)
        if one is None:
            raise RequestError("the MIDI file has a rhythm that cannot be written; export it from a score")
        values = (one,)
    last = len(values) - 1
    return [
        ReadNote(pitch, value, tie=pitch is not None and (place < last or tie))
        for place, value in enumerate(values)
    ]


def _spelled(heights: list[int], at: int, signature: int) -> Pitch:
    """A height as the key and the next note suggest."""
    height = heights[at]
    options = [
        (step, alter)
        for step in range(7)
        for alter in (-2, -1, 0, 1, 2)
        if (NATURAL_HEIGHTS[step] + alter) % 12 == height % 12
    ]
    in_key = [one for one in options if signature_alter(signature, one[0]) == one[1]]
    if in_key:
        return _pitch(height, *in_key[0])
    following = next((h for h in heights[at + 1 : at + 3] if h != height), height)
    raised = following == height + 1
    lowered = following == height - 1
    usual = [one for one in options if abs(one[1] - signature_alter(signature, one[0])) == 1]
    # Raised degrees of the key: 4, 1, 5, 2 up by sharps, 7 and 3 down by flats, as chromatic scales are written.
    fifths = {one: _fifths(one) - signature for one in usual}
    wanted = 8 if raised and not lowered else 2 if lowered and not raised else 4
    best = min(usual, key=lambda one: (abs(fifths[one] - wanted), abs(one[1])))
    return _pitch(height, *best)


def _fifths(one: tuple[int, int]) -> int:
    return (0, 2, 4, -1, 1, 3, 5)[one[0]] + 7 * one[1]


def _pitch(height: int, step: int, alter: int) -> Pitch:
    octave = (height - alter - NATURAL_HEIGHTS[step]) // 12 - 1
    return spelled(7 * octave + step, height)
