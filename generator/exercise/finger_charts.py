"""What notes are fingered with: brass, strings, the piano's scales, a clarinet's little fingers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from generator.exercise.records import Exercise
from generator.theory.pitch import NoteName, Pitch

_ANY_LOW, _ANY_HIGH = -1000, 1000
_SEVENTH = 7
_THROAT = 70  # B-flat 4, the highest note below the break of a clarinet


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
        """Valves or position of each note.

        >>> from generator import exercises, player
        >>> (scale,) = exercises("C major, a fifth, quarters", player=player("trumpet"))
        >>> open_tube = Bore(((4, 60), (5, 64), (6, 67)), (("0", 0), ("2", 1), ("1", 2)))
        >>> BrassChart((open_tube,)).fingers(scale.pitches[:5], scale)
        ['0', '1', '0', '1', '0']
        """
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
        """Finger of each note, after the name of the string where it changes.

        >>> from generator import exercises, player
        >>> (scale,) = exercises("G major, one octave, quarters", player=player("violin"))
        >>> strings = StringChart((Pitch.parse("G3"), Pitch.parse("D4")), (), Pitch.parse("A4").height)
        >>> " ".join(strings.fingers(scale.pitches[:8], scale))
        'G0 1 2 3 D0 1 2 3'
        """
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
        """Fingers of a straight scale; of anything else the method says nothing.

        >>> from generator import exercises, player
        >>> (scale,) = exercises("C major, one octave, quarters", player=player("piano right hand"))
        >>> chart = PianoChart(True, {("major", "C"): ScaleHand("1231234", "5")}, "")
        >>> "".join(chart.fingers(scale.pitches, scale))
        '123123454321321'
        """
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
        """L or R where a little finger plays, and a stroke where the line goes over the break.

        >>> from generator import exercises, player
        >>> (scale,) = exercises("G major, a fifth, quarters", player=player("clarinet"))
        >>> chart = ClarinetChart({71: "L", 72: "R"}, frozenset())
        >>> chart.fingers([Pitch.parse(name) for name in ("A4", "B4", "C5", "D5")], scale)
        ['', '/L', 'R', '']
        """
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


FingerChart = BrassChart | StringChart | PianoChart | ClarinetChart
"""Whatever knows what notes are fingered with: `fingers` says it for a line, "" where the chart says nothing."""
