"""How high a line of music stands above and below the middle of its staff, in staff spaces.

A line is looked at in columns, as an engraver lays one line close under another: what hangs low at the left does not
push away what rises at the right. Stems, beams, slurs, marks, dynamics and syllables are counted by common sizes,
measured with LilyPond 2.24 at the house style.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.exercise.clef import MIDDLE, PERCUSSION
from generator.exercise.records import Note
from generator.pages.capacity import notes_width, prefix_width
from generator.pages.lines import Piece

COLUMNS = 24
_HEAD, _STEM, _STAFF = 0.55, 3.1, 2.0
# Over and under its staff, in the first column.
_CLEFS = {
    "treble": (4.0, 3.5),
    "bass": (2.1, 2.0),
    "alto": (2.1, 2.1),
    "tenor": (3.1, 2.0),
    "treble-8": (4.0, 4.6),
    "percussion": (1.0, 1.0),
    "drum set": (2.0, 2.0),
}
_MARKS = {
    "staccato": 0.9, "tenuto": 0.9, "accent": 1.4, "marcato": 1.7, "fermata": 2.0, "down-stroke": 1.8, "up-stroke": 2.2,
}  # fmt: skip
_OVER = ("marcato", "fermata", "down-stroke", "up-stroke")
_OUTSIDE, _ABOVE = frozenset({"accent", *_OVER}), frozenset(_OVER)
_SLUR, _ARCH, _TUPLET, _WORDS, _BREATH, _SYLLABLE, _DYNAMIC = 0.8, 0.7, 2.1, 1.7, 3.4, 2.3, 2.0
_FINGERS, _FINGER_ROW, _NAMES, _FEEL = 1.0, 1.4, 2.3, 6.6
_LABEL, _PLACE = 2.0, 2.2
_CHORDS, _CHORD_ROW = 5.2, 2.4
# Staves of two hands, from middle to middle.
_TWO_STAVES = 9.0
# A note's stem, accidental and head take so much of the line on each side.
_BESIDE = 0.018
_BEAT = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class Profile:
    """Outline of a line of music, column by column, from the middle of its staff.

    Attributes:
        up: how far it rises.
        down: how far it hangs, from the middle of its last staff.
        depth: from the middle of its first staff to that of its last, where there are two.
    """

    up: tuple[float, ...]
    down: tuple[float, ...]
    depth: float = 0.0

    @property
    def above(self) -> float:
        """The highest it rises."""
        return max(self.up)

    @property
    def below(self) -> float:
        """The lowest it hangs."""
        return max(self.down)

    def apart(self, lower: "Profile") -> float:
        """How far the middle of a staff below must lie at the least, so that nothing touches."""
        return max(down + up for down, up in zip(self.down, lower.up, strict=True))

    def with_names(self) -> "Profile":
        """This line with the names of the notes under it."""
        return Profile(self.up, (self.down[0], *(self.below + _NAMES,) * (COLUMNS - 1)), self.depth)

    def over(self, lower: "Profile") -> "Profile":
        """This line and another one under it, for two hands."""
        return Profile(self.up, lower.down, max(_TWO_STAVES, self.apart(lower) + 1.0))

    def hanging(self, more: float) -> "Profile":
        """This line with something under the whole of it."""
        return Profile(self.up, (self.below + more,) * len(self.down), self.depth)


class _Columns:
    """A profile on its way."""

    def __init__(self, clef: str, share: float) -> None:
        self.share = share
        self.up = [_STAFF] * COLUMNS
        self.down = [_STAFF] * COLUMNS
        self.up[0], self.down[0] = (max(_STAFF, height) for height in _CLEFS[clef])

    def at(self, x: float) -> int:
        """The column of a place, 0 to 1, on the line."""
        return min(COLUMNS - 1, max(0, int(x * self.share * COLUMNS)))

    def rise(self, x: float, y: float) -> None:
        for column in range(self.at(x - _BESIDE), self.at(x + _BESIDE) + 1):
            self.up[column] = max(self.up[column], y)

    def hang(self, x: float, y: float) -> None:
        for column in range(self.at(x - _BESIDE), self.at(x + _BESIDE) + 1):
            self.down[column] = max(self.down[column], y)

    def hang_all(self, y: float) -> None:
        """From the first note on."""
        self.down[1:] = [y] * (COLUMNS - 1)


@dataclass(frozen=True, slots=True)
class _Placed:
    note: Note
    x: float
    y: float
    octave: bool
    depth: float = 0.0
    drums: bool = False


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A note with its stem, marks and words: how far it rises and hangs."""

    note: Note
    x: float
    up: bool
    top: float
    low: float


def profile(
    line: Sequence[Piece], signature: int, *, first: bool, share: float = 1.0, feel: bool = False
) -> Profile:
    """The outline of a line.

    Args:
        line: what stands on it.
        signature: key signature in fifths.
        first: the time signature stands on it.
        share: how much of the paper's line it takes.
        feel: words stand over its beginning.
    """
    columns = _Columns(line[0].clef, share)
    drawn = [one for group in _beamed(_placed(line, signature, first=first)) for one in _drawn(group)]
    for one in drawn:
        columns.rise(one.x, one.top)
        columns.hang(one.x, one.low)
        if "breath" in one.note.marks:
            columns.rise(min(1.0, one.x + 0.02), _BREATH)
    _slurs(columns, drawn)
    _labels(columns, line, signature, first=first)
    _below(columns, drawn)
    if feel:
        columns.rise(0.05, _FEEL)
    if any(note.chord for piece in line for note in piece.notes):
        columns.up = [max(_CHORDS, height + _CHORD_ROW) for height in columns.up]
    if any(piece.equivalence for piece in line):
        columns.up = [max(5.6, height + 2.2) for height in columns.up]
    return Profile(tuple(columns.up), tuple(columns.down))


