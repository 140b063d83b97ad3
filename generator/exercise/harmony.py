"""Chords under a line: what a pianist or guitarist plays while the section has its scale.

A form of seven notes is harmonised with the triads on its first, fourth and fifth notes, the last of these with its
seventh where that makes a dominant; a chord lasts half a bar where a bar has four beats or more, else a bar. Of all
rows of chords the one is taken that holds most of the line, above all what falls on beats, that begins and ends on the
tonic and does not go back from the dominant to the subdominant (rules of harmony as in any textbook; the weights are
ours). Any other scale has the chord of its own third and fifth throughout, a chord laid out as a line has itself.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from generator.exercise.records import Bar
from generator.theory.chord import Chord, kind_of
from generator.theory.duration import Metre
from generator.theory.form import Form, Ladder, Way
from generator.theory.pitch import NoteName, Pitch

_SEVEN, _EVERY = 7, 12
_DEGREES: tuple[tuple[int, Way], ...] = ((0, "up"), (3, "down"), (4, "up"))
_OFF_BEAT = Fraction(1, 3)
_CHANGE, _BACK = Fraction(1, 12), Fraction(1)
_TONIC, _SUBDOMINANT, _DOMINANT = 0, 1, 2


@dataclass(frozen=True, slots=True)
class ChordAt:
    """A chord in its place.

    Attributes:
        bar: its bar, from 0.
        place: where it begins in that bar.
        length: how long it lasts.
        chord: the chord.
        changes: it is another one than before.
    """

    bar: int
    place: Fraction
    length: Fraction
    chord: Chord
    changes: bool


def chords_of(form: Form, tonic: NoteName) -> tuple[Chord, ...]:
    """The chords of a form: tonic, subdominant and dominant, or the one it has throughout; none for every semitone.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> forms = shared_catalogue().forms
    >>> for name in ("major", "harmonic minor", "blues scale", "whole-tone", "dominant seventh", "chromatic"):
    ...     print(*(chord.symbol for chord in chords_of(forms.find(name), NoteName.parse("C"))))
    C F G7
    Cm Fm G7
    C7
    Caug
    G7
    <BLANKLINE>
    """
    ladder = Ladder(form, tonic)
    if form.size == _SEVEN and not form.chord:
        return tuple(_stacked(ladder, degree, way) for degree, way in _DEGREES)
    root = form.root.above_name(tonic)
    kind = _own_kind(form)
    return (Chord(root, kind),) if kind else ()


def harmony(bars: Sequence[Bar], form: Form, line: NoteName, heard: NoteName) -> tuple[ChordAt, ...]:
    """The chords under a line.

    Args:
        bars: the line, as somebody reads it.
        form: its form.
        line: the tonic it is read on.
        heard: the concert tonic of the chords.

    >>> from generator import exercises, player
    >>> from generator.catalogue.tables import shared_catalogue
    >>> made = exercises("C major, one octave, quarters", player=player("flute"))[0]
    >>> tonic = NoteName.parse("C")
    >>> found = harmony(made.bars, shared_catalogue().forms.find("major"), tonic, tonic)
    >>> print(*(one.chord.symbol for one in found if one.changes))
    C G7 C
    """
    own, other = chords_of(form, heard), chords_of(form, line)
    parts = list(_parts(bars))
    if not own or not parts:
        return ()
    if len(own) == 1:
        rows = [0] * len(parts)
    else:
        rows = _best([_covered(bars[bar], place, length, other) for bar, place, length in parts])
    found: list[ChordAt] = []
    for (bar, place, length), row in zip(parts, rows, strict=True):
        changes = not found or found[-1].chord != own[row]
        found.append(ChordAt(bar, place, length, own[row], changes))
    return tuple(found)


def _stacked(ladder: Ladder, degree: int, way: Way) -> Chord:
    """The triad on a degree; a seventh chord where that is a dominant's."""
    notes = [ladder.pitch(degree + third, way) for third in (0, 2, 4, 6)]
    above = [note.height - notes[0].height for note in notes[1:]]
    if degree and kind_of(frozenset(above)) == "dominant seventh":
        return Chord(notes[0].note, "dominant seventh")
    return Chord(notes[0].note, kind_of(frozenset(above[:2])) or "major")


def _own_kind(form: Form) -> str | None:
    """The kind of the one chord a form has."""
    inside = {interval.semitones % 12 for interval in form.up} - {0}
    if form.chord:
        return kind_of(frozenset(inside)) or kind_of(frozenset(inside & {3, 4, 6, 7, 8}))
    if "blues" in form.name:
        return "dominant seventh"
    if form.size == _EVERY:
        return None
    if {3, 6, 9} <= inside:
        return "diminished seventh"
    third = 4 if 4 in inside else 3
    fifth = next((size for size in (7, 8, 6) if size in inside), 7)
    return kind_of(frozenset({third, fifth})) or "major"


def _parts(bars: Sequence[Bar]) -> Iterator[tuple[int, Fraction, Fraction]]:
    """Bar, place and length of each chord."""
    for number, bar in enumerate(bars):
        if not bar.incomplete:
            edges = [Fraction(0), *_middle(bar.metre), bar.metre.length]
            for start, end in pairwise(edges):
                yield number, start, end - start


def _middle(metre: Metre) -> tuple[Fraction, ...]:
    beats = len(metre.beats)
    return (metre.beat_starts[beats // 2],) if beats >= 4 and beats % 2 == 0 else ()


def _covered(bar: Bar, start: Fraction, length: Fraction, chords: Sequence[Chord]) -> tuple[Fraction, ...]:
    """How much of what sounds in a part of a bar each chord holds, 0 to 1."""
    sounding: list[tuple[Pitch, Fraction]] = []
    place = Fraction(0)
    for note in bar.notes:
        inside = min(place + note.length, start + length) - max(place, start)
        if note.pitch is not None and inside > 0:
            sounding.append((note.pitch, inside * (1 if place in bar.metre.beat_starts else _OFF_BEAT)))
        place += note.length
    whole = sum((weight for _, weight in sounding), Fraction(0)) or Fraction(1)
    classes = [{note.pitch_class for note in chord.notes} for chord in chords]
    return tuple(
        sum((weight for pitch, weight in sounding if pitch.height % 12 in own), Fraction(0)) / whole
        for own in classes
    )


def _best(covered: Sequence[Sequence[Fraction]]) -> list[int]:
    """The row of chords that holds most of the line, from the tonic to the tonic."""
    paths: dict[int, tuple[Fraction, tuple[int, ...]]] = {_TONIC: (covered[0][_TONIC], (_TONIC,))}
    for number, own in enumerate(covered[1:], 1):
        last = number == len(covered) - 1
        row: dict[int, tuple[Fraction, tuple[int, ...]]] = {}
        for chord in (_TONIC,) if last else range(len(own)):
            offers = [
                (worth + own[chord] - _step(before, chord), (*path, chord))
                for before, (worth, path) in paths.items()
            ]
            row[chord] = max(offers, key=lambda offer: (offer[0], [-one for one in offer[1]]))
        paths = row
    return list(paths[_TONIC][1])


def _step(before: int, chord: int) -> Fraction:
    if before == chord:
        return Fraction(0)
    return _CHANGE + (_BACK if (before, chord) == (_DOMINANT, _SUBDOMINANT) else 0)
