"""The scales that a passage is made of: requests of our own whose lines hold its runs.

A run is known by its moves, each a number of letters and of half steps, which are the same in every key. So the line of
each form in each figure is built once, on C, and the longest stretches of the passage that stand in a line are taken,
longest first, until little is left.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise, takewhile

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.figure import Figure
from generator.exercise.fit import FitRequest, fit
from generator.exercise.instrument import Compass
from generator.exercise.request import Request
from generator.exercise.span import FULL_RANGE
from generator.passage.kept import MOST_SCALES
from generator.passage.records import Passage
from generator.phrase.write import canonical
from generator.theory.form import Form, Ladder
from generator.theory.interval import Interval
from generator.theory.key import readable
from generator.theory.pitch import NoteName, Pitch

SHORTEST = 5
_BEFORE_A_TURN, _WIDEST_TURN = 3, 16  # notes of the longer part, and letters of the move where a figure turns
_NEARLY = 0.8  # of the longest match: a plainer one is preferred
_WIDE = Compass(Pitch.parse("C2"), Pitch.parse("C7"))
_C = NoteName(0)
_MOST_NOTES = 400
_COMMON = ("straight", "thirds", "triads", "groups of three", "groups of four", "five-note patterns")

_TURN = "\0\0"  # no move of a passage


@dataclass(frozen=True)
class _BuiltLine:
    """A form in a figure on C: its pitches, and the moves between them as a text to search in."""

    form: Form
    figure: Figure
    pitches: tuple[Pitch, ...]
    moves: str
    turns: tuple[int, ...]

    @property
    def widest(self) -> int:
        """Letters of its widest move."""
        return max(abs(after.place - one.place) for one, after in pairwise(self.pitches))

    def part(self, number: int) -> range:
        """The notes between two of its turns."""
        edges = (-1, *self.turns, len(self.pitches) - 1)
        return range(edges[number] + 1, edges[number + 1] + 1) if 0 <= number < len(edges) - 1 else range(0)


@dataclass(frozen=True, slots=True)
class _Match:
    """A stretch of a passage that stands in a line."""

    start: int
    count: int
    line: _BuiltLine
    tonic: NoteName
    home: bool
    unbroken: int

    @property
    def plain(self) -> tuple[bool, bool, int]:
        """The better of two that are about equally long."""
        straight = self.line.figure.name == "straight"
        return self.home and straight, straight, -self.line.form.catalogue


def scales_of(passage: Passage, *, quickly: bool = False) -> tuple[str, ...]:
    """Phrases of ours, at most four, whose lines hold the runs of a passage.

    Args:
        passage: the music.
        quickly: look through the commonest figures alone, a sixth of all lines.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> scales_of(cut_out(read_abc("[K:E][M:4/4][L:1/16] egfa gbac' bd'c'e' d'f'e'2").bars))
    ('E major in thirds',)
    """
    pitches = [note.pitch for note in passage.attacks if note.pitch is not None][:_MOST_NOTES]
    signature = passage.bars[0].signature
    left = [(0, len(pitches))]
    found: list[str] = []
    while left and len(found) < MOST_SCALES:
        best = _best(pitches, left, signature, quickly=quickly)
        if best is None:
            break
        phrase = _phrase(best)
        if phrase not in found:
            found.append(phrase)
        left = list(_without(left, best.start, best.start + best.count))
    return tuple(found)


def _without(parts: Iterable[tuple[int, int]], start: int, end: int) -> Iterator[tuple[int, int]]:
    """What is left of some stretches; the last note of a run may begin the next one."""
    for a, b in parts:
        for c, d in ((a, min(b, start + 1)), (max(a, end - 1), b)):
            if d - c >= SHORTEST and not (a < start and d > start + 1 and c == a):
                yield c, d


def _best(
    pitches: list[Pitch], parts: list[tuple[int, int]], signature: int, *, quickly: bool
) -> _Match | None:
    lines = _lines(quickly)
    matches = [match for start, end in parts for match in _matches(pitches, start, end, signature, lines)]
    if not matches:
        return None
    longest = max(match.count for match in matches)
    # A line that holds all of it is not given up for a plainer one that does not.
    whole = any(match.count == end - start for match in matches for start, end in parts)
    near = [match for match in matches if match.count >= (1 if whole else _NEARLY) * longest]
    return max(near, key=lambda match: (match.plain[0], match.count, match.unbroken, *match.plain[1:]))


def _matches(
    pitches: list[Pitch], start: int, end: int, signature: int, lines: Iterable[_BuiltLine]
) -> Iterator[_Match]:
    """The longest stretch that stands in each line, over a turn of it too."""
    inside = pitches[start:end]
    moves = _moves(inside)
    for line in lines:
        place, count = _longest(moves, line.moves)
        if count + 1 < _BEFORE_A_TURN:
            continue
        for own in _beginnings(moves[2 * place : 2 * (place + count)], line):
            first, last = _over_the_turn(inside, moves, place, place + count, own, line)
            if last - first + 1 < len(pitches):  # only a passage that is wholly a line goes over its turn
                first, last = place, place + count
            if last - first + 1 < SHORTEST:
                continue
            sounding, there = inside[place], line.pitches[own]
            above = Interval(sounding.place - there.place, sounding.height - there.height)
            tonic = above.above_name(_C)
            if abs(tonic.alter) > 1 or readable(tonic, line.form.signature) != tonic:
                continue
            home = line.form.signature is not None and tonic.fifths + line.form.signature == signature
            yield _Match(start + first, last - first + 1, line, tonic, home, count + 1)


def _beginnings(part: str, line: _BuiltLine) -> Iterator[int]:
    """The notes of a line on which a run begins, one of each name: one run may begin on several degrees."""
    found: set[tuple[int, int, int]] = set()
    at = line.moves.find(part)
    while at >= 0:
        own = line.pitches[at // 2]
        name = own.step, own.alter, bisect_left(line.turns, at // 2)
        if at % 2 == 0 and name not in found:
            found.add(name)
            yield at // 2
        at = line.moves.find(part, at + 1)


def _over_the_turn(
    pitches: Sequence[Pitch], moves: str, first: int, last: int, own: int, line: _BuiltLine
) -> tuple[int, int]:
    """First and last note of a stretch once it goes on where the line turns.

    Where that is depends on an instrument's own highest note, so a passage may turn on any.

    Args:
        pitches: of the passage.
        moves: the same as moves.
        first: where the stretch begins.
        last: where it ends.
        own: where it begins in the line.
        line: in which it stands.
    """
    part = bisect_left(line.turns, own)
    up = pitches[first].place - line.pitches[own].place, pitches[first].height - line.pitches[own].height
    widest = line.widest if line.figure.name == "straight" else _WIDEST_TURN

    def alike(note: int, other: int) -> bool:
        one, two = pitches[note], line.pitches[other]
        octaves, beside = divmod(one.place - two.place - up[0], 7)
        return not beside and one.height - two.height - up[1] == 12 * octaves

    after = before = 0
    if last + 1 < len(pitches) and abs(pitches[last + 1].place - pitches[last].place) <= widest:
        rest = moves[2 * (last + 1) :]
        fits = [_alike(rest, line.moves[2 * k :]) + 1 for k in line.part(part + 1) if alike(last + 1, k)]
        after = max(fits, default=0)
    if first > 0 and abs(pitches[first].place - pitches[first - 1].place) <= widest:
        rest = moves[: 2 * (first - 1)][::-1]
        back = (k for k in line.part(part - 1) if alike(first - 1, k))
        before = max((_alike(rest, line.moves[: 2 * k][::-1]) + 1 for k in back), default=0)
    return first - before, last + after


def _alike(one: str, other: str) -> int:
    """How many moves two texts have in common at their beginning."""
    same = takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False))
    return sum(1 for _ in same) // 2


def _longest(moves: str, line: str) -> tuple[int, int]:
    """Place and number of the longest run of moves that stands in a line; two letters are a move."""
    best, count = 0, 0
    total = len(moves) // 2
    start = 0
    while start + count < total:
        longer = moves[2 * start : 2 * (start + count + 1)]
        if _stands(longer, line):
            best, count = start, count + 1
        else:
            start += 1
    return best, count


def _stands(part: str, line: str) -> bool:
    at = line.find(part)
    while at > 0 and at % 2:
        at = line.find(part, at + 1)
    return at >= 0


def _moves(pitches: list[Pitch]) -> str:
    """Moves as text: a letter for the letters of the scale, one for the half steps."""
    return "".join(
        chr(200 + max(-60, min(60, b.place - a.place))) + chr(400 + max(-90, min(90, b.height - a.height)))
        for a, b in pairwise(pitches)
    )


@lru_cache(maxsize=2)
def _lines(quickly: bool) -> tuple[_BuiltLine, ...]:
    """Every form in every figure, over the whole range, on C."""
    names = shared_catalogue()
    return tuple(
        line
        for form in names.forms.rows
        for figure in names.figures.rows
        if not figure.drone
        and (not quickly or figure.name in _COMMON)
        and (line := _line(form, figure)) is not None
    )


def _line(form: Form, figure: Figure) -> _BuiltLine | None:
    ladder = Ladder(form, form.readable_tonic(_C))
    if ladder.tonic != _C:
        return None
    asked = FitRequest(ladder, figure, FULL_RANGE, "up and down", 0, "lowest octave", False, False, None)
    try:
        groups = fit(asked, _WIDE, shared_catalogue().spans.rows).groups
    except DoesNotFitError:
        return None
    degrees = [(degree, group.way) for group in groups for degree in group.degrees]
    pitches = [ladder.pitch(degree, way) for degree, way in degrees]
    moves = _moves(pitches)
    # Where a line turns depends on the instrument, so the move there is none that a passage could have.
    turns = [place for place, (one, after) in enumerate(pairwise(degrees)) if one[1] != after[1]]
    for place in turns:
        moves = moves[: 2 * place] + _TURN + moves[2 * place + 2 :]
    return _BuiltLine(form, figure, tuple(pitches), moves, tuple(turns))


def _phrase(match: _Match) -> str:
    straight = match.line.figure.name == "straight"
    return canonical(Request(match.line.form, (match.tonic,), figure=None if straight else match.line.figure))
