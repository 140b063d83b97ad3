"""Dressing a line: repeated notes, rhythm, articulation, swells, breaths, syllables and beams, in that order."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import lru_cache
from itertools import cycle, pairwise
from operator import attrgetter

from generator.exercise.articulate import Sung, articulate
from generator.exercise.articulation import Articulation, Half
from generator.exercise.beams import with_beams
from generator.exercise.breath import Pause, with_breaths
from generator.exercise.hairpins import with_hairpins
from generator.exercise.pour import into_bars, pour
from generator.exercise.records import Bar, Note
from generator.exercise.rhythm import Rhythm
from generator.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class LineTone:
    """A note of the line.

    Attributes:
        pitch: written pitch.
        half: of the line.
        turn: two halves share it.
        opens: it begins a half of a scale, which may be held.
        pause: what a breath after it would part.
    """

    pitch: Pitch
    half: Half
    turn: bool = False
    opens: bool = False
    pause: Pause = ""


@dataclass(frozen=True, slots=True)
class Notation:
    """What a line wears.

    Attributes:
        rhythm: its cell and metre.
        up: articulation of the rising half.
        down: of the falling half.
        syllables: a player's own, in place of tu and ku.
        breath: the longest stretch without a breath, a fraction of a whole note; 0 marks no breaths.
    """

    rhythm: Rhythm
    up: Articulation
    down: Articulation
    syllables: tuple[str, ...] = ()
    breath: Fraction = Fraction(0)

    @property
    def by_halves(self) -> bool:
        """Whether it matters where the line turns."""
        same = self.up is self.down or self.up == self.down
        return not same or self.up.whole or bool(self.up.swell)


def notated(tones: Sequence[LineTone], dress: Notation) -> tuple[Bar, ...]:
    """Give a line its rhythm, articulation, swells, breaths and beams, in full bars.

    Args:
        tones: the line.
        dress: what it wears.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> slurred = names.articulations.find("slurred pairs")
    >>> line = [LineTone(Pitch.parse(name), "up") for name in "C4 D4 E4 F4 G4".split()]
    >>> for bar in notated(line, Notation(names.rhythms.find("quarters"), slurred, slurred)):
    ...     print(*[f"{note.pitch} {note.value} {note.slur or 'tongued'}" for note in bar.notes], sep=", ")
    C4 4 start, D4 4 stop, E4 4 start, F4 4 stop
    G4 1 tongued
    """
    heights = [tone.pitch.height for tone in tones]
    same = (False, *(a == b for a, b in pairwise(heights)))
    # A line that wears the same both ways and has no breaths is the same wherever it turns.
    halves: tuple[Half, ...] = tuple(tone.half if dress.by_halves else "up" for tone in tones)
    turns = tuple(index for index, tone in enumerate(tones) if tone.turn and dress.by_halves)
    openings = tuple(index for index, tone in enumerate(tones) if tone.opens)
    pauses: tuple[Pause, ...] = tuple(tone.pause for tone in tones) if dress.breath else ()
    pitches = [tone.pitch for tone in tones]
    return tuple(
        Bar(bar.metre, tuple(filled(pitches) for filled in notes), bar.equivalence)
        for bar, notes in _pattern(halves, turns, openings, pauses, same, dress)
    )


# Faster than dataclasses.replace by more than half, and this is done for every note of every exercise.
_REST_OF_NOTE = attrgetter(*(field.name for field in fields(Note) if field.name != "pitch"))


class _Slot:
    """A note of a pattern that waits for its pitch, with the notes it has made so far."""

    __slots__ = ("known", "note", "place")

    def __init__(self, note: Note) -> None:
        self.place = -1 if note.pitch is None else note.pitch.octave
        self.note = note
        self.known: dict[Pitch, Note] = {}

    def __call__(self, pitches: Sequence[Pitch]) -> Note:
        if self.place < 0:
            return self.note
        pitch = pitches[self.place]
        note = self.known.get(pitch)
        if note is None:
            note = self.known[pitch] = Note(pitch, *_REST_OF_NOTE(self.note))
        return note


@lru_cache(maxsize=256)
def _pattern(
    halves: tuple[Half, ...],
    turns: tuple[int, ...],
    openings: tuple[int, ...],
    pauses: tuple[Pause, ...],
    same: tuple[bool, ...],
    dress: Notation,
) -> tuple[tuple[Bar, tuple[_Slot, ...]], ...]:
    """A notated line before its pitches are known: the same in every key.

    Dressing asks of the pitches only whether neighbours sound the same, so pitches stand in whose octave is
    their place in the line and whose height differs from the one before wherever it should.
    """
    stand_ins: list[LineTone] = []
    height = 0
    for place, (half, again) in enumerate(zip(halves, same, strict=True)):
        height += not again
        pitch = Pitch(0, height - 12 * (place + 1), place)
        pause = pauses[place] if pauses else ""
        stand_ins.append(LineTone(pitch, half, place in turns, place in openings, pause))
    bars = into_bars(_worn(stand_ins, dress), dress.rhythm)
    return tuple((bar, tuple(_Slot(note) for note in bar.notes)) for bar in bars)


def _worn(tones: Sequence[LineTone], dress: Notation) -> tuple[Note, ...]:
    """The steps of dressing, one after the other."""
    line = _repeated(tones, dress)
    openings = (
        tuple(index for index, tone in enumerate(line) if tone.opens) if len(line) == len(tones) else ()
    )
    poured = pour(tuple(t.pitch for t in line), dress.rhythm, openings)
    sung = tuple(
        Sung(pieces, tone.half, tone.turn, on_beat, slot)
        for pieces, tone, (on_beat, slot) in zip(poured, line, _places(poured, dress.rhythm), strict=True)
    )
    worn = list(articulate(sung, dress.up, dress.down, dress.rhythm.per_beat))
    if dress.up.swell or dress.down.swell:
        worn = with_hairpins(worn, sung, dress.up, dress.down)
    if dress.breath and "breath" not in (*dress.up.close, *dress.down.close):
        worn = with_breaths(worn, dress.rhythm, dress.breath, [tone.pause for tone in line])
    notes = tuple(n for pieces in worn for n in pieces)
    return with_beams(_in_own_words(notes, dress), dress.rhythm)


def _repeated(tones: Sequence[LineTone], dress: Notation) -> list[LineTone]:
    """The line with its notes struck as often as the articulation wants."""
    line: list[LineTone] = []
    for index, tone in enumerate(tones):
        row_ = dress.up if tone.half == "up" else dress.down
        times = row_.repeats if index < len(tones) - 1 else 1
        if row_.bar and index < len(tones) - 1:
            times = int(dress.rhythm.metre.length / dress.rhythm.cell[0].value.length)
        if times > 1:
            # Nobody breathes between two strokes on one note.
            line.append(replace(tone, pause="never"))
            line += [replace(tone, turn=False, pause="never")] * (times - 2)
        line.append(replace(tone, turn=False) if times > 1 else tone)
    return line


def _in_own_words(notes: tuple[Note, ...], dress: Notation) -> tuple[Note, ...]:
    """A player's own syllables in place of the usual ones, in the order in which those first appear."""
    if not dress.syllables or dress.up.runs or dress.down.runs:
        return notes
    usual = list(dict.fromkeys(n.syllable for n in notes if n.syllable))
    own = dict(zip(usual, dress.syllables, strict=False))
    return tuple(replace(n, syllable=own.get(n.syllable, n.syllable)) if n.syllable else n for n in notes)


def _places(poured: Sequence[tuple[Note, ...]], rhythm: Rhythm) -> list[tuple[bool, int]]:
    """Whether each note begins on a beat, and its place among the equal notes of the rhythm."""
    found: list[tuple[bool, int]] = []
    bars = cycle(rhythm.metres)
    at = length = passed = 0
    unit = rhythm.parts(rhythm.cell[0].value) if rhythm.per_beat else 0
    beats: set[int] = set()
    for index, pieces in enumerate(poured):
        while at >= length:
            at -= length
            passed += length
            metre = next(bars)
            length = int(metre.length * rhythm.grain)
            beats = {int(start * rhythm.grain) for start in metre.beat_starts}
        found.append((at in beats, (passed + at) // unit if unit else index))
        at += sum(rhythm.parts(note.value) for note in pieces)
    return found
