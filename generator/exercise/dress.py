"""Dressing a line: repeated notes, rhythm, articulation, swells, breaths, syllables and beams, in that order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.articulation import Articulation, Half, Sung, articulate
from generator.exercise.records import Note
from generator.exercise.rhythm import Rhythm, pour
from generator.theory.pitch import Pitch

# How an instrument is sounded when its player needs air.
BREATHING = frozenset({"flute", "reed", "brass", "voice"})


@dataclass(frozen=True, slots=True)
class Tone:
    """A note of the line: written pitch, half of the line, and whether two halves share it."""

    pitch: Pitch
    half: Half
    turn: bool = False


@dataclass(frozen=True, slots=True)
class Dress:
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


def dressed(tones: Sequence[Tone], dress: Dress) -> tuple[Note, ...]:
    """Give a line its rhythm, articulation, swells, breaths and beams.

    Args:
        tones: the line.
        dress: what it wears.
    """
    line: list[Tone] = []
    for index, tone in enumerate(tones):
        row_ = dress.up if tone.half == "up" else dress.down
        times = row_.repeats if index < len(tones) - 1 else 1
        if row_.bar and index < len(tones) - 1:
            times = int(dress.rhythm.metre.length / dress.rhythm.cell[0].value.length)
        line += [tone, *[replace(tone, turn=False)] * (times - 1)]
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


def _breathed(worn: list[tuple[Note, ...]], dress: Dress) -> list[tuple[Note, ...]]:
    """Breath marks at barlines of a line that is too long for one breath, never inside a slur."""
    ends: list[Fraction] = []
    for pieces in worn:
        ends.append((ends[-1] if ends else Fraction(0)) + sum((n.length for n in pieces), Fraction(0)))
    if 5 * ends[-1] <= 8 * dress.breath:
        return worn
    found = list(worn)
    since, place = Fraction(0), None
    for index, end in enumerate(ends[:-1]):
        last = worn[index][-1]
        if dress.rhythm.bar_at(end)[0] == end and last.slur in (None, "stop") and last.pitch is not None:
            place = index
        if place is not None and ends[index + 1] - since > dress.breath:
            found[place] = (*found[place][:-1], found[place][-1].marked("breath"))
            since, place = ends[place], None
    return found


def _in_own_words(notes: tuple[Note, ...], dress: Dress) -> tuple[Note, ...]:
    """A player's own syllables in place of the usual ones, in the order in which those first appear."""
    usual = list(dict.fromkeys(n.syllable for n in notes if n.syllable))
    own = dict(zip(usual, dress.syllables, strict=False))
    return tuple(replace(n, syllable=own.get(n.syllable, n.syllable)) if n.syllable else n for n in notes)


def _on_beats(poured: Sequence[tuple[Note, ...]], rhythm: Rhythm) -> list[bool]:
    place = Fraction(0)
    found: list[bool] = []
    for pieces in poured:
        bar, metre = rhythm.bar_at(place)
        found.append(place - bar in metre.beat_starts)
        for note in pieces:
            place += note.length
    return found


def _swelled(dressed: list[tuple[Note, ...]], sung: Sequence[Sung], dress: Dress) -> list[tuple[Note, ...]]:
    """A hairpin over each half; at the turn one ends and the next begins."""
    swells = {"up": (dress.up.swell or ("", ""))[0], "down": (dress.down.swell or ("", ""))[-1]}
    begins = [i for i, s in enumerate(sung) if i == 0 or s.half != sung[i - 1].half]
    found = list(dressed)

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