def _labels(columns: _Columns, line: Sequence[Piece], signature: int, *, first: bool) -> None:
    """Words over the first notes of cells, as wide as they are."""
    before = prefix_width(signature, first=first)
    total = before + sum(piece.width for piece in line)
    x = before
    for piece in line:
        if piece.label:
            over = range(columns.at(x / total), columns.at((x + 2.0 + len(piece.label)) / total) + 1)
            top = max(columns.up[column] for column in over) + _LABEL
            for column in over:
                columns.up[column] = top
        x += piece.width


def _placed(line: Sequence[Piece], signature: int, *, first: bool) -> list[_Placed]:
    """The notes with their places on the line and on the staff."""
    before = prefix_width(signature, first=first)
    total = before + sum(piece.width for piece in line)
    found: list[_Placed] = []
    x = before
    for piece in line:
        own = notes_width(piece.notes, signature) or 1.0
        clef = piece.clef
        at = x
        for number, note in enumerate(piece.notes):
            clef = note.clef or clef
            octave = number in piece.octaves
            y = (note.pitch.place - MIDDLE[clef]) / 2 - 3.5 * octave if note.pitch else 0.0
            depth = y - min(((p.place - MIDDLE[clef]) / 2 for p in note.also), default=y)
            found.append(_Placed(note, at / total, y, octave, max(0.0, depth), clef in PERCUSSION))
            at += piece.width * notes_width((note,), signature) / own
        x += piece.width
    return found


def _beamed(placed: Sequence[_Placed]) -> list[list[_Placed]]:
    """Notes whose stems go one way: those of a beat where they have flags, else each alone."""
    groups: list[list[_Placed]] = []
    place, beamed = Fraction(0), False
    for one in placed:
        flagged = one.note.pitch is not None and one.note.value.base >= 8
        if not (beamed and flagged) or place % _BEAT == 0:
            groups.append([])
        groups[-1].append(one)
        place += one.note.length
        beamed = flagged
    return groups


def _drawn(group: Sequence[_Placed]) -> list[_Drawn]:
    """Heads and stems, which all go one way, with what stands at them; rests are left out."""
    sounding = [one for one in group if one.note.pitch is not None]
    if not sounding:
        return []
    top, low = max(one.y for one in sounding), min(one.y - one.depth for one in sounding)
    up = top < -low or sounding[0].drums
    return [_with_marks(one, top, low, up=up) for one in sounding]


def _with_marks(one: _Placed, highest: float, lowest: float, *, up: bool) -> _Drawn:
    note, top, low = one.note, one.y + _HEAD, _HEAD - one.y + one.depth
    if note.value.base >= 2:
        stem = _STEM + (highest + one.y) / 2 if up else _STEM - (lowest + one.y - one.depth) / 2
        top, low = (max(top, stem, 0.0), low) if up else (top, max(low, stem, 0.0))
    for mark in note.marks:
        size = _MARKS.get(mark, 0.0)
        outside = _STAFF if mark in _OUTSIDE else -_STAFF
        if size and (mark in _ABOVE or not up or one.drums):
            top = max(top, outside) + size
        elif size:
            low = max(low, outside) + size
    if note.value.tuplet and note.tuplet_start:
        top, low = (max(top, _STAFF) + _TUPLET, low) if up else (top, max(low, _STAFF) + _TUPLET)
    if note.place:
        top = max(top, _STAFF) + _PLACE
    if note.text or one.octave:
        top = max(top, _STAFF) + _WORDS
    return _Drawn(note, one.x, up, top, low)


def _slurs(columns: _Columns, drawn: Sequence[_Drawn]) -> None:
    run: list[_Drawn] = []
    for one in drawn:
        slur = one.note.slur
        if slur or one.note.tie:
            run.append(one)
        if run and slur in ("stop", "stop start"):
            _slur(columns, run)
            run = [one] if slur == "stop start" else []
        elif run and not slur and not one.note.tie:
            _slur(columns, [*run, one])
            run = []
    if run:
        _slur(columns, run)


def _slur(columns: _Columns, run: Sequence[_Drawn]) -> None:
    """An arch over the heads, or under them where all stems go up."""
    over = any(not one.up for one in run)
    arch = _SLUR + _ARCH * min(1.0, len(run) / 12)
    for one in run:
        if over:
            columns.rise(one.x, one.top + arch)
        else:
            columns.hang(one.x, one.low + arch)


def _below(columns: _Columns, drawn: Sequence[_Drawn]) -> None:
    """Syllables, help for the hand and dynamics, each on a level of its own under the whole line."""
    if any(one.note.syllable for one in drawn):
        columns.hang_all(max(columns.down[1:]) + _SYLLABLE)
    rows = max((one.note.finger.count("-") + bool(one.note.finger) for one in drawn), default=0)
    if rows:
        columns.hang_all(max(columns.down[1:]) + _FINGERS + _FINGER_ROW * rows)
    if any(one.note.dynamic or one.note.dynamic_end for one in drawn):
        columns.hang_all(max(columns.down[1:]) + _DYNAMIC)


__all__ = ["COLUMNS", "Profile", "profile"]
