"""A score laid out: staves bracketed by families, names with room for them, lines that break alike in every staff.

All parts share one rhythm, so their bars hold the same number of notes and one division into lines serves them all.
Heights and widths are estimates; lengths in staff spaces unless a name says millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.exercise.clef import places
from generator.exercise.records import Exercise
from generator.pages.alike import Lines, broken_alike
from generator.pages.capacity import SIGNATURE_SIGN, notes_width
from generator.pages.lines import break_lines
from generator.pages.paper import Paper, PaperName
from generator.pages.sheet import Words

# Families that one bracket joins, in the order of a score (common practice).
CHOIRS: tuple[tuple[str, ...], ...] = (
    ("flutes", "recorders", "oboes", "bassoons", "clarinets", "saxophones"),
    ("trumpets", "horns", "trombones", "low brass"),
    ("timpani", "mallets", "percussion"),
    ("plucked strings",),
    ("harps",),
    ("keyboards",),
    ("voices",),
    ("strings",),
)
# Staff sizes in points, from the largest a score is printed in to the smallest that can be read on a stand.
LARGEST = 15.0
_SIZES = tuple(LARGEST - half / 2 for half in range(19))
SMALLEST_READABLE = 9.0
# A line of a name that is longer leaves no room for the music; it is printed smaller.
LONGEST_NAME = 26
# Width of a letter of a name, its distance from the staff, and where a name is broken in two.
_LETTER, _APART, _WIDE_NAME, _WIDE_SHORT = 1.18, 2.2, 18, 10
_TITLE, _HEADING, _FOOT = 11.0, 6.0, 6.0
_STAFF, _GAP, _CHOIR_GAP, _ONE_LINE = 4.0, 2.4, 2.0, 1.0
# What the other staves' accidentals may add to a bar.
_SHARED_SIGNS = 0.94


@dataclass(frozen=True, slots=True)
class Staff:
    """One part in a score.

    Attributes:
        name: at the first system.
        short: at the later ones.
        instrument: catalogue name; neighbours of one name get a bracket of their own.
        family: decides its choir.
        exercises: the music, in order.
    """

    name: str
    short: str
    instrument: str
    family: str
    exercises: tuple[Exercise, ...]

    @property
    def choir(self) -> int:
        """Which bracket it stands in."""
        return next((n for n, families in enumerate(CHOIRS) if self.family in families), len(CHOIRS))


@dataclass(frozen=True, slots=True)
class ScoreItem:
    """One exercise for all.

    Attributes:
        number: what it is called.
        heading: over it.
        exercises: by staff.
        lines: by staff, broken alike.
    """

    number: str
    heading: str
    exercises: tuple[Exercise, ...]
    lines: tuple[Lines, ...]


@dataclass(frozen=True, slots=True)
class Score:
    """Everything the score template needs.

    Attributes:
        words: title and the like.
        paper: page, with the staff size of the score.
        staves: from the top.
        items: exercises in order.
        indent: room for names at the first system, in millimetres.
        short_indent: at later systems, in millimetres.
        names: room for names at the first and at later systems, in staff spaces.
    """

    words: Words
    paper: Paper
    staves: tuple[Staff, ...]
    items: tuple[ScoreItem, ...]
    indent: float
    short_indent: float
    names: tuple[float, float] = (0.0, 0.0)

    @property
    def small(self) -> bool:
        """Whether it is hard to read at arm's length."""
        return self.paper.staff < SMALLEST_READABLE


def lay_out_score(
    staves: Sequence[Staff],
    headings: Sequence[str],
    words: Words,
    paper: PaperName,
    largest: float = LARGEST,
) -> Score:
    """Lay a score out on the largest staff size at which a system fits a page.

    Args:
        staves: from the top, in the order of a score.
        headings: over each exercise.
        words: title and the like.
        paper: letter or a4.
        largest: staff size in points that is tried first.
    """
    size = _size(staves, paper, largest)
    page = Paper(paper, size)
    long = max(_width(part) for staff in staves for part in split_name(staff.name))
    short = max(_width(part) for staff in staves for part in split_short(staff.short))
    items = [
        _item(str(n + 1), heading, [staff.exercises[n] for staff in staves], page.line - long)
        for n, heading in enumerate(headings)
    ]
    rooms = (long - _APART, short - _APART)
    return Score(words, page, tuple(staves), tuple(items), long * page.space, short * page.space, rooms)


