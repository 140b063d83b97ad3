"""Reads a roster as it comes from a spreadsheet: a line for each player, in CSV or .xlsx.

What cannot be read is left open and told, line by line; it never stops the other lines. Answers to such doubts come in
from outside and are kept in the section file that is made of the roster.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generator.catalogue.names import fold
from generator.catalogue.players import level_named, player_named
from generator.catalogue.spelled import SpelledPart, chair_number, spelled
from generator.documents.own_file import MOST, own_bytes
from generator.documents.roster_columns import RosterColumns, columns_of, remarks_of
from generator.documents.roster_level import LevelTable, level_said, level_table
from generator.documents.section import MOST_CHAIRS, Answer, Chair, Doubt, Section, called
from generator.documents.table_text import MOST_LINES, text_lines
from generator.documents.workbook import read_workbook
from generator.errors import BadFileError, RequestError, shown
from generator.exercise.build import Player
from generator.exercise.instrument import Instrument

ROSTERS = (".csv", ".xlsx", ".xlsm", ".tsv", ".txt")
"""What a roster's name may end in."""
LEFT_OUT = "-"
"""The answer that leaves a line out for good."""
_MOST_BYTES, _MOST_TOLD, _MOST_COPIES = 4 << 20, 20, 99
_COUNT, _COUNTED = "count", re.compile(r"(grand )?totals?\b|sum\b|\d+ (players|students)\b", re.IGNORECASE)
_QUOTES = "\"'\u2018\u2019\u201c\u201d\u201e\u00ab\u00bb"
_YOUNGER = re.compile(r"(jr|sr|i{1,3}|iv)\.?", re.IGNORECASE)
_NO_INSTRUMENT = "it has no column of instruments; call one Instrument, like: Name, Instrument, Level"


@dataclass(frozen=True, slots=True)
class _RosterLine:
    """One line on its way to chairs."""

    number: int
    cells: tuple[str, ...]
    columns: RosterColumns
    answers: dict[tuple[str, tuple[str, ...]], str]
    under: str
    hints: bool

    def cell(self, field: str) -> str:
        """What stands in a field."""
        return self.columns.cell(field, self.cells)

    @property
    def person(self) -> str:
        """Who it is."""
        said = self.cell("person") or " ".join(w for w in (self.cell("first"), self.cell("last")) if w)
        return _in_usual_order(said)

    def answered(self, field: str, said: str) -> str:
        """What somebody answered about a cell, or what it says itself."""
        return self.answers.get((field, fold(said)), said)

    def doubt(self, field: str, said: str, likely: tuple[str, ...] = (), reason: str = "") -> Doubt:
        """A cell that nobody can read."""
        return Doubt(self.number, self.person, field, said, likely, reason)


def _in_usual_order(name: str) -> str:
    """A name without quotation marks round it, the first name first: "Quill, Ada" is Ada Quill."""
    if len(name) > 2 and name[0] in _QUOTES and name[-1] in _QUOTES:
        name = name[1:-1].strip()
    last, comma, first = (part.strip() for part in name.partition(","))
    words = len(last.split()), len(first.split())
    # Two names of two words each may be two players of one line.
    if comma and "," not in first and words in ((1, 1), (1, 2), (2, 1)) and not _YOUNGER.fullmatch(first):
        return f"{first} {last}"
    return name


