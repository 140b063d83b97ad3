"""A table as text, as spreadsheets save it: any usual encoding, commas, semicolons or tabs."""

import csv
import io
from collections import Counter
from collections.abc import Sequence

from generator.errors import BadFileError

TableLine = tuple[int, tuple[str, ...]]
"""A line that is not blank: its number from 1, and its cells without the blanks around them."""
MOST_COLUMNS, MOST_LINES = 60, 2000
_SEPARATORS = ",;\t|"
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\0\0", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
# A quotation mark that nobody closed swallows the lines after it; a cell of a roster has no more than these.
_LINES_OF_A_CELL = 4


def text_lines(name: str, data: bytes) -> tuple[TableLine, ...]:
    """The lines of a table that is text.

    Args:
        name: of the file, for messages.
        data: its content.

    Raises:
        BadFileError: it is no text.
    """
    text = _decoded(name, data).replace("\r\n", "\n").replace("\r", "\n")
    if text.casefold().startswith("sep=") and len(text) > 4:
        return tuple((line + 1, cells) for line, cells in _split(text.partition("\n")[2], text[4]))
    tables = [_split(text, separator) for separator in _SEPARATORS]
    return max(tables, key=_evenness)


def tidy(cells: Sequence[object]) -> tuple[str, ...]:
    """The cells of a line as text on one line each."""
    return tuple(" ".join(str(cell if cell is not None else "").split()) for cell in cells[:MOST_COLUMNS])


def _decoded(name: str, data: bytes) -> str:
    encoding = next((word for mark, word in _MARKS if data.startswith(mark)), "")
    if (
        not encoding and b"\0" in data[:200]
    ):  # UTF-16 without its mark: every other byte of plain text is nought
        even, odd = data[:200:2].count(0), data[1:200:2].count(0)
        encoding = "utf-16-be" if even > odd else "utf-16-le"
    try:
        text = data.decode(encoding or "utf-8")
    except UnicodeDecodeError:
        # What old spreadsheets save; the five bytes it does not know become the sign for an unknown character.
        text = data.decode("cp1252", "replace")
    if "\0" in text or any(ord(sign) < 9 or 13 < ord(sign) < 27 for sign in text[:2000]):
        raise BadFileError(f"{name}: this is no table of text; save the spreadsheet as .xlsx or CSV")
    return text


def _split(text: str, separator: str) -> tuple[TableLine, ...]:
    lines = text.split("\n")
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        rows, begun = [], 1
        for row in reader:
            if any(cell.count("\n") >= _LINES_OF_A_CELL for cell in row):
                raise csv.Error("a quotation mark stands open")
            rows.append((begun, row))
            begun = reader.line_num + 1
    except csv.Error:
        # Line by line, so that one bad line spoils no other.
        rows = [(number, _one_line(line, separator)) for number, line in enumerate(lines, 1)]
    tidied = ((number, tidy(row)) for number, row in rows[: MOST_LINES + 1])
    return tuple((number, cells) for number, cells in tidied if any(cells))


def _one_line(line: str, separator: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=separator, strict=True), [])
    except csv.Error:
        return [cell.strip(' "') for cell in line.split(separator)]


def _evenness(lines: Sequence[TableLine]) -> tuple[int, int]:
    """How many lines have as many filled columns as most have, where that is more than one."""
    widths = Counter(sum(map(bool, cells)) for _, cells in lines)
    widths.pop(1, None)
    width, times = max(widths.items(), key=lambda item: (item[1], item[0]), default=(0, 0))
    return (sum(count for w, count in widths.items() if abs(w - width) < 2) if times else 0, width)
