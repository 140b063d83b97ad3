"""What stands on a line: bars, and parts of bars that a line may begin or end with."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from generator.exercise.clef import ending
from generator.exercise.records import Note
from generator.pages.capacity import BARLINE, CLEF_CHANGE, SIGNATURE_SIGN, TIME_SIGNATURE, notes_width
from generator.theory.duration import Metre, Value


@dataclass(frozen=True, slots=True)
class Piece:
    """A bar, or a part of one that is too long for a line.

    Attributes:
        notes: what stands in it.
        metre: time signature of its bar.
        new_metre: the time signature is printed before it.
        closes: a barline follows.
        width: natural width in staff spaces.
        equivalence: printed over its beginning.
        clef: clef it begins in.
        new_clef: the clef is printed before it.
        signature: key signature printed before it, or None.
        label: words over its first note.
        ends: the barline after it, see `Bar`.
        partial: how long an incomplete bar lasts, or None.
        octaves: places of the notes in it that stand an octave lower, under 8va.
    """

    notes: tuple[Note, ...]
    metre: Metre
    new_metre: bool
    closes: bool
    width: float
    equivalence: tuple[Value, Value] | None = None
    clef: str = "treble"
    new_clef: bool = False
    signature: int | None = None
    label: str = ""
    ends: str = ""
    partial: Fraction | None = None
    octaves: frozenset[int] = frozenset()


def slurred(piece: Piece) -> bool:
    """Whether a slur goes on after it."""
    return piece.notes[-1].slur in ("start", "inside", "stop start")


def beats_of(piece: Piece, signature: int) -> list[Piece]:
    """A piece cut wherever a line may end in it: at a beat at which no beam, tuplet or tie goes on."""
    starts = piece.metre.beat_starts
    if piece.metre.length != sum((one.length for one in piece.notes), Fraction(0)):
        return [piece]
    # Eighths are beamed over two beats of a simple metre, but not over the middle of 4/4; shorter notes by the beat.
    compound = piece.metre.beats[0] == Fraction(3, 8)
    middle = piece.metre.length / 2 if len(starts) % 4 == 0 else Fraction(0)
    cuts: list[int] = []
    place = Fraction(0)
    for n, (note, after) in enumerate(pairwise(piece.notes), 1):
        place += note.length
        if place not in starts or note.tie:
            continue
        apart = compound or place == middle or all(_by_the_beat(one) for one in (note, after))
        if apart and not _within(piece.notes, n):
            cuts.append(n)
    edges = [0, *cuts, len(piece.notes)]
    parts = [piece.notes[a:b] for a, b in pairwise(edges)]
    return (
        [_part(piece, start, part, signature) for start, part in zip(edges, parts, strict=False)]
        if cuts
        else [piece]
    )


def _by_the_beat(note: Note) -> bool:
    return note.pitch is None or note.value.base != 8 or note.value.tuplet is not None


def _within(notes: Sequence[Note], cut: int) -> bool:
    """Whether a beam or tuplet of its own goes on over a cut."""
    before = notes[:cut]
    beams = sum((n.beam == "[") - (n.beam == "]") for n in before)
    tuplets = sum(n.tuplet_start - n.tuplet_stop for n in before)
    return beams > 0 or tuplets > 0


def _part(piece: Piece, start: int, notes: tuple[Note, ...], signature: int) -> Piece:
    begins = start == 0
    part = replace(
        piece,
        notes=notes,
        new_metre=piece.new_metre and begins,
        closes=piece.closes and start + len(notes) == len(piece.notes),
        signature=piece.signature if begins else None,
        label=piece.label if begins else "",
        ends=piece.ends if start + len(notes) == len(piece.notes) else "",
        equivalence=piece.equivalence if begins else None,
        clef=ending(piece.clef, piece.notes[:start]),
        new_clef=piece.new_clef and begins,
    )
    return replace(part, width=_width(part, signature))


def _width(piece: Piece, signature: int) -> float:
    clefs = piece.new_clef + sum(bool(note.clef) for note in piece.notes)
    plain = notes_width(piece.notes, signature) + (BARLINE if piece.closes else 0.0)
    key = SIGNATURE_SIGN * abs(piece.signature or 0)
    return plain + CLEF_CHANGE * clefs + (TIME_SIGNATURE if piece.new_metre else 0.0) + key


def joined(parts: Sequence[Piece], signature: int) -> list[Piece]:
    """Parts of one bar that came on one line, made one piece again."""
    found: list[Piece] = []
    for part in parts:
        if found and not found[-1].closes:
            last = found.pop()
            whole = replace(last, notes=(*last.notes, *part.notes), closes=part.closes, ends=part.ends)
            found.append(replace(whole, width=_width(whole, signature)))
        else:
            found.append(part)
    return found