def split_name(name: str, wide: int = _WIDE_NAME) -> tuple[str, ...]:
    """A name in one line, or in two where it has more than so many letters.

    >>> split_name("Baritone Saxophone in E-flat")
    ('Baritone Saxophone', 'in E-flat')
    """
    words = name.split()
    if len(name) <= wide or len(words) < 2:
        return (name,)

    def cost(cut: tuple[str, str]) -> tuple[int, int]:
        # Never between "in" and the pitch that belongs to it.
        return max(map(len, cut)) + (20 if cut[0].endswith(" in") else 0), len(cut[0])

    return min(((" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words))), key=cost)


def split_short(name: str) -> tuple[str, ...]:
    """The same for a name at later systems."""
    return split_name(name, _WIDE_SHORT)


def _width(name: str) -> float:
    letters = len(name.replace("-flat", "b").replace("-sharp", "#"))
    return min(letters, LONGEST_NAME) * _LETTER + _APART


def _size(staves: Sequence[Staff], paper: PaperName, most: float) -> float:
    """The largest size at which the tallest system fits a page below its heading, two where that costs little."""
    system = max(
        system_height([staff.exercises[n] for staff in staves], staves)
        for n in range(len(staves[0].exercises))
    )
    several = any(len(e.bars) > 2 for e in staves[0].exercises) or len(staves[0].exercises) > 1
    fitting = [
        s for s in _SIZES if s <= most and _TITLE + _HEADING + system + _FOOT <= Paper(paper, s).height
    ]
    largest = fitting[0] if fitting else _SIZES[-1]
    two = [s for s in fitting if _TITLE + 2 * (_HEADING + system) + _FOOT <= Paper(paper, s).height]
    return two[0] if several and two and two[0] >= largest - 3 else largest


def system_height(exercises: Sequence[Exercise], staves: Sequence[Staff]) -> float:
    """Height of a system: staves, what rises above and hangs below them, and the room between."""
    height = 0.0
    for number, (exercise, staff) in enumerate(zip(exercises, staves, strict=True)):
        if exercise.clef == "percussion":
            height += _ONE_LINE + _GAP + 2.0
        else:
            stand = [
                place
                for clef, bar in zip(exercise.clefs, exercise.bars, strict=True)
                for place in places(clef, bar.notes)
            ]
            above = max(0.0, max(stand, default=0) / 2 - 2.0)
            below = max(0.0, -min(stand, default=0) / 2 - 2.0)
            height += _STAFF + max(above, 0.6) + max(below, 0.6) + _GAP
        if number and staff.choir != staves[number - 1].choir:
            height += _CHOIR_GAP
    return height


def lines_together(exercises: Sequence[Exercise], room: float) -> tuple[Lines, ...]:
    """The lines of staves that are read together, broken at the same moments.

    Args:
        exercises: one for each staff, of the same bars.
        room: length of a line in staff spaces.
    """
    signs = max(abs(e.signature) for e in exercises)
    widest = max(exercises, key=lambda e: sum(notes_width(b.notes, e.signature) for b in e.bars))
    own_room = (room - SIGNATURE_SIGN * (signs - abs(widest.signature))) * _SHARED_SIGNS
    layout = break_lines(
        widest.bars,
        widest.signature,
        own_room,
        widest.clefs,
        widest.unit,
        whole=True,
        metre_shown=widest.metre_shown,
    )
    return tuple(broken_alike(e, layout.lines) for e in exercises)


def _item(number: str, heading: str, exercises: Sequence[Exercise], room: float) -> ScoreItem:
    return ScoreItem(number, heading, tuple(exercises), lines_together(exercises, room))
