"""The systems of a sheet: each line of music with what stands over it, measured in staff spaces.

The distances are those of `templates/house.ily`; a test holds the two together. Widths of words are estimates for the
roman letters of the house, so that it is known which headings wrap.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.pages.fill import System
from generator.pages.heights import COLUMNS, Profile
from generator.pages.paper import Paper

# Distances of the page, as in house.ily: natural, least, and what is left free between ink and ink.
HEADING_TO_STAFF = (4.0, 2.0, 0.9)
STAFF_TO_HEADING = (7.3, 5.2, 1.3)
STAFF_TO_STAFF = (8.6, 7.0, 1.0)
STAFF_TO_FOOT = (5.0, 4.0, 2.2)
# What is left over goes to the room over a heading, and a third as much between the lines of an exercise;
# in large print, where few exercises stand on a page, nearly as much.
GIVES = {"heading": 32.0, "staff": 10.0, "large staff": 24.0}
_HEADING, _HEADING_LINE, _REASON, _REASON_LINE, _SECTION = 2.8, 2.5, 2.4, 2.4, 5.0
# Beside words music stays so far under their upper edge, and is estimated with so much care.
_UNDER_TOP, _BESIDE_WORDS = 1.2, 0.3
_RUNNING_HEAD = 3.9
_TITLE, _TITLE_LINE, _SUBTITLE, _REMARK, _REMARK_LINE, _STRIP = 9.6, 3.5, 2.8, 3.6, 2.6, 3.7
# Width of a letter of a title of more than so many letters.
_TITLE_LETTERS = ((70, 1.6), (34, 1.9), (-1, 2.3))
_FOOTER = 1.9
# Heights are estimates; a page that came out too full would have to be engraved again.
_SAFE = 0.8
# What it costs to part an exercise, and to leave a line of it alone: less than a hole of three centimetres.
_PARTED, _ALONE = 1.2, 5.0
_SHORTEST = 4
# Letters by their width in C059 Bold, the bold of the house, in hundredths of its size; others count as the figures do.
_WIDTHS = {
    30: " !,./:;'", 34: '"-`ijl', 40: "()[]f{}", 45: "It", 50: "*?_rs", 60: "+<=>agovxy|~", 65: "JSZbdkpq",
    70: "FLTXYhnu", 75: "@AEPV", 80: "BCKR", 86: "%&DGHNOQUw", 96: "mMW",
}  # fmt: skip
_LETTERS = {letter: width / 100 for width, letters in _WIDTHS.items() for letter in letters}
_FIGURE, _SIZE = 0.56, 2.6  # of the heading: its size in staff spaces
# Mean width of a letter of smaller words, and of the concert key.
_SMALL, _CONCERT = 1.0, 0.93
_TEMPO, _TEMPO_ROOM, _TALLY = 5.4, 4.0, 31.0
# Share of the line that tempi to tick take at most.
_TICKS = 0.36


@dataclass(frozen=True, slots=True)
class Head:
    """What stands over an exercise.

    Attributes:
        heading: number, name and what else is bold.
        concert: small beside it.
        reason: the line under it, or "".
        ticks: tempi to tick, with the beat.
        beside: lines to write on take a third of the reason's line.
        section: a large heading of its own.
    """

    heading: str
    concert: str = ""
    reason: str = ""
    ticks: str = ""
    beside: bool = False
    section: bool = False


def word_width(words: str) -> float:
    """Width of bold words in a heading."""
    return _SIZE * sum(_LETTERS.get(letter, _FIGURE) for letter in words)


@dataclass(frozen=True, slots=True)
class Overhead:
    """How deep the words over an exercise hang, from their upper edge.

    Attributes:
        height: of the whole.
        depths: of the words in each column of the line.
    """

    height: float
    depths: tuple[float, ...]

    def dip(self, line: Profile) -> float:
        """How far music may rise beside the words, below the lowest of which it would else have to begin."""
        needed = max(depth + up for depth, up in zip(self.depths, line.up, strict=True)) + _BESIDE_WORDS
        return max(0.0, self.height + line.above - needed)


def overhead(head: Head, line: float) -> Overhead:
    """What stands over an exercise, on a line of this length."""
    height = head_height(head, line)
    ticks, words = _widths(head, line, _TICKS)
    depths = [_UNDER_TOP] * COLUMNS
    _hang(depths, 0.0, min(1.0, words / line), height)
    _hang(depths, 1 - ticks / line, 1.0, _HEADING)
    if head.reason:
        share = (0.66 if head.beside else 1.0) * line
        own = _SMALL * len(head.reason)
        height += _REASON + _REASON_LINE * int(own // share)
        _hang(depths, 0.0, min(own, share) / line, height)
        if head.beside:
            _hang(depths, 1 - min(0.33, _TALLY / line), 1.0, height)
    if head.section:
        height += _SECTION
        depths = [depth + _SECTION for depth in depths]
    return Overhead(height, tuple(depths))


def head_height(head: Head, line: float, share: float = _TICKS) -> float:
    """Height of number, heading and tempi on a line of this length, of which the tempi take at most a share."""
    ticks, words = _widths(head, line, share)
    rows = max(1, int(-(-words // max(line - ticks - 2.0, 8.0))))
    return _HEADING + _HEADING_LINE * (rows - 1)


def _widths(head: Head, line: float, share: float) -> tuple[float, float]:
    """Widths of the tempi and of the words."""
    tempi = max(1, len(head.ticks.split()) - 1)
    ticks = min(share * line, _TEMPO_ROOM + (13.0 if head.ticks.endswith("_") else _TEMPO * tempi))
    return ticks, word_width(head.heading) + (0.8 + _CONCERT * len(head.concert) if head.concert else 0.0)


def _hang(depths: list[float], start: float, end: float, depth: float) -> None:
    for column in range(int(start * COLUMNS), min(COLUMNS, int(end * COLUMNS) + 1)):
        depths[column] = max(depths[column], depth)


def title_height(
    title: str, subtitle: str, remark: str, line: float, *, strip: bool, notices: Sequence[str] = ()
) -> float:
    """Height of the title of a sheet, down to its first heading.

    Args:
        title: large.
        subtitle: under it, the date included.
        remark: under the rule.
        line: length of a line in staff spaces.
        strip: whether there are days to tick.
        notices: lines of their own under the remark.
    """
    letter = next(width for letters, width in _TITLE_LETTERS if len(title) > letters)
    rows = max(1, -(-letter * len(title) // (0.62 * line)))
    height = _TITLE + _TITLE_LINE * (rows - 1) + _SUBTITLE * bool(subtitle) + _STRIP * strip
    told = [text for text in (remark, *notices) if text]
    rows = sum(1 + len(text) // line for text in told)
    return height + (_REMARK + _REMARK_LINE * (rows - 1) if told else 0.0)


def page_room(paper: Paper) -> float:
    """Height between the running head and the footer."""
    return paper.height - _RUNNING_HEAD - _FOOTER - _SAFE


def first_room(paper: Paper, title: float) -> float:
    """The same of a page with a title."""
    return paper.height - title - _FOOTER - _SAFE


def systems_of(
    profiles: Sequence[Profile], head: Overhead, before: Profile | None, *, large: bool = False
) -> list[System]:
    """The systems of one exercise.

    Args:
        profiles: of its lines.
        head: what stands over it.
        before: the line before it, if any.
        large: in large print.
    """
    staff = GIVES["large staff" if large else "staff"]
    found: list[System] = []
    count = len(profiles)
    for number, here in enumerate(profiles):
        if number == 0:
            own = max(HEADING_TO_STAFF[0], head.height - head.dip(here) + HEADING_TO_STAFF[2] + here.above)
            hang = before.below + STAFF_TO_HEADING[2] if before else 0.0
            after, least = (max(length, hang) + own for length in STAFF_TO_HEADING[:2])
            top, give, cut = own, GIVES["heading"], 0.0
        else:
            apart = profiles[number - 1].apart(here) + STAFF_TO_STAFF[2]
            after, least = (max(length, apart) for length in STAFF_TO_STAFF[:2])
            top, give = here.above + 1.0, staff
            even = count >= _SHORTEST and 2 <= number <= count - 2
            cut = _PARTED if even else _ALONE
        # What stands one over the other in two staves is measured from the upper one.
        above = before if number == 0 else profiles[number - 1]
        if above:
            after, least = after + above.depth, least + above.depth
        foot = here.depth + max(STAFF_TO_FOOT[0], here.below + STAFF_TO_FOOT[2])
        found.append(System(top, after, least, give / GIVES["heading"], foot, cut))
    return found
