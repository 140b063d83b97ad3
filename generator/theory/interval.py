"""Named intervals, with direction; transposing keeps the spelling.

An interval is a number of letters and a number of semitones, both signed, so that an augmented fourth and
a diminished fifth stay different. Names follow the trade: ``P5``, ``-M9``, ``+m3``, ``A4``, ``d7``.
"""

import re
from dataclasses import dataclass

from generator.errors import RequestError, shown
from generator.theory.pitch import NoteName, Pitch, spelled

# Semitones of the perfect or major interval on each letter distance within an octave.
_PLAIN = (0, 2, 4, 5, 7, 9, 11)
_PERFECT = frozenset({0, 3, 4})
_TEXT = re.compile(r"([+-]?)(P|M|m|A+|d+)(\d{1,3})")


@dataclass(frozen=True, slots=True)
class Interval:
    """A directed interval.

    Attributes:
        steps: letters moved (a third is 2), negative downwards.
        semitones: semitones moved, negative downwards.
    """

    steps: int
    semitones: int

    @classmethod
    def parse(cls, text: str) -> "Interval":
        """Read ``P5``, ``-M9``, ``+m3``, ``A4``.

        Raises:
            RequestError: no such interval.

        >>> Interval.parse("-M9")
        Interval(steps=-8, semitones=-14)
        """
        match = _TEXT.fullmatch(text.strip())
        if match is None or match[3] == "0":
            raise RequestError(f"{shown(text)} is no interval; write one like P5, m3, -M6 or +P8")
        sign, quality, number = match[1], match[2], int(match[3]) - 1
        octaves, letter = divmod(number, 7)
        perfect = letter in _PERFECT
        if quality in ("M", "m") if perfect else quality == "P":
            raise RequestError(f"{shown(text)} is no interval: that number has no such quality")
        shift = _shift(quality, perfect=perfect)
        direction = -1 if sign == "-" else 1
        return cls(direction * number, direction * (12 * octaves + _PLAIN[letter] + shift))

    @property
    def name(self) -> str:
        """Name with a minus sign when it goes down: ``-M9``.

        >>> Interval(6, 9).name
        'd7'
        """
        down = self.steps < 0 or (self.steps == 0 and self.semitones < 0)
        steps, semitones = (-self.steps, -self.semitones) if down else (self.steps, self.semitones)
        octaves, letter = divmod(steps, 7)
        off = semitones - 12 * octaves - _PLAIN[letter]
        if letter in _PERFECT:
            quality = "P" if off == 0 else "A" * off or "d" * -off
        else:
            quality = {0: "M", -1: "m"}.get(off) or ("A" * off if off > 0 else "d" * (-off - 1))
        return f"{'-' if down else ''}{quality}{steps + 1}"

    def above(self, pitch: Pitch) -> Pitch:
        """The pitch this far from another one, spelled by letter.

        >>> Interval.parse("-M6").above(Pitch.parse("C5")).name
        'Eb4'
        """
        return spelled(pitch.place + self.steps, pitch.height + self.semitones)

    def above_name(self, note: NoteName) -> NoteName:
        """The same for a note without an octave.

        >>> Interval.parse("M2").above_name(NoteName.parse("E")).words
        'F-sharp'
        """
        return self.above(Pitch(note.step, note.alter, 4)).note

    def __neg__(self) -> "Interval":
        return Interval(-self.steps, -self.semitones)

    def __str__(self) -> str:
        return self.name


UNISON = Interval(0, 0)


def _shift(quality: str, *, perfect: bool) -> int:
    if quality[0] == "A":
        return len(quality)
    if quality[0] == "d":
        return -len(quality) - (0 if perfect else 1)
    return -1 if quality == "m" else 0
