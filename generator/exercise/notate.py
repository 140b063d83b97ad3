"""Dressing a line: repeated notes, rhythm, articulation, swells, breaths, syllables and beams, in that order."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, cycle, pairwise
from operator import attrgetter

from generator.exercise.articulation import Articulation, Half, Sung, articulate
from generator.exercise.records import Bar, Note
from generator.exercise.rhythm import Rhythm, into_bars, pour
from generator.theory.pitch import Pitch

# How an instrument is sounded when its player needs air.
BREATHING = frozenset({"flute", "reed", "brass", "voice"})


@dataclass(frozen=True, slots=True)
class LineTone:
    """A note of the line: written pitch, half of the line, and whether two halves share it."""

    pitch: Pitch
    half: Half
    turn: bool = False


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
    """
    heights = [tone.pitch.height for tone in tones]
    same = (False, *(a == b for a, b in pairwise(heights)))
    # A line that wears the same both ways is the same wherever it turns.
    by_halves = dress.by_halves
    halves: tuple[Half, ...] = tuple(tone.half if by_halves else "up" for tone in tones)
    turns = tuple(index for index, tone in enumerate(tones) if tone.turn and by_halves)
    pitches = [tone.pitch for tone in tones]
    return tuple(
        Bar(bar.metre, tuple(filled(pitches) for filled in notes), bar.equivalence)
        for bar, notes in _pattern(halves, turns, same, dress)
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
    halves: tuple[Half, ...], turns: tuple[int, ...], same: tuple[bool, ...], dress: Notation
) -> tuple[tuple[Bar, tuple[_Slot, ...]], ...]:
    """A notated line before its pitches are known: the same in every key.

    Dressing asks of the pitches only whether neighbours sound the same, so pitches stand in whose octave is
    their place in the line and whose height differs from the one before wherever it should.
    """
    stand_ins: list[LineTone] = []
    height = 0
    for place, (half, again) in enumerate(zip(halves, same, strict=True)):
        height += not again
        stand_ins.append(LineTone(Pitch(0, height - 12 * (place + 1), place), half, place in turns))
    bars = into_bars(_worn(stand_ins, dress), dress.rhythm)
    return tuple((bar, tuple(_Slot(note) for note in bar.notes)) for bar in bars)


def _worn(tones: Sequence[LineTone], dress: Notation) -> tuple[Note, ...]:
    """The steps of dressing, one after the other."""
    line: list[LineTone] = []
    for index, tone in enumerate(tones):
        row_ = dress.up if tone.half == "up" else dress.down
        times = row_.repeats if index < len(tones) - 1 else 1
        if row_.bar and index < len(tones) - 1:
            times = int(dress.rhythm.metre.length / dress.rhythm.cell[0].value.length)
        line.append(tone)
        if times > 1:
            line += [replace(tone, turn=False)] * (times - 1)
    poured = pour(tuple(t.pitch for t in line), dress.rhythm)
    sung = tuple(
        Sung(pieces, tone.half, tone.turn, on_beat)
        for pieces, tone, on_beat in zip(poured, line, _on_beats(poured, dress.rhythm), strict=True)
    )
    worn = list(articulate(sung, dress.up, dress.down))
    if dress.up.swell or dress.down.swell:
        worn = _swelled(worn, sung, dress)
    if dress.breath and "breath" not in (*dress.up.close, *dress.down.close):
        worn = _breathed(worn, dress)
    notes = tuple(n for pieces in worn for n in pieces)
    return _beamed(_in_own_words(notes, dress), dress.rhythm)


def breath_length(quarters_a_minute: Fraction | None) -> Fraction:
    """How long a player may be asked to play without a breath, as a fraction of a whole note.

    About fourteen seconds at the tempo asked for (72 when none is), between two and eight bars of 4/4 (common
    practice, no source for the figure).
    """
    quarters = Fraction(quarters_a_minute or 72) * 14 / 60
    return min(max(quarters, Fraction(8)), Fraction(32)) / 4


