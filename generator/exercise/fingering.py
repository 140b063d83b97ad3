"""Help for the hand at the notes of an exercise: valves and positions, strings, fingers of a keyboard, little fingers.

What a chart does not reach is left bare: nobody is helped by a guess. A player's own hints win over every chart.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Protocol

from generator.exercise.records import Exercise, Note
from generator.theory.pitch import NoteName, Pitch

_ANY_LOW, _ANY_HIGH = -1000, 1000
_SEVENTH = 7
_THROAT = 70  # B-flat 4, the highest note below the break of a clarinet


class FingerChart(Protocol):
    """Whatever knows what notes are fingered with."""

    def fingers(self, notes: Sequence[Pitch], exercise: Exercise) -> list[str]:
        """What each note of a line is fingered with, "" where the chart says nothing."""


@dataclass(frozen=True, slots=True)
class Bore:
    """A length of tube with its valves or slide.

    Attributes:
        partials: number and height (as MIDI counts) of each usable partial of the open tube.
        steps: combination or position, and the half steps it lowers the tube.
        prefix: trigger or thumb valve, or "".
        low: lowest height it serves.
        high: highest height it serves.
        slide: it has positions in place of valves.
    """

    partials: tuple[tuple[int, int], ...]
    steps: tuple[tuple[str, int], ...]
    prefix: str = ""
    low: int = _ANY_LOW
    high: int = _ANY_HIGH
    slide: bool = False

    def usual(self, height: int) -> str:
        """The combination that lowers the tube least, or "".

        >>> trumpet = Bore(((4, 72), (5, 76), (6, 79)), (("0", 0), ("2", 1), ("1", 2), ("1-2", 3)))
        >>> [trumpet.usual(height) for height in (72, 73, 74, 75, 76, 77)]
        ['0', '1-2', '1', '2', '0', '1']
        """
        if not self.low <= height <= self.high:
            return ""
        labels = {down: label for label, down in self.steps}
        # The 7th partial is flat: on a slide it stands for a note a little above the position, and never in the first.
        found = [
            (down, number)
            for number, open_height in self.partials
            if (down := open_height - height) in labels and not (number == _SEVENTH and not down)
        ]
        if not found:
            return ""
        down, number = min(found)
        label = f"+{labels[down]}" if number == _SEVENTH else labels[down]
        if not self.prefix or self.slide:
            return self.prefix + label
        return self.prefix if label == "0" else f"{self.prefix}-{label}"


@dataclass(frozen=True, slots=True)
class BrassChart:
    """The tubes of a brass instrument; the first that has a note serves it."""

    bores: tuple[Bore, ...]

    def fingers(self, notes: Sequence[Pitch], exercise: Exercise) -> list[str]:  # noqa: ARG002
        """Valves or position of each note."""
        return [next(filter(None, (bore.usual(p.height) for bore in self.bores)), "") for p in notes]


@dataclass(frozen=True, slots=True)
class StringChart:
    """The strings of an instrument in first position.

    Attributes:
        open: from the lowest.
        steps: finger by half steps above the open string; empty where letters are counted.
        high: highest height it serves.
    """

    open: tuple[Pitch, ...]
    steps: tuple[str, ...]
    high: int

    def fingers(self, notes: Sequence[Pitch], exercise: Exercise) -> list[str]:  # noqa: ARG002
        """Finger of each note, after the name of the string where it changes."""
        told: list[str] = []
        on: Pitch | None = None
        for pitch in notes:
            string = self._string(pitch)
            finger = self._finger(pitch, string) if string else ""
            name = self._name(string) if string and finger and string != on else ""
            on = string if finger else None
            told.append(name + finger)
        return told

    def _string(self, pitch: Pitch) -> Pitch | None:
        below = [string for string in self.open if string.height <= pitch.height]
        return below[-1] if below and pitch.height <= self.high else None

    def _finger(self, pitch: Pitch, string: Pitch) -> str:
        above = pitch.height - string.height
        if self.steps:
            return self.steps[above] if above < len(self.steps) else ""
        if not above:
            return "0"
        letters = max(1, pitch.place - string.place)
        return str(letters) if letters <= 4 else ""

    def _name(self, string: Pitch) -> str:
        """The string's letter, small for the upper of two."""
        letter = string.note.name
        twin = [one for one in self.open if one.note == string.note]
        return letter.lower() if len(twin) > 1 and string == twin[-1] else letter


@dataclass(frozen=True, slots=True)
class ScaleHand:
    """One hand on one scale.

    Attributes:
        inner: fingers by degree, from the tonic up, within octaves.
        turn: on the tonic where the hand turns at the outside (top for the right, bottom for the left), or "".
        start: on the lowest tonic of the right hand, or "".
    """

    inner: str
    turn: str = ""
    start: str = ""