def read_roster(path: Path, level: str = "standard", answers: Sequence[Answer] = ()) -> Section:
    """Read a roster.

    Args:
        path: the file: .xlsx, or a table as text in any usual encoding.
        level: for lines that name none.
        answers: what was answered about doubtful cells.

    Returns:
        A section with the chairs that are certain, the doubts, and what is to be said about how it was read.

    Raises:
        BadFileError: it is no table, has no instruments, or not one line that can be read.
        OutputError: it cannot be read.
    """
    columns, remarks = _table(path)
    known = {(answer.field, fold(answer.said)): answer.means for answer in answers}
    cells = [columns.cell("level", c) for _, c in columns.lines]
    grades = [columns.cell("grade", c) for _, c in columns.lines]
    tables = (
        level_table(columns.heading("level") or "level", cells),
        level_table(columns.heading("grade") or "grade", grades),
    )
    told = [
        f"{shown(columns.heading(field))} is read as {table.words}"
        for field, table in zip(("level", "grade"), tables, strict=True)
        if table
    ]
    if len(columns.lines) >= MOST_LINES:
        raise BadFileError(f"{path.name}: it has more than {MOST_LINES} lines, far more than a roster")
    placed: list[tuple[int, int, Chair]] = []
    doubts: list[Doubt] = []
    for line in _lines(columns, known, doubts):
        for found in _chairs(line, tables, level_named(level)):
            if isinstance(found, Doubt):
                doubts.append(found)
            else:
                placed.append(found)
        if len(placed) > MOST_CHAIRS:
            raise BadFileError(
                f"{path.name} has more than {MOST_CHAIRS} players; at most {MOST_CHAIRS} are possible"
            )
    if not placed:
        _refuse(path.name, [d for d in doubts if d.field != _COUNT])
    guessed = [d for d in doubts if d.field == "spelling"]
    told += [f"line {d.line}: {shown(d.said)} is read as {d.likely[0]}" for d in guessed]
    told += [f"line {d.line}: {shown(d.said)} counts and is no player" for d in doubts if d.field == _COUNT]
    chairs = [chair for _, _, chair in sorted(placed, key=lambda one: one[:2])]
    return Section(
        columns.title,
        tuple(chairs),
        doubts=tuple(d for d in doubts if d.field not in ("spelling", _COUNT)),
        remarks=(*remarks, *remarks_of(columns), *told),
        answers=tuple(answers),
    )


def _table(path: Path) -> tuple[RosterColumns, tuple[str, ...]]:
    """The columns of a roster, and what is to be said about the file."""
    workbook = path.suffix.casefold() in (".xlsx", ".xlsm")
    data = own_bytes(path, _MOST_BYTES if workbook else MOST)
    if not workbook and data[:4] not in (b"PK\3\4", b"\xd0\xcf\x11\xe0"):
        found = columns_of(text_lines(path.name, data))
        if found is None:
            raise BadFileError(f"{path.name}, line 1: {_NO_INSTRUMENT}")
        return found, ()
    book = read_workbook(path.name, data)
    sheets = [(title, columns) for title, lines in book.sheets if (columns := columns_of(lines))]
    if not sheets:
        raise BadFileError(f"{path.name}: {_NO_INSTRUMENT}")
    title, columns = max(sheets, key=lambda one: (bool(one[1].titles), len(one[1].lines)))
    told: tuple[str, ...] = (f"read from the sheet {shown(title)}",) if book.sheets[1:] else ()
    if book.unworked:
        told += (
            "a formula without its result counts as empty; open the workbook in a spreadsheet and save it",
        )
    return columns, told


def _refuse(name: str, doubts: Sequence[Doubt]) -> None:
    if not doubts:
        raise BadFileError(f"{name}, line 1: it names no player")
    more = [f"{name}: {len(doubts) - _MOST_TOLD} more lines cannot be read"] if doubts[_MOST_TOLD:] else []
    raise BadFileError("\n".join([*(f"{name}, {d.words}" for d in doubts[:_MOST_TOLD]), *more]))


def _lines(
    columns: RosterColumns, answers: dict[tuple[str, tuple[str, ...]], str], doubts: list[Doubt]
) -> Iterator[_RosterLine]:
    """The lines with players; a line that holds the name of an instrument alone heads those below it."""
    under = ""
    for number, cells in columns.lines:
        filled = [place for place, cell in enumerate(cells) if cell]
        if len(filled) == 1 and filled[0] != columns.place("instrument"):
            alone = cells[filled[0]]
            if _COUNTED.match(alone):
                doubts.append(Doubt(number, "", _COUNT, alone))
                continue
            if (
                spelled(alone, hints=False).parts
                or spelled(alone.removesuffix(" section"), hints=False).parts
            ):
                under = alone.rstrip(":").removesuffix(" section")
                continue
        yield _RosterLine(number, cells, columns, answers, under, len(doubts) < _MOST_TOLD * 2)