def _breathed(worn: list[tuple[Note, ...]], dress: Notation) -> list[tuple[Note, ...]]:
    """Breath marks at barlines of a line that is too long for one breath, never inside a slur."""
    rhythm = dress.rhythm
    ends = list(accumulate(sum(rhythm.parts(n.value) for n in pieces) for pieces in worn))
    longest = int(dress.breath * rhythm.grain)
    if 5 * ends[-1] <= 8 * longest:
        return worn
    found = list(worn)
    barlines = _barlines(rhythm, ends[-1])
    since, place = 0, None
    for index, end in enumerate(ends[:-1]):
        last = worn[index][-1]
        if end in barlines and last.slur in (None, "stop") and last.pitch is not None:
            place = index
        if place is not None and ends[index + 1] - since > longest:
            found[place] = (*found[place][:-1], found[place][-1].marked("breath"))
            since, place = ends[place], None
    return found


def _barlines(rhythm: Rhythm, end: int) -> set[int]:
    """Barlines up to a place, in parts of the rhythm's grain."""
    found: set[int] = set()
    bars = (int(metre.length * rhythm.grain) for metre in cycle(rhythm.metres))
    place = 0
    while place < end:
        place += next(bars)
        found.add(place)
    return found


def _in_own_words(notes: tuple[Note, ...], dress: Notation) -> tuple[Note, ...]:
    """A player's own syllables in place of the usual ones, in the order in which those first appear."""
    if not dress.syllables:
        return notes
    usual = list(dict.fromkeys(n.syllable for n in notes if n.syllable))
    own = dict(zip(usual, dress.syllables, strict=False))
    return tuple(replace(n, syllable=own.get(n.syllable, n.syllable)) if n.syllable else n for n in notes)


def _on_beats(poured: Sequence[tuple[Note, ...]], rhythm: Rhythm) -> list[bool]:
    """Which notes begin on a beat."""
    found: list[bool] = []
    bars = cycle(rhythm.metres)
    at = length = 0
    beats: set[int] = set()
    for pieces in poured:
        while at >= length:
            at -= length
            metre = next(bars)
            length = int(metre.length * rhythm.grain)
            beats = {int(start * rhythm.grain) for start in metre.beat_starts}
        found.append(at in beats)
        at += sum(rhythm.parts(note.value) for note in pieces)
    return found


def _swelled(
    notated: list[tuple[Note, ...]], sung: Sequence[Sung], dress: Notation
) -> list[tuple[Note, ...]]:
    """A hairpin over each half; at the turn one ends and the next begins."""
    swells = {"up": (dress.up.swell or ("", ""))[0], "down": (dress.down.swell or ("", ""))[-1]}
    begins = [i for i, s in enumerate(sung) if i == 0 or s.half != sung[i - 1].half]
    found = list(notated)

    def put(index: int, *signs: str) -> None:
        pieces = found[index]
        first = next(k for k, n in enumerate(pieces) if n.pitch is not None)
        note = replace(pieces[first], dynamic=(*pieces[first].dynamic, *(s for s in signs if s)))
        found[index] = (*pieces[:first], note, *pieces[first + 1 :])

    loud = {"<": ("p", "f"), ">": ("f", "p")}
    for number, index in enumerate(begins):
        sign = swells[sung[index].half]
        end = begins[number + 1] if number + 1 < len(begins) else len(sung) - 1
        if not sign or end - index < 3:  # too short for a hairpin to be seen
            continue
        put(index, loud[sign][0] if number == 0 else "", sign)
        put(end, loud[sign][1])
    return found


def _beamed(notes: tuple[Note, ...], rhythm: Rhythm) -> tuple[Note, ...]:
    """Beams that differ from the metre's own: over each stretch of eighths or shorter."""
    if not rhythm.beams:
        return notes
    borders = {sum(rhythm.beams[:k], Fraction(0)) for k in range(len(rhythm.beams) + 1)}
    found: list[Note] = []
    stretch: list[Note] = []
    place = Fraction(0)

    def flush() -> None:
        if len(stretch) > 1:
            found.extend([replace(stretch[0], beam="["), *stretch[1:-1], replace(stretch[-1], beam="]")])
        else:
            found.extend(stretch)
        stretch.clear()

    for note in notes:
        if place % rhythm.metre.length in borders:
            flush()
        if note.pitch is None or note.value.base < 8:
            flush()
            found.append(note)
        else:
            stretch.append(note)
        place += note.length
    flush()
    return tuple(found)