@dataclass(frozen=True, slots=True)
class PianoChart:
    """Fingers of one hand on the scales that a method gives.

    Attributes:
        right: whether it is the right hand.
        scales: by form and tonic.
        chromatic: by pitch class from C.
    """

    right: bool
    scales: Mapping[tuple[str, str], ScaleHand]
    chromatic: str

    def fingers(self, notes: Sequence[Pitch], exercise: Exercise) -> list[str]:
        """Fingers of a straight scale; of anything else the method says nothing."""
        if exercise.figure != "straight":
            return [""] * len(notes)
        if exercise.form == "chromatic":
            return [self.chromatic[p.height % 12] for p in notes]
        found = self.scales.get((exercise.form, exercise.key))
        if found is None:
            return [""] * len(notes)
        tonic = NoteName.parse(exercise.key)
        # A melodic minor scale comes down as natural minor, in its fingers too.
        falling = self.scales.get(("natural minor", exercise.key), found)
        told: list[str] = []
        for place, pitch in enumerate(notes):
            before = notes[place - 1].height if place else None
            after = notes[place + 1].height if place + 1 < len(notes) else None
            down = after < pitch.height if after is not None else (before or 0) > pitch.height
            hand = falling if down and exercise.form == "melodic minor" else found
            told.append(self._at(hand, (pitch.step - tonic.step) % 7, _peak(before, pitch.height, after)))
        return told

    def _at(self, hand: ScaleHand, degree: int, peak: int) -> str:
        if not degree and hand.turn and peak == (1 if self.right else -1):
            return hand.turn
        if not degree and hand.start and peak == -1:
            return hand.start
        return hand.inner[degree]


def _peak(before: int | None, here: int, after: int | None) -> int:
    """1 at the top of a line, -1 at the bottom, 0 between."""
    others = [one for one in (before, after) if one is not None]
    if all(one < here for one in others):
        return 1
    return -1 if all(one > here for one in others) else 0


@dataclass(frozen=True, slots=True)
class ClarinetChart:
    """Little fingers, and where the break is crossed.

    Attributes:
        sides: usual side by height; what one side alone has stands in `fixed` too.
        fixed: heights that have a key on their side alone.
        down: half steps by which the part is written lower than that of a B-flat clarinet.
    """

    sides: Mapping[int, str]
    fixed: frozenset[int]
    down: int = 0

    def fingers(self, notes: Sequence[Pitch], exercise: Exercise) -> list[str]:  # noqa: ARG002
        """L or R where a little finger plays, and a stroke where the line goes over the break."""
        heights = [p.height + self.down for p in notes]
        told = [self.sides.get(height, "") for height in heights]
        for place in range(1, len(told)):
            self._take_turns(told, heights, place)
        over = [False, *((a <= _THROAT) != (b <= _THROAT) for a, b in pairwise(heights))]
        return [f"/{side}" if crossed else side for side, crossed in zip(told, over, strict=True)]

    def _take_turns(self, told: list[str], heights: Sequence[int], place: int) -> None:
        """Never one little finger for two notes in a row: the later one gives way, unless it has no other side."""
        while (
            place and told[place] and told[place] == told[place - 1] and heights[place] != heights[place - 1]
        ):
            gives_way = place - 1 if heights[place] in self.fixed else place
            if heights[gives_way] in self.fixed:
                return
            told[gives_way] = "L" if told[gives_way] == "R" else "R"
            place = gives_way if gives_way < place else 0


@dataclass(frozen=True, slots=True)
class Hint:
    """What a player wants to read at a note.

    Attributes:
        note: which, in written pitch.
        octave: where, or None for every octave.
        words: what is printed.
        instruments: by name; empty for any.
        key: written tonic in whose scales alone it is printed, or "".
    """

    note: NoteName
    octave: int | None
    words: str
    instruments: tuple[str, ...] = ()
    key: str = ""

    def meets(self, pitch: Pitch, exercise: Exercise) -> bool:
        """Whether it is for a note of an exercise."""
        return (
            pitch.note == self.note
            and self.octave in (None, pitch.octave)
            and self.key in ("", exercise.key)
            and (not self.instruments or exercise.instrument in self.instruments)
        )


def with_fingers(
    exercise: Exercise, chart: FingerChart | None, hints: Sequence[Hint] = (), *, digits: str = ""
) -> Exercise:
    """The exercise with help at its notes.

    Args:
        exercise: as it is, one staff of it.
        chart: of its instrument, or None.
        hints: the player's own, which win.
        digits: where fingers of a keyboard stand, "above" or "below"; "" for a line under the staff.

    >>> from generator import exercises, player
    >>> scale = exercises("C major, a fifth, quarters", player=player("trumpet"))[0]
    >>> bore = Bore(((2, 60), (3, 67)), (("0", 0), ("2", 1), ("1", 2), ("1-2", 3), ("2-3", 4), ("1-3", 5)))
    >>> helped = with_fingers(scale, BrassChart((bore,)), [Hint(NoteName.parse("E"), None, "1&2")])
    >>> [note.finger for bar in helped.bars for note in bar.notes][:5]
    ['0', '1-3', '1&2', '1', '0']
    """
    begun = list(_begun(exercise))
    told = chart.fingers(begun, exercise) if chart else [""] * len(begun)
    for place, pitch in enumerate(begun):
        own = next((hint.words for hint in reversed(hints) if hint.meets(pitch, exercise)), None)
        told[place] = told[place] if own is None else own
    if not any(told):
        return exercise
    waiting = iter(told)
    bars = []
    tied = False
    for bar in exercise.bars:
        notes: list[Note] = []
        for note in bar.notes:
            fresh = note.pitch is not None and not tied
            notes.append(replace(note, finger=next(waiting)) if fresh else note)
            tied = note.tie
        bars.append(replace(bar, notes=tuple(notes)))
    return replace(exercise, bars=tuple(bars), digits=digits)


def _begun(exercise: Exercise) -> Iterator[Pitch]:
    """The notes that are begun, in order."""
    tied = False
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not tied:
                yield note.pitch
            tied = note.tie
