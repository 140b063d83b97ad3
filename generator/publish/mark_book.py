"""The mark book of a playing test as CSV: a line for each candidate, a column for all that is marked.

The most points of a column stand in brackets at its head, so that any such table can be added up again. Texts are
guarded against being taken for formulas, and a byte order mark tells spreadsheets that the text is UTF-8.
"""

import csv
import io
from collections.abc import Iterable, Sequence

from generator.documents.section import called
from generator.files.text import guarded_cell
from generator.section.audition import Audition

NOT_ASKED = "-"
OWN_POINTS, OUT_OF, COMMENT = "Own points", "Out of", "Comment"


def as_table(rows: Iterable[Sequence[object]]) -> bytes:
    """Rows as CSV that spreadsheets open as it is meant."""
    text = io.StringIO(newline="")
    table = csv.writer(text)
    for row in rows:
        table.writerow(
            [guarded_cell(cell) if isinstance(cell, str) and cell != NOT_ASKED else cell for cell in row]
        )
    return text.getvalue().encode("utf-8-sig")


def mark_book(audition: Audition) -> bytes:
    """An empty mark book of a test, with the lines and columns of its score sheets."""
    tables = [table.narrow for table in audition.tables]
    columns = list(dict.fromkeys(column for table in tables for column in table.columns))
    columns.sort(key=lambda column: column.row is not None)
    numbered = audition.numbered
    who = ("No.",) if numbered else ("Name", "Chair")
    rows: list[Sequence[object]] = [
        (*who, "Instrument", *(column.title for column in columns), OUT_OF, OWN_POINTS, COMMENT)
    ]
    for table in tables:
        for line in table.lines:
            most = dict(zip(table.columns, line.most, strict=True))
            cells = ["" if most.get(column) is not None else NOT_ASKED for column in columns]
            own = [
                f"{column.number or column.heading} gives {points}"
                for column, points in most.items()
                if points not in (None, column.best)
            ]
            name = (int(line.name),) if numbered else (line.name, line.chair)
            rows.append((*name, line.instrument, *cells, line.total, "; ".join(own), ""))
    return as_table(rows)


def who_is_who(audition: Audition) -> list[tuple[str, str, str, str]]:
    """Number, name, chair and instrument, in order of the numbers."""
    lines = sorted(audition.lines, key=lambda line: line[0].number)
    return [
        (str(one.number), one.chair.person, one.place, called(page.player.instrument)) for one, page in lines
    ]


def secret_table(audition: Audition) -> bytes:
    """The same as a table."""
    return as_table([("No.", "Name", "Chair", "Instrument"), *who_is_who(audition)])
