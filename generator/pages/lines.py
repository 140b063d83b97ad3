"""Breaking an exercise into lines: as few as can be read, evenly filled, never one bar left alone by accident.

A bar that one line cannot hold is parted at a beat.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.clef import ending
from generator.exercise.records import Bar, Note
from generator.pages.capacity import BARLINE, CLEF_CHANGE, LONG_BAR, TIME_SIGNATURE, notes_width, prefix_width
from generator.pages.partition import evenly
from generator.theory.duration import Metre, Value

# A line may be this full; above it notes are crowded.
FULLEST = 1.0
# A single line emptier than this is printed short rather than stretched.
EMPTIEST = 0.66


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
    """

    notes: tuple[Note, ...]
    metre: Metre
    new_metre: bool
    closes: bool
    width: float
    equivalence: tuple[Value, Value] | None = None
    clef: str = "treble"
    new_clef: bool = False


@dataclass(frozen=True, slots=True)
class Layout:
    """Lines of an exercise.

    Attributes:
        lines: pieces by line.
        fill: how full the fullest line is; 1 is natural width.
        length: printed length of the lines in staff spaces.
        short_end: the last line is not stretched to the margin.
    """

    lines: tuple[tuple[Piece, ...], ...]
    fill: float
    length: float
    short_end: bool = False


def break_lines(
    bars: Sequence[Bar],
    signature: int,
    room: float,
    clefs: Sequence[str] = (),
    unit: int = 1,
    *,
    long: bool = False,
) -> Layout:
    """Break bars into lines.

    Args:
        bars: the exercise.
        signature: key signature in fifths, for the room it takes.
        room: length of a line in staff spaces.
        clefs: clef each bar begins in; all treble when left out.
        unit: bars that stay together on a line.
        long: long tones, whose bars are all equally wide.
    """
    clefs = clefs or ("treble",) * len(bars)
    first = room - prefix_width(signature, first=True)
    later = room - prefix_width(signature, first=False)
    pieces: list[Piece] = []
    for index, bar in enumerate(bars):
        new_metre = index > 0 and bar.metre.name != bars[index - 1].metre.name
        new_clef = index > 0 and clefs[index] != ending(clefs[index - 1], bars[index - 1].notes)
        clef = clefs[index]
        parts = _pieces(bar, signature, later * FULLEST, new_metre=new_metre)
        for n, part in enumerate(parts):
            width = max(part.width, LONG_BAR) if long else part.width
            width += CLEF_CHANGE * ((new_clef and not n) + sum(bool(note.clef) for note in part.notes))
            pieces.append(replace(part, width=width, clef=clef, new_clef=new_clef and not n))
            clef = ending(clef, part.notes)
    total = sum(p.width for p in pieces)
    blocks = _blocks(pieces, unit)
    widths = [sum(p.width for p in block) for block in blocks]
    count = max(1, -(-int(total * 100) // int(first * FULLEST * 100)))
    while (sizes := evenly(widths, count, first, later, FULLEST)) is None and count < len(blocks):
        count += 1
    lines: list[list[Piece]] = []
    for size in sizes or [1] * len(blocks):
        lines.append([p for block in blocks[:size] for p in block])
        blocks = blocks[size:]
    fills = [sum(p.width for p in line) / (later if n else first) for n, line in enumerate(lines)]
    length = room
    if len(lines) == 1 and fills[0] < EMPTIEST:
        length = min(room, prefix_width(signature, first=True) + total * 1.35)
    short_end = len(lines) > 1 and fills[-1] < EMPTIEST * max(fills)
    return Layout(tuple(tuple(line) for line in lines), max(fills), length, short_end)


def _blocks(pieces: Sequence[Piece], unit: int) -> list[list[Piece]]:
    """Pieces that stay on one line together: ``unit`` whole bars, unless a bar had to be parted."""
    if unit == 1 or not all(p.closes for p in pieces):
        return [[p] for p in pieces]
    return [list(pieces[k : k + unit]) for k in range(0, len(pieces), unit)]


def _pieces(bar: Bar, signature: int, room: float, *, new_metre: bool) -> list[Piece]:
    extra = TIME_SIGNATURE if new_metre else 0.0
    whole = notes_width(bar.notes, signature) + BARLINE + extra
    if whole <= room:
        return [Piece(bar.notes, bar.metre, new_metre, True, whole, bar.equivalence)]
    parts = _at_beats(bar, -(-int(whole * 100) // int(room * 100)))
    return [
        Piece(
            part,
            bar.metre,
            new_metre and n == 0,
            n == len(parts) - 1,
            notes_width(part, signature) + BARLINE + (extra if n == 0 else 0.0),
            bar.equivalence if n == 0 else None,
        )
        for n, part in enumerate(parts)
    ]


def _at_beats(bar: Bar, count: int) -> list[tuple[Note, ...]]:
    """A bar cut into about equal parts where a beat begins."""
    starts = bar.metre.beat_starts
    wanted = [bar.metre.length * k / count for k in range(1, count)]
    cuts = {min(starts[1:], key=lambda s: abs(s - w)) for w in wanted} if len(starts) > 1 else set()
    parts: list[list[Note]] = [[]]
    place = Fraction(0)
    for note in bar.notes:
        if place in cuts and parts[-1]:
            parts.append([])
        parts[-1].append(note)
        place += note.length
    return [tuple(p) for p in parts]
