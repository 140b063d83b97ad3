"""Breaking an exercise into lines: as few as can be read, evenly filled, never one bar left alone by accident.

A bar that one line cannot hold is parted at a beat, and so is one whose barline would leave lines uneven.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.clef import ending
from generator.exercise.records import Bar, Note
from generator.pages.capacity import (
    BARLINE,
    CLEF_CHANGE,
    LONG_BAR,
    SIGNATURE_SIGN,
    TIME_SIGNATURE,
    notes_width,
    prefix_width,
)
from generator.pages.partition import evenly
from generator.pages.pieces import Piece, beats_of, joined, slurred

# A line may be this full; above it notes are crowded.
FULLEST = 1.0
# A single line emptier than this is printed short rather than stretched.
EMPTIEST = 0.66
# What a repeat sign or a double bar takes beyond a plain barline.
_WIDE_BARLINE = 1.4
# Notes by nature wide apart fill a line that is so much longer than it is.
CLOSEST = 1.12
# Lines of one exercise look uneven where one is emptier than this beside another.
EVEN = 0.8
# What it costs to part a bar, and a slur with it, in squares of fill: a bar of sixteen and one of thirty-two notes are
# rather parted into twice twenty-four, five bars become three and two.
_CUT, _SLUR = 0.02, 0.02


@dataclass(frozen=True, slots=True)
class Layout:
    """Lines of an exercise.

    Attributes:
        lines: pieces by line.
        fill: how full the fullest line is; 1 is natural width.
        length: printed length of the lines in staff spaces.
        short_end: the last line is not stretched to the margin.
        spread: how much wider than natural the notes of a short last line stand, to be spaced as those above it.
    """

    lines: tuple[tuple[Piece, ...], ...]
    fill: float
    length: float
    short_end: bool = False
    spread: float = 1.0


def break_lines(
    bars: Sequence[Bar],
    signature: int,
    room: float,
    clefs: Sequence[str] = (),
    unit: int = 1,
    *,
    long: bool = False,
    whole: bool = False,
    close: bool = False,
    metre_shown: bool = True,
    most: int | None = None,
) -> Layout:
    """Break bars into lines.

    Args:
        bars: the exercise.
        signature: key signature in fifths, for the room it takes.
        room: length of a line in staff spaces.
        clefs: clef each bar begins in; all treble when left out.
        unit: bars that stay together on a line.
        long: long tones, whose bars are all equally wide.
        whole: lines end at barlines, even where they are uneven then; otherwise such a bar is parted at a beat.
        metre_shown: time signatures are printed; where they are not, each bar is a cell and stays whole.
        most: bars on a line at the most.
        close: notes that stand wide apart by nature may stand up to a tenth closer, where that saves a line.
    """
    if close and _loose(bars):
        room *= CLOSEST
    clefs = clefs or ("treble",) * len(bars)
    whole = whole or not metre_shown
    first = room - prefix_width(signature, first=metre_shown)
    later = room - prefix_width(signature, first=False)
    pieces: list[Piece] = []
    for index, bar in enumerate(bars):
        new_metre = index > 0 and bar.metre != bars[index - 1].metre
        signature = signature if bar.signature is None else bar.signature
        new_clef = index > 0 and clefs[index] != ending(clefs[index - 1], bars[index - 1].notes)
        clef = clefs[index]
        printed = TIME_SIGNATURE if new_metre and metre_shown else 0.0
        parts = _pieces(bar, signature, later * FULLEST, printed, new_metre=new_metre)
        for n, part in enumerate(parts):
            width = max(part.width, LONG_BAR) if long else part.width
            width += CLEF_CHANGE * ((new_clef and not n) + sum(bool(note.clef) for note in part.notes))
            pieces.append(replace(part, width=width, clef=clef, new_clef=new_clef and not n))
            clef = ending(clef, part.notes)
    lines = _lines(pieces, first, later, unit) if most is None else _counted(pieces, first, later, most)
    if not (whole or long or unit > 1 or most) and _uneven(lines, first, later):
        lines = _evened(lines, pieces, signature, first, later)
    fills = _fills(lines, first, later)
    length = room
    if len(lines) == 1 and fills[0] < EMPTIEST:
        length = min(room, room - first + sum(p.width for p in pieces) * 1.35)
    short_end = len(lines) > 1 and fills[-1] < EMPTIEST * max(fills)
    spread = max(1.0, 1 / (sum(fills[:-1]) / (len(fills) - 1))) if short_end else 1.0
    return Layout(tuple(tuple(line) for line in lines), max(fills), length, short_end, spread)


def _loose(bars: Sequence[Bar]) -> bool:
    """Whether eighths or longer notes prevail, which stay clear when they close up."""
    notes = [note for bar in bars for note in bar.notes]
    short = sum(note.value.base > 8 for note in notes)
    return short <= len(notes) / 2 and not any(note.syllable for note in notes)


def _fills(lines: Sequence[Sequence[Piece]], first: float, later: float) -> list[float]:
    return [sum(p.width for p in line) / (later if n else first) for n, line in enumerate(lines)]


def _lines(pieces: Sequence[Piece], first: float, later: float, unit: int = 1) -> list[list[Piece]]:
    """On as few lines as hold them, about equally full."""
    blocks = _blocks(pieces, unit)
    widths = [sum(p.width for p in block) for block in blocks]
    count = _fewest(sum(widths), first)
    while (sizes := evenly(widths, count, first, later, FULLEST, light_end=unit > 1)) is None and count < len(
        blocks
    ):
        count += 1
    lines: list[list[Piece]] = []
    for size in sizes or [1] * len(blocks):
        lines.append([p for block in blocks[:size] for p in block])
        blocks = blocks[size:]
    return lines


def _counted(pieces: Sequence[Piece], first: float, later: float, most: int) -> list[list[Piece]]:
    """At most so many bars to a line, fewer where they would not fit."""
    lines: list[list[Piece]] = []
    bars, taken = 0, 0.0
    for piece in pieces:
        room = first if len(lines) < 2 else later
        if not lines or bars == most or taken + piece.width > room * FULLEST:
            lines.append([])
            bars, taken = 0, 0.0
        lines[-1].append(piece)
        bars, taken = bars + piece.closes, taken + piece.width
    return lines


def _fewest(total: float, first: float) -> int:
    return max(1, -(-int(total * 100) // int(first * FULLEST * 100)))


def _uneven(lines: Sequence[Sequence[Piece]], first: float, later: float) -> bool:
    fills = _fills(lines, first, later)
    more = len(lines) > _fewest(sum(sum(p.width for p in line) for line in lines), first)
    return len(lines) > 1 and (more or min(fills) < EVEN * max(fills))


def _evened(
    lines: list[list[Piece]], pieces: Sequence[Piece], signature: int, first: float, later: float
) -> list[list[Piece]]:
    """The lines parted at beats where that makes them fewer or more even; else as they were."""
    beats = [part for piece in pieces for part in beats_of(piece, signature)]
    inner = [False, *(not p.closes for p in beats[:-1])]
    costs = [_CUT + (_SLUR if slurred(beats[n - 1]) else 0.0) if cut else 0.0 for n, cut in enumerate(inner)]
    widths = [p.width for p in beats]
    count = _fewest(sum(widths), first)
    while (sizes := evenly(widths, count, first, later, FULLEST, cuts=costs)) is None and count < len(lines):
        count += 1
    if sizes is None:
        return lines
    found: list[list[Piece]] = []
    for size in sizes:
        found.append(joined(beats[:size], signature))
        beats = beats[size:]
    return found


def _blocks(pieces: Sequence[Piece], unit: int) -> list[list[Piece]]:
    """Pieces that stay on one line together: ``unit`` whole bars, unless a bar had to be parted."""
    if unit == 1 or not all(p.closes for p in pieces):
        return [[p] for p in pieces]
    return [list(pieces[k : k + unit]) for k in range(0, len(pieces), unit)]


def _pieces(bar: Bar, signature: int, room: float, extra: float, *, new_metre: bool) -> list[Piece]:
    """A bar as one piece, or as several where it is wider than the room; `extra` is what stands before its notes."""
    extra += _WIDE_BARLINE * bool(bar.ends)
    if bar.signature is not None:
        extra += SIGNATURE_SIGN * abs(bar.signature) + BARLINE
    whole = notes_width(bar.notes, signature) + BARLINE + extra
    partial = bar.length if bar.incomplete else None
    if whole <= room:
        piece = Piece(bar.notes, bar.metre, new_metre, True, whole, bar.equivalence)
        plain = not (bar.label or bar.ends or bar.incomplete) and bar.signature is None
        if plain:
            return [piece]
        return [replace(piece, signature=bar.signature, label=bar.label, ends=bar.ends, partial=partial)]
    parts = _at_beats(bar, -(-int(whole * 100) // int(room * 100)))
    return [
        Piece(
            part,
            bar.metre,
            new_metre and n == 0,
            n == len(parts) - 1,
            notes_width(part, signature) + BARLINE + (extra if n == 0 else 0.0),
            bar.equivalence if n == 0 else None,
            signature=bar.signature if n == 0 else None,
            label=bar.label if n == 0 else "",
            ends=bar.ends if n == len(parts) - 1 else "",
            partial=partial if n == 0 else None,
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


__all__ = ["CLOSEST", "EMPTIEST", "EVEN", "FULLEST", "Layout", "Piece", "break_lines"]
