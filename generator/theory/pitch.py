"""Spelled pitches.

Conventions: scientific octaves, C4 is middle C; the octave changes at C, so C-flat 4 sounds as B3 and
B-sharp 3 sounds as C4. A pitch is three numbers; its name is a view of them. Whether a pitch is written
or sounding is for the caller to say. ``height`` counts semitones as MIDI does (C4 = 60).
"""

import re
from dataclasses import dataclass
from functools import cached_property

from generator.errors import RequestError, shown

LETTERS = "CDEFGAB"
NATURAL_HEIGHTS = (0, 2, 4, 5, 7, 9, 11)
# Position of each natural letter on the line of fifths, C = 0.
_NATURAL_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_WORDS = {-2: " double-flat", -1: "-flat", 0: "", 1: "-sharp", 2: " double-sharp"}
_NAME = re.compile(r"([A-Ga-g])(##|#|bb|b|x)?")
_PITCH = re.compile(_NAME.pattern + r"(-?\d{1,2})")


@dataclass(frozen=True)
class NoteName:
    """A spelled note without an octave.

    Attributes:
        step: letter, 0 = C to 6 = B.
        alter: -2 (double flat) to 2 (double sharp); arithmetic may pass through wider values.
    """

    step: int
    alter: int = 0

    @classmethod
    def parse(cls, text: str) -> "NoteName":
        """Read ``F#``, ``Bb``, ``C##``, ``G``.

        Raises:
            RequestError: the text is no note name.

        >>> NoteName.parse("Bb").words
        'B-flat'
        """
        match = _NAME.fullmatch(text.strip())
        if match is None:
            raise RequestError(f"{shown(text)} is no note name; write one like G, F#, Bb or C##")
        letter, sign = match.groups()
        return cls(LETTERS.index(letter.upper()), _alter(sign))

    @classmethod
    def from_fifths(cls, fifths: int) -> "NoteName":
        """The note at a place on the line of fifths (C = 0, G = 1, F = -1).

        >>> NoteName.from_fifths(8).name
        'G#'
        """
        step = (fifths * 4) % 7
        return cls(step, (fifths - _NATURAL_FIFTHS[step]) // 7)

    @cached_property
    def name(self) -> str:
        """Compact name: ``F##``, ``Bb``."""
        return LETTERS[self.step] + _sign(self.alter)

    @cached_property
    def words(self) -> str:
        """Name as musicians say it: ``B-flat``."""
        return LETTERS[self.step] + _WORDS.get(self.alter, _sign(self.alter))

    @cached_property
    def fifths(self) -> int:
        """Place on the line of fifths, C = 0."""
        return _NATURAL_FIFTHS[self.step] + 7 * self.alter

    @cached_property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11, spelling aside."""
        return (NATURAL_HEIGHTS[self.step] + self.alter) % 12

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True)
class Pitch:
    """A spelled pitch.

    Attributes:
        step: letter, 0 = C to 6 = B.
        alter: semitones the letter is raised (positive) or lowered.
        octave: scientific octave of the letter.
    """

    step: int
    alter: int
    octave: int

    @classmethod
    def parse(cls, text: str) -> "Pitch":
        """Read ``F##4``, ``Bb3``, ``E4``.

        Raises:
            RequestError: the text is no pitch.

        >>> Pitch.parse("E#6").height == Pitch.parse("F6").height
        True
        """
        match = _PITCH.fullmatch(text.strip())
        if match is None:
            raise RequestError(
                f"{shown(text)} is no pitch; write a note and its octave, like Bb3 or F#6 (C4 is middle C)"
            )
        letter, sign, octave = match.groups()
        return cls(LETTERS.index(letter.upper()), _alter(sign), int(octave))

    @cached_property
    def note(self) -> NoteName:
        """The pitch without its octave."""
        return NoteName(self.step, self.alter)

    @cached_property
    def name(self) -> str:
        """Compact name with octave: ``F##4``."""
        return f"{self.note.name}{self.octave}"

    @cached_property
    def words(self) -> str:
        """Name as musicians say it: ``B-flat 3``."""
        return f"{self.note.words} {self.octave}"

    @cached_property
    def height(self) -> int:
        """Semitones, C4 = 60, so that E-sharp 6 and F6 are equal."""
        return 12 * (self.octave + 1) + NATURAL_HEIGHTS[self.step] + self.alter

    @cached_property
    def place(self) -> int:
        """Staff place: letters counted from C0, accidentals aside."""
        return 7 * self.octave + self.step

    def octaves_up(self, count: int) -> "Pitch":
        """The same note ``count`` octaves higher (lower when negative).

        >>> Pitch.parse("Bb3").octaves_up(1).words
        'B-flat 4'
        """
        return Pitch(self.step, self.alter, self.octave + count)

    def __str__(self) -> str:
        return self.name


def spelled(place: int, height: int) -> Pitch:
    """The pitch at a staff place (letters from C0) that sounds at a height (C4 = 60).

    >>> spelled(28, 61).words, spelled(29, 61).words  # the places of C4 and of D4
    ('C-sharp 4', 'D-flat 4')
    """
    octave, step = divmod(place, 7)
    return Pitch(step, height - (12 * (octave + 1) + NATURAL_HEIGHTS[step]), octave)


def respelled(pitch: Pitch) -> Pitch:
    """The same sound with at most one sign, moved to a neighbouring letter where needed.

    >>> respelled(Pitch.parse("Bbb4")).name
    'A4'
    """
    while abs(pitch.alter) > 1:
        pitch = spelled(pitch.place + (1 if pitch.alter > 0 else -1), pitch.height)
    return pitch


def _alter(sign: str | None) -> int:
    if not sign:
        return 0
    return 2 if sign == "x" else sign.count("#") - sign.count("b")


def _sign(alter: int) -> str:
    return "#" * alter if alter > 0 else "b" * -alter
