"""Pitches of ABC 2.1, with the accidentals that hold to the end of the bar and those that a tie carries over it."""

import re

from generator.errors import RequestError
from generator.passage.abc_fields import AbcKey
from generator.passage.abc_tokens import SIGNS
from generator.theory.pitch import LETTERS, Pitch

_EVERY_OCTAVE = -1
_MOST_OCTAVE_MARKS = 9


class HeldAccidentals:
    """The accidentals of the bar that is being read.

    Attributes:
        propagate: how far one holds: "octave" (as printed), "pitch" (every octave), or "not".
    """

    def __init__(self) -> None:
        self.propagate = "octave"
        self._held: dict[tuple[int, int], int] = {}
        self._tied: dict[tuple[int, int], int] = {}

    def forget(self) -> None:
        """A new bar or key begins."""
        self._held = {}

    def tie(self, pitch: Pitch) -> None:
        """A note is tied: its sign goes over the barline."""
        self._tied[pitch.octave, pitch.step] = pitch.alter

    def pitch(self, match: re.Match[str], key: AbcKey, where: str) -> Pitch:
        """The pitch of a note.

        Raises:
            RequestError: it has too many octave marks.
        """
        letter, marks = match["letter"], match["marks"]
        step = LETTERS.index(letter.upper())
        octave = 4 + letter.islower() + marks.count("'") - marks.count(",") + key.octave
        if len(marks) > _MOST_OCTAVE_MARKS:
            raise RequestError(
                f"{where} has a note of {len(marks)} octave marks; at most {_MOST_OCTAVE_MARKS} are read"
            )
        place = (octave, step)
        everywhere = (_EVERY_OCTAVE, step)
        if match["sign"]:
            alter = SIGNS[match["sign"]]
            self._held[everywhere if self.propagate == "pitch" else place] = alter
            if self.propagate == "not":
                self._held = {}
        else:
            usual = key.alter(step)
            alter = self._held.get(place, self._held.get(everywhere, self._tied.get(place, usual)))
        self._tied = {}
        return Pitch(step, alter, octave)
