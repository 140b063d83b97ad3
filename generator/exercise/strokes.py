"""What the parts of percussion are made of: strokes on a line, held notes as rolls, places of beats."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.records import Bar, Exercise, Note
from generator.theory.duration import Metre, Value, value_of
from generator.theory.pitch import Pitch

# The line of a one-line staff: LilyPond's percussion clef has middle C there.
LINE = Pitch.parse("C4")
ROLLED = Fraction(1, 2)
"""From this length on a note is rolled: a half note (common practice, no source)."""
_COMPOUND = 8
_RELEASES = (Fraction(1, 4), Fraction(1, 8))


@dataclass(frozen=True, slots=True)
class HeldNote:
    """A note with what is tied to it, and where it stands.

    Attributes:
        bar: its bar, from 0.
        place: where it begins in that bar.
        notes: its written pieces.
    """

    bar: int
    place: Fraction
    notes: tuple[Note, ...]

    @property
    def length(self) -> Fraction:
        """How long it lasts, ties included."""
        return sum((n.length for n in self.notes), Fraction(0))


def held_notes(bars: Sequence[Bar]) -> Iterator[HeldNote]:
    """The notes of a line, each with what is tied to it; rests and small notes are left out.

    >>> from generator import exercises, player
    >>> made = exercises("C major, a fifth, whole notes", player=player("flute"))[0]
    >>> [(held.bar, str(held.length)) for held in held_notes(made.bars)][:2]
    [(0, '1'), (1, '1')]
    """
    pieces: list[Note] = []
    begun = (0, Fraction(0))
    for number, bar in enumerate(bars):
        place = Fraction(0)
        for note in bar.notes:
            if note.pitch is not None and not note.grace:
                if not pieces:
                    begun = number, place
                pieces.append(note)
                if not note.tie:
                    yield HeldNote(*begun, tuple(pieces))
                    pieces = []
            place += note.length
    if pieces:
        yield HeldNote(*begun, tuple(pieces))


def rolled(pieces: Sequence[Note]) -> tuple[tuple[Note, ...], ...]:
    """A held note as a roll that is tied into the stroke it ends on, piece by piece.

    Args:
        pieces: the written pieces of one note, all on one place.

    >>> ((roll, release),) = rolled([Note(LINE, Value(1))])
    >>> str(roll.value), roll.marks, roll.tie, str(release.value), release.marks
    ('2.', ('roll',), True, '4', ())
    """
    *before, last = (replace(one, marks=tuple(m for m in one.marks if m != "flam")) for one in pieces)
    found = [(replace(one, tie=True).marked("roll"),) for one in before]
    for release in _RELEASES:
        value, rest = value_of(release), value_of(last.length - release) if last.length > release else None
        if value and rest and not last.value.tuplet:
            first = replace(last, value=rest, tie=True, dynamic_end=()).marked("roll")
            end = Note(last.pitch, value, also=last.also, dynamic_end=last.dynamic_end)
            return (*found, (first, end)) if "fermata" not in last.marks else (*found, (last.marked("roll"),))
    return (*found, (last.marked("roll") if not found else last,))


def on_beats(metre: Metre, struck: Sequence[int], pitch: Pitch, *marks: str) -> tuple[Note, ...]:
    """A bar with strokes on some of its beats, each as long as a beat or a quarter, and rests.

    Args:
        metre: of the bar.
        struck: the beats, from 0.
        pitch: what is struck.
        marks: marks on each stroke.

    >>> [str(n.value) + ("" if n.pitch else " rest") for n in on_beats(Metre.parse("4/4"), (0, 2), LINE)]
    ['4', '4 rest', '4', '4 rest']
    """
    found: list[Note] = []
    place = Fraction(0)
    for start, beat, number in zip(metre.beat_starts, metre.beats, range(len(metre.beats)), strict=True):
        if number in struck:
            found += rests(place, start, metre)
            value = value_of(min(beat, Fraction(1, 4))) or Value(8)
            found.append(Note(pitch, value, marks=tuple(marks)))
            place = start + value.length
    return (*found, *rests(place, metre.length, metre))


def rests(start: Fraction, end: Fraction, metre: Metre) -> list[Note]:
    """Rests from one place of a bar to another, none hiding the middle of the bar or a beat of three eighths.

    >>> [str(note.value) for note in rests(Fraction(1, 4), Fraction(1), Metre.parse("4/4"))]
    ['4', '2']
    >>> [str(note.value) for note in rests(Fraction(1, 4), Fraction(3, 4), Metre.parse("6/8"))]
    ['8', '4.']
    """
    found: list[Note] = []
    edges = [*metre.beat_starts[1:], metre.length]
    while start < end:
        beat = next(edge for edge in edges if edge > start)
        size = Fraction(3, 8)
        if not (metre.unit >= _COMPOUND and start in (0, *edges) and beat - start == size and beat <= end):
            size = Fraction(1)
            most = min(end, beat) - start if metre.unit >= _COMPOUND else end - start
            while size > most or start % size:
                size /= 2
        value = value_of(size)
        if value is None:
            break
        found.append(Note(None, value))
        start += size
    return found


def strong_beats(metre: Metre) -> tuple[int, ...]:
    """The strong beats of a bar: the first, and in the middle of an even number of four or more beats.

    >>> [strong_beats(Metre.parse(text)) for text in ("4/4", "3/4", "2/4", "12/8", "7/8")]
    [(0, 2), (0,), (0,), (0, 2), (0,)]
    """
    count = len(metre.beats)
    return (0, count // 2) if count >= 4 and count % 2 == 0 else (0,)


def last_place(exercise: Exercise) -> tuple[int, Fraction]:
    """Bar and place of the last note that is begun.

    >>> from generator import exercises, player
    >>> last_place(exercises("C major, one octave, quarters", player=player("flute"))[0])
    (3, Fraction(1, 2))
    """
    held = list(held_notes(exercise.bars))
    return (held[-1].bar, held[-1].place) if held else (len(exercise.bars) - 1, Fraction(0))


def dynamics_at_beats(bar: Bar) -> dict[Fraction, tuple[str, ...]]:
    """Dynamic signs of a bar by the beat they begin in.

    >>> from generator import exercises, player
    >>> made = exercises("C major, half notes, crescendo up, diminuendo down", player=player("flute"))[0]
    >>> {str(place): signs for place, signs in dynamics_at_beats(made.bars[0]).items()}
    {'0': ('p', '<')}
    """
    found: dict[Fraction, tuple[str, ...]] = {}
    place = Fraction(0)
    for note in bar.notes:
        for at, signs in ((place, note.dynamic), (place + note.length, note.dynamic_end)):
            if signs:
                beat = max(start for start in bar.metre.beat_starts if start <= at)
                found[beat] = (*found.get(beat, ()), *signs)
        place += note.length
    return found
