"""A condensed score laid out: two staves at concert pitch, who plays in words, and a table of what is read. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.exercise.records import Exercise
from generator.pages.alike import Lines
from generator.pages.paper import Paper, PaperName
from generator.pages.score import lines_together
from generator.pages.sheet import Words
from generator.pages.tables import Block, parted

# Staff size in points: large enough to be read beside a baton, small enough for four scales to a page.
STAFF = 16.0
# Room for the brace, and columns of keys and rows of instruments that the width and height of a page hold.
BRACE = 2.0
_MOST_KEYS, _MOST_ROWS = 6, 40
# An exercise of more lines may be parted over two pages.
MOST_LINES = 4


@dataclass(frozen=True, slots=True)
class CondensedStaff:
    """One of the two staves.

    Attributes:
        voices: what stands on it, the highest first; more than one where parts have notes of their own.
        words: who plays it, and in which octave.
    """

    voices: tuple[Exercise, ...]
    words: str


@dataclass(frozen=True, slots=True)
class CondensedTurn:
    """One exercise of all.

    Attributes:
        heading: in concert terms.
        written: the keys that are read, by transposition.
        staves: from the top; one where all play in one octave.
    """

    heading: str
    written: str
    staves: tuple[CondensedStaff, ...]


@dataclass(frozen=True, slots=True)
class CondensedItem:
    """One exercise in its lines.

    Attributes:
        number: what it is called.
        turn: the exercise.
        lines: by staff, then by voice, broken alike.
    """

    number: str
    turn: CondensedTurn
    lines: tuple[tuple[Lines, ...], ...]

    @property
    def may_part(self) -> bool:
        """Whether it is too long to be kept on one page."""
        return len(self.lines[0][0]) > MOST_LINES


@dataclass(frozen=True, slots=True)
class CondensedScore:
    """Everything the template needs.

    Attributes:
        words: title and the like.
        paper: page and staff size.
        items: exercises in order.
        tables: what each instrument reads, and its first note.
    """

    words: Words
    paper: Paper
    items: tuple[CondensedItem, ...]
    tables: tuple[Block, ...]


def lay_out_condensed(
    turns: Sequence[CondensedTurn], reads: Sequence[tuple[str, ...]], words: Words, paper: PaperName
) -> CondensedScore:
    """Lay a condensed score out.

    Args:
        turns: in order.
        reads: the name of each part, then for each turn the key it reads and its first note.
        words: title and the like.
        paper: letter or a4.
    """
    page = Paper(paper, STAFF)
    items = [_item(number, turn, page.line - BRACE) for number, turn in enumerate(turns, 1)]
    return CondensedScore(words, page, tuple(items), _tables(turns, reads))


def _item(number: int, turn: CondensedTurn, room: float) -> CondensedItem:
    voices = [voice for staff in turn.staves for voice in staff.voices]
    lines = iter(lines_together(voices, room))
    return CondensedItem(str(number), turn, tuple(tuple(next(lines) for _ in s.voices) for s in turn.staves))


def _tables(turns: Sequence[CondensedTurn], reads: Sequence[tuple[str, ...]]) -> tuple[Block, ...]:
    """Keys and first notes by part, so many exercises side by side as a page is wide."""
    tables: list[Block] = []
    count = -(-len(turns) // _MOST_KEYS)
    size = -(-len(turns) // count)
    for start in range(0, len(turns), size):
        some = range(start, min(start + size, len(turns)))
        head = ("", *(f"{n + 1}. {turns[n].heading.split(',')[0]}" for n in some))
        rows = [head, *((row[0], *(row[n + 1] for n in some)) for row in reads)]
        tables += [
            Block(
                "" if tables else "Written key and first written note",
                widths=(24, *(14,) * len(some)),
                rows=part,
            )
            for part in parted(rows, _MOST_ROWS)
        ]
    return tuple(tables)