def _chairs(
    line: _RosterLine, tables: tuple[LevelTable | None, LevelTable | None], usual: str
) -> Iterator[tuple[int, int, Chair] | Doubt]:
    """The chairs of a line, each with its place in the score, and what is doubtful."""
    said = line.cell("instrument") or line.under or line.cell("part")
    meant = line.answered("instrument", said)
    if meant == LEFT_OUT:
        return
    names = spelled(meant, hints=line.hints)
    if not names.parts:
        reason = f"{shown(said)} may be several instruments" if names.shared else ""
        yield line.doubt("instrument", said, names.likely, reason)
        return
    also = spelled(line.answered("instrument", line.cell("also"))).parts
    if line.cell("also") and not also and line.answered("instrument", line.cell("also")) != LEFT_OUT:
        yield line.doubt("instrument", line.cell("also"), spelled(line.cell("also")).likely)
    level = _level(line, tables)
    if isinstance(level, Doubt):
        yield level
    copies = _copies(line)
    if isinstance(copies, Doubt):
        yield copies
    for number, part in enumerate((*names.parts, *also)):
        if part.guessed:
            yield line.doubt("spelling", part.said, (part.instrument.name,))
        player = _player(
            line, part.instrument, level if isinstance(level, str) and level else usual, first=not number
        )
        if isinstance(player, Doubt):
            yield player
            return
        name = _name(line, part, meant == said)
        where = part.chair or chair_number(line.cell("part"))
        made = Chair(name, player, copies if isinstance(copies, int) else 1, line.person)
        yield part.instrument.order, where, made


def _level(line: _RosterLine, tables: tuple[LevelTable | None, LevelTable | None]) -> str | Doubt:
    for field, table in zip(("level", "grade"), tables, strict=True):
        said = line.cell(field)
        meant = line.answered("level", said)
        if said and meant != LEFT_OUT:
            found = level_said(meant, table)
            return found or line.doubt("level", said, ("first notes", "standard", "extended"))
    return ""


def _copies(line: _RosterLine) -> int | Doubt:
    said = line.cell("copies")
    meant = line.answered("copies", said) if said else "1"
    if meant == LEFT_OUT:
        return 1
    digits = meant.casefold().strip("x× ")
    if digits.isascii() and digits.isdigit() and len(digits) < 3 and 1 <= int(digits) <= _MOST_COPIES:
        return int(digits)
    return line.doubt("copies", said, (), f"copies are a whole number from 1 to {_MOST_COPIES}")


def _player(line: _RosterLine, instrument: Instrument, level: str, *, first: bool) -> Player | Doubt:
    """Who plays; limits of the player's own count for the first instrument of a doubler."""
    notes = {}
    for field in ("low", "high"):
        said = line.cell(field)
        meant = line.answered(field, said)
        if said and meant != LEFT_OUT and first and not instrument.unpitched:
            notes[field] = meant
    try:
        return player_named(instrument.name, level, notes.get("low"), notes.get("high"))
    except RequestError as error:
        field = next(
            (f for f, note in notes.items() if shown(note) in str(error)), next(iter(notes), "level")
        )
        return line.doubt(field, line.cell(field), (), str(error))


def _name(line: _RosterLine, part: SpelledPart, as_written: bool) -> str:
    """What the chair is called: as the roster has it."""
    said = part.said if part.said != part.said.casefold() else part.said.title()
    said = said if as_written and not part.guessed else called(part.instrument)
    seat = line.cell("part")
    if not seat or seat == line.cell("instrument"):
        return said
    numbered = chair_number(seat) and not spelled(seat).parts and len(seat) < 8
    return f"{said} {seat}" if numbered and not part.chair else said if numbered else seat


def answered(section: Section, path: Path, more: Sequence[Answer], level: str = "standard") -> Section:
    """The same roster read again with more answers.

    Raises:
        BadFileError: not one line can be read.
    """
    given = {(a.field, fold(a.said)): a for a in (*section.answers, *more)}
    again = read_roster(path, level, tuple(given.values()))
    return replace(again, title=again.title or section.title)
