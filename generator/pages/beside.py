"""Many short exercises on one page: number, name and tempi beside each line instead of over it. Pure.

Twelve scales of one octave under headings take two pages, though each fills two thirds of a line. Where every exercise
is one line that leaves room at its left, what is called stands there, as scale sheets print it, and they share a page.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.exercise.records import Exercise
from generator.pages.fill import System, shared
from generator.pages.heights import Profile
from generator.pages.lines import Layout, break_lines
from generator.pages.paper import Paper
from generator.pages.records import SheetItem, SheetLayout, Words
from generator.pages.sheet import lay_out, shared_head
from generator.pages.systems import STAFF_TO_FOOT, first_room, page_room, title_height, word_width

# Distances of the page, as in score.ily: natural, least, and what is left free between ink and ink.
LINE_TO_LINE = (9.5, 8.0, 1.0)
TITLE_TO_LINE = (6.0, 4.5, 1.5)
# Sizes of what stands beside a line, against a heading over one.
WORDS, SMALL = 0.95, 0.82
# From the words to the staff, and the widest they may be.
_APART, _WIDEST = 2.0, 26.0
# Rows beside a staff, and how much of the page has to be filled before it is spread down to the foot.
_ROW, _SPREAD = 2.25, 0.5
# A line is not drawn out to more than this, however much room there is.
_DRAWN_OUT = 1.7
_TEMPO, _TEMPO_ROOM, _BLANK = 5.4, 4.0, 13.0
# Lines about single exercises; more of them belong over their exercises.
_MOST_TOLD = 3


def lay_out_part(exercises: Sequence[Exercise], words: Words, paper: Paper) -> SheetLayout:
    """A part under headings; with the headings beside their lines where that spares all pages but one."""
    sheet = lay_out(exercises, words, paper, blanks=True)
    return (lay_out_beside(exercises, words, paper, blanks=True) if sheet.pages > 1 else None) or sheet


def lay_out_beside(
    exercises: Sequence[Exercise], words: Words, paper: Paper, *, blanks: bool = False
) -> SheetLayout | None:
    """Lay a part out with its headings beside the lines, at the largest staff of those that are easy to read.

    Args:
        exercises: in order.
        words: title, instrument and the like.
        paper: paper and print size.
        blanks: there are lines to write on beside the subtitle.

    Returns:
        The page, or None where not every exercise is one line that leaves room beside it, or they need more pages.
    """
    if not _plain(exercises, paper):
        return None
    for size in (paper, *paper.closer):
        sheet = _laid(exercises, words, size, blanks=blanks)
        if sheet and sheet.pages == 1:
            return sheet
    return None


def _plain(exercises: Sequence[Exercise], paper: Paper) -> bool:
    """Whether these exercises have nothing that needs a heading over them."""
    reader = paper.reader
    usual = not paper.large and reader.apart == 1.0 and reader.names == "none"
    return usual and all(
        not (e.left or e.beneath or e.follows or e.long or e.recipe or e.called is not None)
        and not any(bar.equivalence or bar.label for bar in e.bars)
        for e in exercises
    )


def _laid(exercises: Sequence[Exercise], words: Words, paper: Paper, *, blanks: bool) -> SheetLayout | None:
    told = _told(exercises)
    if told is None:
        return None
    common, tail = _common_details(exercises), _common_tail(exercises)
    said = common or tail
    said = said[:1].upper() + said[1:]
    subtitle = " · ".join(w for w in (said, words.subtitle) if w)
    words = replace(words, subtitle=subtitle, notices=(*told, *words.notices))
    short = shared_head(exercises) == words.title
    items = [
        _item(number, one, paper, (common, tail), short=short) for number, one in enumerate(exercises, 1)
    ]
    column = _APART + max(_width(item) for item in items)
    if column > _WIDEST + _APART:
        return None
    room = paper.line - column
    layouts = [_one_line(one, room, paper) for one in exercises]
    length = min(room, _DRAWN_OUT * max(one.length for one in layouts if one)) if all(layouts) else 0.0
    if not length:
        return None
    items = [
        replace(item, layout=replace(layout, length=length), room=length)
        for item, layout in zip(items, layouts, strict=True)
        if layout
    ]
    systems = _systems([item.profiles[0] for item in items], max(_rows(item) for item in items))
    under = words.subtitle + words.date + "_" * blanks
    title = title_height(
        words.title, under, words.remark, paper.line, strip=bool(words.strip), notices=words.notices
    )
    pages = shared(systems, page_room(paper), first_room(paper, title))
    stretched = pages.full >= _SPREAD
    return SheetLayout(words, paper, tuple(items), len(pages.starts), stretched, column=column)


def _one_line(exercise: Exercise, room: float, paper: Paper) -> Layout | None:
    """An exercise on one line; its length is what the notes take by nature."""
    layout = break_lines(
        exercise.bars,
        exercise.signature,
        room,
        exercise.clefs,
        whole=True,
        close=True,
        most=paper.reader.bars,
    )
    return replace(layout, length=min(room, layout.length)) if len(layout.lines) == 1 else None


def _item(number: int, exercise: Exercise, paper: Paper, said: tuple[str, str], *, short: bool) -> SheetItem:
    common, tail = said
    details = "" if exercise.details == common else exercise.details
    heading = ", ".join(w for w in (exercise.head, details) if w)
    if short and details:
        heading = f"{details[0].upper()}{details[1:]}"
    empty = Layout(((),), 0.0, paper.line)
    silent = replace(exercise, reason="", notes=())
    concert = exercise.concert_heading.removesuffix(f", {tail}")
    return SheetItem(str(number), silent, heading, concert, empty, beside=True)


def _common_details(exercises: Sequence[Exercise]) -> str:
    """Span, rhythm and the like, where all exercises have the same; they stand under the title then."""
    details = {one.details for one in exercises}
    return details.pop() if len(details) == 1 else ""


def _common_tail(exercises: Sequence[Exercise]) -> str:
    """The same where drummers are told what the others play: what stands after the key in all of those headings."""
    tails = {one.concert_heading.partition(", ")[2] for one in exercises}
    return tails.pop() if len(tails) == 1 else ""


def _told(exercises: Sequence[Exercise]) -> tuple[str, ...] | None:
    """What would stand under the headings, each once, with the numbers it is about; None where that is too much."""
    about: dict[str, list[int]] = {}
    for number, one in enumerate(exercises, 1):
        for line in (one.reason, *one.notes):
            if line:
                about.setdefault(line.rstrip("."), []).append(number)
    if len(about) > _MOST_TOLD:
        return None
    every = len(exercises)
    return tuple(
        f"{line}."
        if len(numbers) == every
        else f"In {', '.join(map(str, numbers))}: {line[0].lower()}{line[1:]}."
        for line, numbers in about.items()
    )


def _width(item: SheetItem) -> float:
    """Width of the widest row beside the staff."""
    head = item.head
    tempi = head.ticks.split()[1:]
    ticks = SMALL * (_TEMPO_ROOM + (_BLANK if head.ticks.endswith("_") else _TEMPO * len(tempi)))
    return max(WORDS * word_width(head.heading), SMALL * 1.05 * len(head.concert), ticks)


def _rows(item: SheetItem) -> int:
    return 3 if item.concert else 2


def _systems(profiles: Sequence[Profile], rows: int) -> list[System]:
    # The words stand beside the middle of their staff, and are as high as their rows.
    words = rows * _ROW
    found: list[System] = []
    for number, here in enumerate(profiles):
        top = max(TITLE_TO_LINE[0], here.above + TITLE_TO_LINE[2], words / 2 + TITLE_TO_LINE[2])
        apart = max(words + 0.6, profiles[number - 1].apart(here) + LINE_TO_LINE[2]) if number else 0.0
        after, least = (max(length, apart) for length in LINE_TO_LINE[:2])
        foot = max(STAFF_TO_FOOT[0], here.below + STAFF_TO_FOOT[2], words / 2 + 1.0)
        found.append(System(top, after, least, 1.0, foot))
    return found


__all__ = ["LINE_TO_LINE", "TITLE_TO_LINE", "lay_out_beside", "lay_out_part"]
