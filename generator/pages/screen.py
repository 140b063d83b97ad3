"""A screen as paper: one exercise on pages as wide and as high as a window, at the largest staff that fits. Pure.

Lengths on the screen are CSS pixels, of which 96 make an inch at a reading distance of an arm (CSS Values and Units 3,
5.2, "reference pixel"). The staff of a printed part, 18 points, is 24 of them; nothing is set under 26.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.errors import RequestError
from generator.exercise.clef import places
from generator.exercise.records import Exercise
from generator.pages.lines import FULLEST, Layout, Piece, break_lines

SMALLEST_STAFF = 26.0
_STAVES = (46.0, 42.0, 38.0, 35.0, 32.0, 30.0, 28.0, SMALLEST_STAFF)
# Where an exercise needs several pages, larger staves only make more of them.
_LARGEST_TURNED = 32.0
NARROWEST, WIDEST = 240, 8000
LOWEST, HIGHEST = 60, 8000
SIZES = {"small": 0.85, "fit": 1.0, "large": 1.25, "very large": 1.55}
"""What a reader may wish for: how the staves that are tried compare with the usual ones."""
_MARGIN = 4.0  # pixels at each side
# From the middle of one staff to that of the next, and what stays free between their notes, in staff spaces, as
# `templates/screen.ily` has them.
_STEP, _CLEAR = 8.6, 1.4
_HALF_STAFF, _CLEF, _STEM = 2.0, 1.2, 3.5
_SYLLABLES, _DYNAMICS, _WORDS, _SLUR, _MARKED, _TUPLET, _PLACE = 2.4, 3.0, 2.4, 0.8, 0.8, 1.0, 2.2
# High notes of one line seldom stand right under low ones of the line above.
_MEET = 0.97


@dataclass(frozen=True, slots=True)
class Screen:
    """The room a window has for music.

    Attributes:
        width: pixels.
        height: pixels.
        size: what the reader wishes for, one of `SIZES`.
    """

    width: int
    height: int
    size: str = "fit"

    def __post_init__(self) -> None:
        if not (NARROWEST <= self.width <= WIDEST and LOWEST <= self.height <= HIGHEST):
            raise RequestError(
                f"a screen is {NARROWEST} to {WIDEST} pixels wide and {LOWEST} to {HIGHEST} high, "
                f"not {self.width} by {self.height}"
            )
        if self.size not in SIZES:
            raise RequestError(f"unknown music size; it can be {', '.join(SIZES)}")

    def line(self, staff: float) -> float:
        """Length of a line in staff spaces, for a staff so many pixels high."""
        return (self.width - 2 * _MARGIN) / (staff / 4)


@dataclass(frozen=True, slots=True)
class ScreenLayout:
    """An exercise laid out for a screen. Lengths in staff spaces, except that of the staff.

    Attributes:
        exercise: the music.
        staff: height of the staff in pixels.
        width: of the page.
        margin: at each side.
        layout: its lines.
        turns: numbers of the lines with which a page begins, the first line aside.
        whole: no bar is parted, and bars that belong together stand on one line.
    """

    exercise: Exercise
    staff: float
    width: float
    margin: float
    layout: Layout
    turns: tuple[int, ...] = ()
    whole: bool = True


def lay_out_on(screen: Screen, exercise: Exercise, share: float = 1.0) -> ScreenLayout:
    """Lay an exercise out: on one page as large as it can be, else on as few pages as a readable staff needs.

    Bars that stay whole come before a larger staff.

    Args:
        screen: the room.
        exercise: the music.
        share: how much of the height may be used by estimate; less than 1 where music came out too high.

    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.expand import exercises
    >>> flute = player_named("flute")
    >>> thirds, = exercises(["G major in thirds, full range"], flute).exercises
    >>> for height in (430, 200):
    ...     laid = lay_out_on(Screen(390, height), thirds)
    ...     print(laid.staff, len(laid.turns) + 1)
    32.0 1
    28.0 2
    """
    tried: list[ScreenLayout] = []
    for staff in _staves(screen):
        tried.append(_laid(screen, exercise, staff, share))
        if tried[-1].whole and not tried[-1].turns:
            return tried[-1]
    if found := next((one for one in tried if not one.turns), None):
        return found
    whole = [one for one in tried if one.whole]
    turned = [one for one in whole or tried if one.staff <= _LARGEST_TURNED * SIZES[screen.size]] or tried
    fewest = min(len(one.turns) for one in turned)
    return next(one for one in turned if len(one.turns) == fewest)


def _staves(screen: Screen) -> tuple[float, ...]:
    wished = tuple(dict.fromkeys(max(SMALLEST_STAFF, staff * SIZES[screen.size]) for staff in _STAVES))
    if screen.size in ("fit", "small"):
        return wished
    least = (
        SMALLEST_STAFF * SIZES[screen.size]
    )  # who wishes for large print turns pages rather than reads small
    return tuple(staff for staff in wished if staff >= least)


def _laid(screen: Screen, exercise: Exercise, staff: float, share: float) -> ScreenLayout:
    room = screen.line(staff)
    layout = _broken(exercise, room, exercise.unit)
    together = True
    if layout.fill > FULLEST and exercise.unit > 1:
        layout, together = _broken(exercise, room, 1), False
    space = staff / 4
    turns = _turns(layout.lines, share * screen.height / space)
    whole = together and all(piece.closes for line in layout.lines for piece in line)
    return ScreenLayout(exercise, staff, screen.width / space, _MARGIN / space, layout, turns, whole=whole)


def _broken(exercise: Exercise, room: float, unit: int) -> Layout:
    return break_lines(
        exercise.bars, exercise.signature, room, exercise.clefs, unit,
        long=exercise.long, whole=True, metre_shown=exercise.metre_shown,
    )  # fmt: skip


def _turns(lines: Sequence[Sequence[Piece]], room: float) -> tuple[int, ...]:
    """Where pages begin: as few as the lines need, about equally full."""
    reaches = [_reach(line) for line in lines]
    pages = len(_filled(reaches, room)) + 1
    fullest = room
    # A last page of one line is a page turned for nothing.
    for part in range(19, 9, -1):
        tighter = _filled(reaches, room * part / 20)
        if len(tighter) + 1 > pages:
            break
        fullest = room * part / 20
    return _filled(reaches, fullest)


def _filled(reaches: Sequence[tuple[float, float]], room: float) -> tuple[int, ...]:
    turns: list[int] = []
    height = 0.0
    for number, (above, below) in enumerate(reaches):
        if number and number not in turns[-1:]:
            before = reaches[number - 1][1]
            step = max(_STEP, _MEET * (before + above) + _CLEAR)
            if height + step - before + below <= room:
                height += step - before + below
                continue
            turns.append(number)
        height = above + below
    return tuple(turns)


def _reach(line: Sequence[Piece]) -> tuple[float, float]:
    """How far a line reaches above and below the middle of its staff."""
    notes = [
        (note, place)
        for piece in line
        for note, place in zip(
            (n for n in piece.notes if n.pitch is not None), places(piece.clef, piece.notes), strict=True
        )
    ]
    above = below = _HALF_STAFF + _CLEF
    for note, place in notes:
        # The stem of a note in the lower half goes up, that of one in the upper half goes down.
        stem = _STEM if note.length < 1 else 0.5
        above = max(
            above, place / 2 + (stem if place < 0 else 0.5) + (_MARKED if note.marks and place >= 0 else 0)
        )
        below = max(
            below, -place / 2 + (stem if place >= 0 else 0.5) + (_MARKED if note.marks and place < 0 else 0)
        )
    if any(n.slur for n, _ in notes):
        above += _SLUR
    if any(n.tuplet_start for n, _ in notes):
        above += _TUPLET
    if any(n.text for n, _ in notes) or any(p.equivalence or p.label for p in line):
        above += _WORDS
    if any(n.place for n, _ in notes):
        above += _PLACE
    if any(n.syllable for n, _ in notes):
        below += _SYLLABLES
    if any(n.dynamic for n, _ in notes):
        below = max(below + 1.0, _HALF_STAFF + _CLEF + _DYNAMICS)
    return above, below
