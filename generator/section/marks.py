"""Marks added up: totals, per cent, places with ties, means, who was absent; what is wrong is told cell by cell."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from generator.documents.marks_file import MarkBook, MarkColumn, MarkLine, points
from generator.errors import shown

State = Literal["marked", "open", "absent"]
_MARK = re.compile(r"-?\d{1,3}(?:[.,]\d{1,2})?")
_NOT_ASKED = {"-", "–", "—", "n/a", "na", "not asked"}
_ABSENT = {"absent", "abs", "abs.", "ill", "sick", "excused", "away"}


@dataclass(frozen=True, slots=True)
class CellFault:
    """A cell that cannot be counted.

    Attributes:
        line: of the file.
        who: the candidate.
        column: heading of the column, or "".
        reason: what is wrong with it.
    """

    line: int
    who: str
    column: str
    reason: str

    @property
    def words(self) -> str:
        """In one line."""
        return f"line {self.line} ({self.who}){f', {self.column}' if self.column else ''}: {self.reason}"


@dataclass(frozen=True, slots=True)
class MarkedLine:
    """What a candidate has.

    Attributes:
        line: of the book.
        marks: points by column; None where nothing counts.
        total: sum of the points.
        out_of: the most it could be.
        state: marked; open, where marks are missing or wrong; or absent.
        missing: headings of columns that are not filled yet.
    """

    line: MarkLine
    marks: tuple[Fraction | None, ...]
    total: Fraction
    out_of: Fraction
    state: State
    missing: tuple[str, ...] = ()

    @property
    def share(self) -> Fraction:
        """The part of the most points that was reached."""
        return self.total / self.out_of if self.out_of else Fraction(0)


@dataclass(frozen=True, slots=True)
class Placed:
    """A candidate's places.

    Attributes:
        marked: what they have.
        place: among all, from 1; 0 for none.
        tied: others share it.
        seat: among those of the same instrument, from 1; 0 for none.
        seat_tied: others share that.
    """

    marked: MarkedLine
    place: int = 0
    tied: bool = False
    seat: int = 0
    seat_tied: bool = False


@dataclass(frozen=True, slots=True)
class ColumnMean:
    """How a column went.

    Attributes:
        column: the column.
        count: how many have a mark in it.
        mean: of their points.
        share: mean of the parts of what each could have.
    """

    column: MarkColumn
    count: int
    mean: Fraction
    share: Fraction


@dataclass(frozen=True, slots=True)
class MarksAdded:
    """A mark book added up.

    Attributes:
        book: as it was read.
        placed: every line in the order of the file.
        means: by column, in order.
        faults: cells that cannot be counted.
    """

    book: MarkBook
    placed: tuple[Placed, ...]
    means: tuple[ColumnMean, ...]
    faults: tuple[CellFault, ...]

    def of(self, state: State) -> tuple[Placed, ...]:
        """Those of one state, the best first and else in the order of the file."""
        found = [one for one in self.placed if one.marked.state == state]
        return tuple(sorted(found, key=lambda one: one.place))


def added_up(book: MarkBook) -> MarksAdded:
    """Add a mark book up.

    Args:
        book: as it was read.
    """
    faults: list[CellFault] = []
    lines = [line for line in book.lines if line.who or any(line.marks)]
    marked = [_marked(line, book.columns, faults) for line in lines]
    faults += _twice(lines)
    placed = tuple(_placed(one, marked) for one in marked)
    means = tuple(_means(marked, book.columns))
    return MarksAdded(book, placed, means, tuple(sorted(faults, key=lambda fault: fault.line)))


def _marked(line: MarkLine, columns: Sequence[MarkColumn], faults: list[CellFault]) -> MarkedLine:
    """What one candidate has; cells that cannot be counted are noted."""
    asked = [
        (n, column, line.most(column))
        for n, column in enumerate(columns)
        if line.marks[n].casefold() not in _NOT_ASKED
    ]
    out_of = sum((most for _, _, most in asked), Fraction(0))
    marks: list[Fraction | None] = [None] * len(columns)
    words = [line.marks[n].casefold() for n, _, _ in asked]
    if all(not word or word in _ABSENT for word in words):
        return MarkedLine(line, tuple(marks), Fraction(0), out_of, "absent")
    begun = len(faults)
    missing = []
    for n, column, most in asked:
        said = line.marks[n]
        if not said:
            missing.append(column.heading)
        elif reason := _wrong(said, most):
            faults.append(CellFault(line.line, line.who, column.heading, reason))
        else:
            marks[n] = points(said)
    total = sum((mark for mark in marks if mark is not None), Fraction(0))
    state: State = "open" if missing or len(faults) > begun else "marked"
    return MarkedLine(line, tuple(marks), total, out_of, state, tuple(missing))


def _wrong(said: str, most: Fraction) -> str:
    """Why a cell cannot be counted, or ""."""
    if not _MARK.fullmatch(said):
        return f"{shown(said, 40)} is no mark; it can be 0 to {number(most)}, - where nothing was asked, or absent"
    mark = points(said)
    if mark < 0:
        return f"{said} is below 0"
    return f"{said} is above the most points, {number(most)}" if mark > most else ""


def _twice(lines: Sequence[MarkLine]) -> Iterator[CellFault]:
    """Lines that name a candidate who stands in the book already."""
    seen: dict[tuple[str, str, str], int] = {}
    for line in lines:
        who = (line.number, line.name.casefold(), "" if line.number or line.name else line.chair.casefold())
        # Doublers are tested on each of their instruments.
        key = (who[0], who[1] or who[2], "" if line.number else line.instrument.casefold())
        if not any(key[:2]):
            continue
        if key in seen:
            yield CellFault(line.line, line.who, "", f"stands in line {seen[key]} already; both are counted")
        seen.setdefault(key, line.line)


def _placed(one: MarkedLine, marked: Sequence[MarkedLine]) -> Placed:
    if one.state != "marked":
        return Placed(one)
    instrument = one.line.instrument.casefold()
    same = [other for other in marked if other.line.instrument.casefold() == instrument]
    place, tied = _place(one, marked)
    seat, seat_tied = _place(one, same) if instrument else (0, False)
    return Placed(one, place, tied, seat, seat_tied)


def _place(one: MarkedLine, among: Sequence[MarkedLine]) -> tuple[int, bool]:
    """One more than those who are better; whether anybody else has as much."""
    counted = [other for other in among if other.state == "marked"]
    better = sum(other.share > one.share for other in counted)
    return better + 1, sum(other.share == one.share for other in counted) > 1


def _means(marked: Sequence[MarkedLine], columns: Sequence[MarkColumn]) -> Iterator[ColumnMean]:
    for n, column in enumerate(columns):
        found = [(one.marks[n], one.line.most(column)) for one in marked]
        marks = [(mark, most) for mark, most in found if mark is not None]
        count = len(marks)
        mean = sum((mark for mark, _ in marks), Fraction(0)) / count if count else Fraction(0)
        share = (
            sum((mark / most for mark, most in marks if most), Fraction(0)) / count if count else Fraction(0)
        )
        yield ColumnMean(column, count, mean, share)


def number(value: Fraction, digits: int = 2) -> str:
    """A number as people write it.

    >>> number(Fraction(7, 2)), number(Fraction(4)), number(Fraction(10, 3))
    ('3.5', '4', '3.33')
    """
    if value.denominator == 1:
        return str(value.numerator)
    text = f"{float(value):.{digits}f}"
    return text.rstrip("0").rstrip(".")


def per_cent(share: Fraction) -> str:
    """A part in per cent, to a tenth.

    >>> per_cent(Fraction(2, 3)), per_cent(Fraction(1))
    ('66.7', '100.0')
    """
    return f"{float(100 * share):.1f}"
