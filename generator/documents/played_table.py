"""The table that comes back from pupils: a row for each sheet, with what was played of it.

    pupil, sheet, exercises, day, tempo, felt, minutes
    Ada Quill, 7KQ2, all, 2027-02-06, 84, 3, 20
    Ada Quill, 7M3X, 1 2 5 to 7, 2027-02-07, , ,

It is written ready to be filled in, as CSV and as a workbook whose cells are text, and read in either form, as a
spreadsheet gives it back. A row that says nothing, or no, was not played.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.documents.own_file import MOST, own_bytes
from generator.documents.table_text import TableLine, text_lines
from generator.documents.workbook import read_workbook, written_workbook
from generator.errors import BadFileError
from generator.files.text import clean, guarded_cell, unguarded_cell

COLUMNS = ("pupil", "sheet", "exercises", "day", "tempo", "felt", "minutes")
NEEDED = ("exercises",)
TABLES = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm")
"""What the name of a table may end in."""
NOT_PLAYED = frozenset({"false", "no", "n", "-", "–", "—", "none", "nothing", "☐"})
"""What a cell of exercises says of a sheet that was not played; an empty check box of a spreadsheet is FALSE."""
_WIDTHS = (30, 9, 16, 13, 9, 9, 9)
_HEADINGS = {
    "pupil": "pupil name player student who",
    "sheet": "sheet code sheetcode",
    "exercises": "exercises exercise numbers number played no nos",
    "day": "day date",
    "tempo": "tempo bpm beats",
    "felt": "felt feeling rating feel",
    "minutes": "minutes min mins time",
}
_FIELD_OF = {word: field for field, words in _HEADINGS.items() for word in words.split()}
_LETTERS = re.compile(r"[^a-z]")
_HEADING_WITHIN, _MOST_BYTES = 10, 4 << 20


@dataclass(frozen=True, slots=True)
class PlayedRow:
    """A row as it stands in the table.

    Attributes:
        line: its number, the heading being 1 where it comes first.
        pupil: who, or "".
        sheet: the code, or "".
        exercises: which, or "".
        day: when, or "".
        tempo: beats a minute reached, or "".
        felt: how it felt, or "".
        minutes: how long, or "".
    """

    line: int
    pupil: str = ""
    sheet: str = ""
    exercises: str = ""
    day: str = ""
    tempo: str = ""
    felt: str = ""
    minutes: str = ""

    @property
    def blank(self) -> bool:
        """Whether it says that nothing was played."""
        if self.exercises.casefold() in NOT_PLAYED:
            return True
        return not (self.exercises or self.tempo or self.felt or self.minutes)


def read_table(path: Path) -> tuple[PlayedRow, ...]:
    """Read a table.

    Args:
        path: the file: CSV in any usual encoding, or .xlsx.

    Raises:
        BadFileError: it is no table with these columns.
        OutputError: it cannot be read.
    """
    workbook = path.suffix.casefold() in (".xlsx", ".xlsm")
    data = own_bytes(path, _MOST_BYTES if workbook else MOST)
    if workbook or data[:4] == b"PK\3\4":
        sheets = [lines for _, lines in read_workbook(path.name, data).sheets]
    else:
        sheets = [text_lines(path.name, data)]
    for lines in sheets:
        if (found := _rows(lines)) is not None:
            return found
    raise BadFileError(f"{path.name}: no line names the columns {', '.join(COLUMNS)}; the first line has to")


def _rows(lines: Sequence[TableLine]) -> tuple[PlayedRow, ...] | None:
    """The rows below the heading; None where there is none."""
    for place, (_, cells) in enumerate(lines[:_HEADING_WITHIN]):
        fields = [_FIELD_OF.get(_LETTERS.sub("", cell.partition("(")[0].casefold()), "") for cell in cells]
        if "exercises" in fields and ({"pupil", "sheet"} & set(fields)):
            at = {field: column for column, field in reversed([*enumerate(fields)]) if field}
            return tuple(_row(number, row, at) for number, row in lines[place + 1 :] if row != cells)
    return None


def _row(number: int, cells: Sequence[str], at: dict[str, int]) -> PlayedRow:
    told = {
        field: clean(unguarded_cell(cells[column])) for field, column in at.items() if column < len(cells)
    }
    return PlayedRow(number, **told)


def table_as_csv(rows: Iterable[Sequence[str]]) -> bytes:
    """A table to be filled in, as CSV.

    Args:
        rows: as `COLUMNS`.
    """
    text = io.StringIO(newline="")
    table = csv.writer(text)
    table.writerow(COLUMNS)
    table.writerows([guarded_cell(clean(cell)) for cell in row] for row in rows)
    # The mark at the beginning tells spreadsheets that names with accents are UTF-8.
    return text.getvalue().encode("utf-8-sig")


def table_as_workbook(rows: Iterable[Sequence[str]]) -> bytes:
    """The same as a workbook, whose cells are text: a spreadsheet makes no date of ``1-4`` in it."""
    return written_workbook("played", COLUMNS, [[clean(cell) for cell in row] for row in rows], _WIDTHS)
