"""Reads a filled mark book: CSV or .xlsx, a line for each candidate.

A column whose title ends in a number in brackets, as in ``Pitches (4)``, holds marks of at most so many points; any
such table can be read, whoever made it. Cells stay as they are written: what they are worth is for `section.marks`.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from generator.documents.own_file import MOST, own_bytes
from generator.documents.table_text import TableLine, text_lines
from generator.documents.workbook import read_workbook
from generator.errors import BadFileError, shown
from generator.files.text import unguarded_cell

_BEST = re.compile(r"^(?P<heading>.*?)\s*\((?P<best>\d{1,3}(?:[.,]\d{1,2})?)\)$")
_NUMBER = re.compile(r"^(?P<number>\d{1,3})\.?(?:\s|$)")
_OWN = re.compile(r"([^;]+?) gives (\d{1,3}(?:[.,]\d{1,2})?)")
_FIELDS = {
    "no": "number", "number": "number", "candidate": "number", "candidateno": "number", "candidatenumber": "number",
    "name": "name", "player": "name", "student": "name", "pupil": "name", "fullname": "name",
    "chair": "chair", "seat": "chair", "part": "chair", "instrument": "instrument", "inst": "instrument",
    "ownpoints": "own", "comment": "comment", "comments": "comment", "remark": "comment", "remarks": "comment",
}  # fmt: skip
_LETTERS = re.compile(r"[^a-z]")
_LOOKED_AT, _MOST_OF_A_BOOK = 25, 4 << 20
_TABLES = (".xlsx", ".xlsm")
_NO_MARKS = "it has no column of marks; titles end in the most points, like: Name, Pitches (4), Pulse (4)"


@dataclass(frozen=True, slots=True)
class MarkColumn:
    """A column of marks.

    Attributes:
        place: its place among the columns of the table.
        number: of a scale, or 0.
        heading: its title without the points.
        best: most points.
    """

    place: int
    number: int
    heading: str
    best: Fraction


@dataclass(frozen=True, slots=True)
class MarkLine:
    """A line of the book.

    Attributes:
        line: its number in the file.
        cells: all of it, as written.
        number: of the candidate, or "".
        name: who it is, or "".
        chair: or "".
        instrument: or "".
        own: most points where they are not those of the column, by number or heading of the column.
        marks: the cells of the columns of marks, in their order.
    """

    line: int
    cells: tuple[str, ...]
    number: str
    name: str
    chair: str
    instrument: str
    own: tuple[tuple[str, Fraction], ...]
    marks: tuple[str, ...]

    def most(self, column: MarkColumn) -> Fraction:
        """The most points there can be in a column."""
        own = dict(self.own)
        return own.get(str(column.number), own.get(column.heading, column.best))

    @property
    def who(self) -> str:
        """Whoever it is, in a few words."""
        number = f"no. {self.number}" if self.number else ""
        return " ".join(w for w in (number, self.name or self.chair or self.instrument) if w)


@dataclass(frozen=True, slots=True)
class MarkBook:
    """A filled mark book.

    Attributes:
        titles: of all columns, as written.
        columns: those of marks.
        lines: in order.
        ignored: titles of columns that mean nothing here.
        remarks: how it was read, for the person.
    """

    titles: tuple[str, ...]
    columns: tuple[MarkColumn, ...]
    lines: tuple[MarkLine, ...]
    ignored: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def read_marks(path: Path) -> MarkBook:
    """Read a mark book.

    Args:
        path: .xlsx, or a table as text in any usual encoding.

    Raises:
        BadFileError: it is no table, or has no column of marks or no line below it.
        OutputError: it cannot be read.
    """
    sheets, remarks = table_of(path)
    found = [
        (sum(map(bool, map(_best, lines[at][1]))), lines, at) for lines in sheets if (at := _head(lines)) >= 0
    ]
    if not found:
        raise BadFileError(f"{path.name}: {_NO_MARKS}")
    _, lines, at = max(found, key=lambda one: one[0])
    titles = tuple(unguarded_cell(title) for title in lines[at][1])
    fields = {
        _FIELDS.get(_LETTERS.sub("", title.casefold()), ""): n
        for n, title in reversed(list(enumerate(titles)))
    }
    columns = tuple(column for n, title in enumerate(titles) if (column := _column(n, title)))
    if not columns:
        raise BadFileError(f"{path.name}, line {lines[at][0]}: {_NO_MARKS}")
    taken = {*fields.values(), *(column.place for column in columns)}
    book = tuple(_line(number, cells, fields, columns, len(titles)) for number, cells in lines[at + 1 :])
    if not book:
        raise BadFileError(f"{path.name}, line {lines[at][0]}: there is no line below the titles")
    blank = fields.get("", -1)
    ignored = tuple(t for n, t in enumerate(titles) if t and (n not in taken or n == blank))
    twice = [c.heading for n, c in enumerate(columns) if c.heading in {o.heading for o in columns[:n]}]
    told = [f"two columns are called {shown(heading)}; both are counted" for heading in dict.fromkeys(twice)]
    return MarkBook(titles, columns, book, tuple(t for t in ignored if not _best(t)), (*remarks, *told))


def read_names(path: Path) -> dict[str, tuple[str, str]]:
    """Name and chair of each number, from the list that says who is who.

    Raises:
        BadFileError: it has no numbers or names.
        OutputError: it cannot be read.
    """
    for lines in table_of(path)[0]:
        for at, (_, titles) in enumerate(lines[:_LOOKED_AT]):
            fields = {
                _FIELDS.get(_LETTERS.sub("", title.casefold()), ""): n for n, title in enumerate(titles)
            }
            if "number" in fields and "name" in fields:
                rows = [MarkLineCells(cells) for _, cells in lines[at + 1 :]]
                return {
                    row.at(fields["number"]): (row.at(fields["name"]), row.at(fields.get("chair", -1)))
                    for row in rows
                }
    raise BadFileError(f"{path.name}: it has no columns No. and Name; the list of numbers of a test has them")


def named(book: MarkBook, names: Mapping[str, tuple[str, str]]) -> tuple[MarkBook, tuple[str, ...]]:
    """The same with the names that belong to numbers, and the numbers that have none.

    Args:
        book: of candidates with numbers.
        names: name and chair of each number.
    """
    unknown = tuple(line.number or f"line {line.line}" for line in book.lines if line.number not in names)
    lines = tuple(
        replace(line, name=names[line.number][0], chair=names[line.number][1] or line.chair)
        if line.number in names
        else line
        for line in book.lines
    )
    return replace(book, lines=lines), unknown


def table_of(path: Path) -> tuple[list[Sequence[TableLine]], tuple[str, ...]]:
    """The lines of each sheet of a table, and what is to be said about it."""
    workbook = path.suffix.casefold() in _TABLES
    data = own_bytes(path, _MOST_OF_A_BOOK if workbook else MOST)
    if not workbook and not data.startswith((b"PK\3\4", b"\xd0\xcf\x11\xe0")):
        return [text_lines(path.name, data)], ()
    book = read_workbook(path.name, data)
    told = ("a formula without its result counts as empty; open the workbook in a spreadsheet and save it",)
    return [lines for _, lines in book.sheets], told if book.unworked else ()


@dataclass(frozen=True, slots=True)
class MarkLineCells:
    """The cells of a line, by place."""

    cells: Sequence[str]

    def at(self, place: int) -> str:
        """The text of a cell as it was before it was guarded; "" where there is none."""
        return unguarded_cell(self.cells[place]) if 0 <= place < len(self.cells) else ""


def _best(title: str) -> re.Match[str] | None:
    return _BEST.match(title)


def _head(lines: Sequence[TableLine]) -> int:
    """The line of titles: the one with most columns of marks, or -1."""
    counts = [(sum(map(bool, map(_best, cells))), -n) for n, (_, cells) in enumerate(lines[:_LOOKED_AT])]
    count, place = max(counts, default=(0, 0))
    return -place if count else -1


def _column(place: int, title: str) -> MarkColumn | None:
    found = _best(title)
    if found is None or not found["heading"]:
        return None
    best = points(found["best"])
    number = _NUMBER.match(found["heading"])
    return MarkColumn(place, int(number["number"]) if number else 0, found["heading"], best) if best else None


def points(text: str) -> Fraction:
    """Points as they are written, with a point or a comma.

    >>> points("3,5")
    Fraction(7, 2)
    """
    return Fraction(text.replace(",", "."))


def _line(
    number: int, cells: Sequence[str], fields: dict[str, int], columns: Sequence[MarkColumn], width: int
) -> MarkLine:
    row = MarkLineCells(cells)

    def field(name: str) -> str:
        return row.at(fields.get(name, -1))

    own = tuple((what.strip(), points(most)) for what, most in _OWN.findall(field("own")))
    return MarkLine(
        line=number,
        cells=tuple(row.at(n) for n in range(max(width, len(cells)))),
        number=field("number"),
        name=field("name"),
        chair=field("chair"),
        instrument=field("instrument"),
        own=own,
        marks=tuple(row.at(column.place) for column in columns),
    )
