"""Chords over a line for keyboards, guitars and harps: symbols above it, and a left hand that plays them.

In a section nobody needs the scale an octave lower once more: the pianist's right hand has the line that everybody
has, the left hand its chords in close position, each as near to the one before as it lies (common practice, no source).
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations_with_replacement

from generator.exercise.clef import in_one_clef
from generator.exercise.harmony import ChordAt
from generator.exercise.records import Bar, Exercise, Note
from generator.theory.chord import Chord
from generator.theory.duration import split_length
from generator.theory.pitch import Pitch

CHORDING = frozenset({"keyboards", "plucked strings", "harps"})
"""Families that read chords over a line."""
# Where close position is clear and lies under the line: from A2 to E4, best about F3.
_LOW, _HIGH, _BEST = 45, 64, 53
_FULL = 3


def with_chords(exercise: Exercise, chords: Sequence[ChordAt], *, hands: bool) -> Exercise:
    """An exercise with chord symbols, and with chords in the left hand where there are two.

    Args:
        exercise: the line.
        chords: in the key it is read in.
        hands: the left hand plays them.

    >>> from generator import exercises, player
    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.exercise.harmony import harmony
    >>> from generator.theory.pitch import NoteName
    >>> made = exercises("C major, one octave, quarters", player=player("piano"))[0]
    >>> tonic = NoteName.parse("C")
    >>> chords = harmony(made.bars, shared_catalogue().forms.find("major"), tonic, tonic)
    >>> lower = with_chords(made, chords, hands=True).left
    >>> print(*(pitch for pitch in (lower.bars[0].notes[0].pitch, *lower.bars[0].notes[0].also)))
    C3 E3 G3
    """
    if not chords:
        return exercise
    symbols = {(one.bar, one.place): one.chord for one in chords if one.changes}
    bars = tuple(
        replace(bar, notes=tuple(_marked(bar, {p: c for (n, p), c in symbols.items() if n == number})))
        for number, bar in enumerate(exercise.bars)
    )
    made = replace(exercise, bars=bars, digits="")
    if not hands:
        return replace(made, left=None)
    lower = tuple(
        _left(bar, [c for c in chords if c.bar == n], _voicings(chords)) for n, bar in enumerate(bars)
    )
    left = in_one_clef(replace(made, bars=lower, left=None, ottava=False), "bass")
    return replace(made, left=left)


def without_chords(exercise: Exercise) -> Exercise:
    """An exercise without symbols.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, quarters", player=player("piano"))[0]
    >>> without_chords(made) == made
    True
    """
    bars = tuple(
        replace(bar, notes=tuple(replace(n, chord=None) if n.chord else n for n in bar.notes))
        for bar in exercise.bars
    )
    return replace(exercise, bars=bars)


def _marked(bar: Bar, symbols: Mapping[Fraction, Chord]) -> list[Note]:
    """The notes of a bar; a symbol stands at the note that sounds where its chord begins."""
    found: list[Note] = []
    place = Fraction(0)
    for note in bar.notes:
        here = [chord for at, chord in symbols.items() if place <= at < place + note.length]
        found.append(replace(note, chord=here[0]) if here and not note.grace else note)
        place += note.length
    return found


def _left(bar: Bar, chords: Sequence[ChordAt], voiced: Mapping[Chord, tuple[Pitch, ...]]) -> Bar:
    """Chords for the left hand; where the line rests for a whole bar, so does it."""
    if not chords or all(note.pitch is None for note in bar.notes):
        return replace(bar, notes=tuple(Note(None, note.value) for note in bar.notes), equivalence=None)
    joined: list[tuple[Fraction, Fraction, Chord]] = []
    for one in chords:
        if joined and joined[-1][2] == one.chord:
            joined[-1] = (joined[-1][0], joined[-1][1] + one.length, one.chord)
        else:
            joined.append((one.place, one.length, one.chord))
    notes: list[Note] = []
    held = any("fermata" in note.marks for note in bar.notes)
    for place, length, chord in joined:
        low, *above = voiced[chord]
        values = split_length(place, length, bar.metre)
        for number, value in enumerate(values):
            tie = number + 1 < len(values)
            notes.append(
                Note(low, value, also=tuple(above), tie=tie, marks=("fermata",) if held and not tie else ())
            )
    return replace(bar, notes=tuple(notes), label="")


def _voicings(chords: Sequence[ChordAt]) -> dict[Chord, tuple[Pitch, ...]]:
    """One voicing for each chord: the first in root position, every other near to it."""
    found: dict[Chord, tuple[Pitch, ...]] = {}
    for one in chords:
        if one.chord in found:
            continue
        offers = list(_close(one.chord))
        first = next(iter(found.values()), None)

        def cost(notes: tuple[Pitch, ...], first: tuple[Pitch, ...] | None = first) -> tuple[float, float]:
            middle = sum(n.height for n in notes) / len(notes)
            if first is None:
                return (notes[0].note != one.chord.root, abs(middle - _BEST))  # noqa: B023  # called at once
            return (sum(abs(a.height - b.height) for a, b in zip(notes, first, strict=True)), middle)

        found[one.chord] = min(offers, key=cost)
    return found


def _close(chord: Chord) -> Sequence[tuple[Pitch, ...]]:
    """Three notes in close position, each inversion that lies in the left hand; a seventh chord without its fifth."""
    names = chord.notes if len(chord.notes) == _FULL else (*chord.notes[:2], chord.notes[3])
    found: list[tuple[Pitch, ...]] = []
    for octaves in combinations_with_replacement((2, 3, 4), _FULL):
        for turn in range(_FULL):
            row = (*names[turn:], *names[:turn])
            pitches = tuple(Pitch(n.step, n.alter, octave) for n, octave in zip(row, octaves, strict=True))
            heights = [p.height for p in pitches]
            rising = heights == sorted(set(heights)) and heights[-1] - heights[0] < 12
            if rising and heights[0] >= _LOW and heights[-1] <= _HIGH:
                found.append(pitches)
    return found
