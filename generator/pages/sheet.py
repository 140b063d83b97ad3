"""A sheet laid out: what stands on each page, where lines and pages break.

Heights are estimates in staff spaces, good enough to share exercises out evenly, which LilyPond does not do: it fills
pages from the front. The exact spacing is its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from generator.exercise.clef import places
from generator.exercise.records import Exercise
from generator.pages.alike import broken_alike
from generator.pages.lines import Layout, Piece, break_lines
from generator.pages.paper import Paper
from generator.pages.partition import evenly
from generator.theory.duration import Value

Show = Literal["notes", "outline", "both"]
SHOWS: tuple[Show, ...] = ("notes", "outline", "both")
_HEADING, _REASON, _TITLE, _REMARK, _FOOT = 6.4, 2.6, 8.0, 3.0, 5.0
_SYSTEM, _SYLLABLES, _DYNAMICS, _GAP = 4.6, 1.2, 2.6, 2.8
# A row of digits under or over the notes.
_FINGERS = 1.3
# The left hand's staff, joined to the right hand's.
_SECOND_STAFF = 4.5
# Letters of a heading that its share of a line holds, for each staff space of the whole line.
_LETTERS = 0.42
# The same of a reason beside which there are lines to write on.
_LETTERS_BESIDE = 0.66
# An exercise may fill this much of a page before it may be parted over two.
_MOST = 0.88
_STRETCHES = 0.7
# LilyPond closes gaps a little on a full page, so a page holds more than its natural height.
_CLOSES_UP = 1.1


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a page that are not music; a person's own words among them.

    Attributes:
        title: large, at the left.
        instrument: at the right.
        subtitle: under the title.
        date: under the instrument.
        remark: one line under the rule: a teacher's note, a caution.
        footer: at the foot of every page.
        strip: days to tick, in short, under the rule.
    """

    title: str
    instrument: str
    subtitle: str = ""
    date: str = ""
    remark: str = ""
    footer: str = ""
    strip: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One exercise as it is printed.

    Attributes:
        number: what it is called on the page; "" for none.
        exercise: the music.
        heading: what stands over it, shortened to what the title does not say.
        concert: the concert key beside it, or "".
        layout: its lines.
        outline: only clef, signature and first note are printed.
        new_page: a page begins with it.
        may_part: longer than a page, so it may be parted.
        section: a heading of its own over it, such as "Answers".
        heading_lines: lines the heading takes, by estimate.
        reason_lines: lines the reason takes, by estimate.
    """

    number: str
    exercise: Exercise
    heading: str
    concert: str
    layout: Layout
    outline: bool = False
    new_page: bool = False
    may_part: bool = False
    section: str = ""
    heading_lines: int = 1
    reason_lines: int = 1

    @property
    def ticks(self) -> str:
        """Beat and tempi, as the page template reads them: ``4. 60 72``; an underline where the player fills in."""
        return " ".join([_value(self.exercise.beat), *(str(t) for t in self.exercise.tempi or ("_",))])

    @property
    def left(self) -> tuple[tuple[Piece, ...], ...]:
        """The lines of the left hand, where hands are together."""
        left = self.exercise.left
        return () if left is None or self.outline else broken_alike(left, self.layout.lines)

    @property
    def tally(self) -> bool:
        """Whether it has lines to write on beside its reason: for the tempo reached, and a stroke each time."""
        return bool(self.exercise.reason and self.exercise.tempi) and not self.outline

    @property
    def reason(self) -> str:
        """The line under the heading."""
        lines = [w for w in (self.exercise.reason, *self.exercise.notes) if w]
        return "" if self.outline else "; ".join(lines)


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """Everything the page template needs.

    Attributes:
        words: title and the like.
        paper: page and staff size.
        items: exercises in order.
        pages: how many pages the breaks make, by estimate.
        stretched: pages are full enough to be spread down to the foot.
    """

    words: Words
    paper: Paper
    items: tuple[SheetItem, ...]
    pages: int = 1
    stretched: bool = False


def lay_out(
    exercises: Sequence[Exercise],
    words: Words,
    paper: Paper,
    show: Show = "notes",
    *,
    first: int = 1,
    filled: float = 1.0,
    titled: bool = True,
) -> SheetLayout:
    """Lay a sheet out.

    Args:
        exercises: in order.
        words: title, instrument and the like.
        paper: paper and print size.
        show: the notes; an outline to play from memory; or both, the notes on pages of their own at the end.
        first: number of the first exercise.
        filled: how much of a page may be used; less than 1 where pages turned out too full.
        titled: the title is printed on the first page.
    """
    short = shared_head(exercises) == words.title
    if short and exercises[0].concert_heading:
        concert = f"C{exercises[0].concert_heading[1:]}"
        words = replace(words, subtitle=", ".join(w for w in (concert, words.subtitle) if w))
    notes = [_item(str(n), e, paper, short=short) for n, e in enumerate(exercises, first)]
    outlines = [replace(i, outline=True, layout=_outline(i, paper)) for i in notes]
    parts = {"notes": [notes], "outline": [outlines], "both": [outlines, notes]}[show]
    items: list[SheetItem] = []
    pages = 0
    fills: list[float] = []
    for number, part in enumerate(parts):
        shared, count, part_fills = _share(part, words, paper, filled, first=titled and number == 0)
        if number:
            shared[0] = replace(shared[0], new_page=True, section="Answers")
        items += shared
        pages += count
        fills += part_fills
    # Few exercises spread over a page would only leave holes.
    crowd = len(items) >= 3 * pages
    stretched = crowd and bool(fills) and min(fills) >= _STRETCHES and not paper.large
    return SheetLayout(words, paper, tuple(items), max(1, pages), stretched)


def without_breaks(sheet: SheetLayout) -> SheetLayout:
    """The same sheet with page breaks left to LilyPond, except before a section.

    For a sheet whose estimated heights were too low, so that LilyPond reports an overfull page or needs one more.
    """
    return replace(
        sheet, items=tuple(replace(i, new_page=bool(i.section)) for i in sheet.items), stretched=False
    )


def shared_head(exercises: Sequence[Exercise]) -> str | None:
    """Key, form and figure, where all exercises have the same and differ in details; the title says it then."""
    heads = {(e.head, e.concert_heading) for e in exercises}
    details = [e.details for e in exercises]
    if len(exercises) < 2 or len(heads) > 1 or not all(details) or len(set(details)) < len(details):
        return None
    return exercises[0].head


def kind_title(form: str, figure: str) -> str:
    """What exercises in several keys share: ``Major in thirds``, ``Harmonic minor scales``, ``Major arpeggio``."""
    name = form[0].upper() + form[1:]
    if figure:
        return f"{name} in {figure}"
    return name if "arpeggio" in form or "seventh" in form else f"{name} scales"


def _item(number: str, exercise: Exercise, paper: Paper, *, short: bool = False) -> SheetItem:
    layout = break_lines(
        exercise.bars, exercise.signature, paper.line, exercise.clefs, exercise.unit, long=exercise.long
    )
    heading = exercise.details[0].upper() + exercise.details[1:] if short else exercise.heading
    concert = "" if short else exercise.concert_heading
    letters = len(number) + len(heading) + len(concert) + 6
    item = SheetItem(
        number, exercise, heading, concert, layout, heading_lines=1 + int(letters / (_LETTERS * paper.line))
    )
    if item.tally:
        item = replace(item, reason_lines=1 + int(len(item.reason) / (_LETTERS_BESIDE * paper.line)))
    return replace(item, may_part=_height(item) > (paper.height - _FOOT) * _MOST - _TITLE)


def _outline(item: SheetItem, paper: Paper) -> Layout:
    first = item.layout.lines[0][:1]
    return Layout((first,), 0.3, min(paper.line, 42.0))


def _height(item: SheetItem) -> float:
    height = _HEADING + _REASON * (item.heading_lines - 1 + item.reason_lines * bool(item.reason))
    if item.section:
        height += 4.0
    for line in item.layout.lines:
        height += _SYSTEM + sum(_ledgers(line, outline=item.outline)) + 2.0 + _GAP
        height += _SYLLABLES if any(n.syllable for p in line for n in p.notes) else 0.0
        height += _DYNAMICS if any(n.dynamic for p in line for n in p.notes) else 0.0
        height += _FINGERS * max(n.finger.count("-") + bool(n.finger) for p in line for n in p.notes)
    for line in item.left:
        height += _SECOND_STAFF + sum(_ledgers(line)) / 3
    return height


def _ledgers(line: Sequence[Piece], *, outline: bool = False) -> tuple[float, float]:
    """What rises above a staff and hangs below it, in staff spaces."""
    stand = [place for piece in line for place in places(piece.clef, piece.notes)]
    if outline:
        stand = stand[:1]
    return max(0.0, max(stand, default=0) / 2 - 2.0), max(0.0, -min(stand, default=0) / 2 - 2.0)


def _share(
    items: list[SheetItem], words: Words, paper: Paper, filled: float, *, first: bool
) -> tuple[list[SheetItem], int, list[float]]:
    """Items with page breaks that fill the pages evenly, how many pages, and how full each is."""
    heights = [_height(i) for i in items]
    strip = _REMARK if words.strip else 0.0
    top = (
        (_TITLE + strip + (_REMARK * (1 + len(words.remark) // 100) if words.remark else 0.0))
        * 18
        / paper.staff
    )
    rooms = [filled * (paper.height - _FOOT - taken) for taken in (top if first else 4.0, 4.0)]
    shared: list[SheetItem] = []
    fills: list[float] = []
    pages = 0
    for run in _runs(items):
        room = rooms if pages == 0 else rooms[1:] * 2
        here = heights[len(shared) : len(shared) + len(run)]
        parts = [1] if run[0].may_part else _pages(here, room)
        starts = {sum(parts[:k]) for k in range(1, len(parts))} | ({0} if pages else set())
        shared += [replace(i, new_page=n in starts) for n, i in enumerate(run)]
        at = 0
        for page, size in enumerate(parts):
            fills.append(sum(_height(i) for i in run[at : at + size]) / room[min(page, 1)])
            at += size
        pages += len(parts)
    return shared, pages, fills


def _runs(items: Sequence[SheetItem]) -> list[list[SheetItem]]:
    """Items that share pages; one that is longer than a page stands alone."""
    runs: list[list[SheetItem]] = []
    for item in items:
        if not runs or item.may_part or runs[-1][-1].may_part:
            runs.append([])
        runs[-1].append(item)
    return runs


def _pages(heights: Sequence[float], rooms: Sequence[float]) -> list[int]:
    """Sizes of the runs on as few pages as hold them, evenly filled."""
    fullest = max(rooms) * _CLOSES_UP
    fewest = int(sum(min(height, fullest) for height in heights) / fullest)
    for count in range(max(1, fewest), len(heights) + 1):
        parts = evenly(heights, count, rooms[0], rooms[1], _CLOSES_UP, light_end=True)
        if parts is not None:
            return parts
    return [1] * len(heights)


def _value(value: Value) -> str:
    return str(value)
