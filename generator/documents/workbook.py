"""The lines of a workbook (.xlsx, ECMA-376), read only and never more than a roster needs.

The file is a stranger's: its parts are measured before anything is unpacked, a document type is refused (entities can
grow without end), and no formula is worked out; what the spreadsheet kept as its result counts.
"""

import io
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.documents.table_text import MOST_COLUMNS, MOST_LINES, TableLine, tidy
from generator.errors import BadFileError

MOST_SHEETS = 12
# Bytes. A roster of 300 players has a twentieth of each.
_MOST_OF_A_SHEET, _MOST_OF_THE_REST, _MOST_PARTS = 4 << 20, 2 << 20, 400
# Tags: an element of no content is short, and takes the library as long as any other.
_MOST_TAGS = {True: 250_000, False: 20_000}
_MOST_CELLS = 50_000
_CELL = re.compile(rb"<(?:\w+:)?(?:c|row)\b")
_FAR_LARGER = "this workbook is far larger than a roster; copy the roster to a new one, or save it as CSV"
_PLAIN_XML = re.compile(
    rb"""\A(?:\xef\xbb\xbf)?\s*(?:<\?xml(?:(?!encoding)[^>])*(?:encoding=["'](?:utf-8|us-ascii)["'][^>]*)?\?>)?""",
    re.IGNORECASE,
)
_FORMULA_ALONE = re.compile(rb"<f\b[^>]*(?:/>|>[^<]*</f>)\s*(?:<v\s*/>|<v>\s*</v>)?\s*</c>")


@dataclass(frozen=True, slots=True)
class Workbook:
    """What a workbook holds.

    Attributes:
        sheets: by title, the lines that are not blank.
        unworked: some formula has no result; its cell is empty.
    """

    sheets: tuple[tuple[str, tuple[TableLine, ...]], ...]
    unworked: bool


def read_workbook(name: str, data: bytes) -> Workbook:
    """The sheets of a workbook.

    Args:
        name: of the file, for messages.
        data: its content.

    Raises:
        BadFileError: it is no workbook, or one that no roster needs.
    """
    parts = _parts(name, data)
    unworked = [_FORMULA_ALONE.search(xml) is not None for part, xml in parts.items() if _is_sheet(part)]
    import openpyxl  # noqa: PLC0415  # half a second; loaded where a workbook is read, and nowhere else

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(_packed(parts), read_only=True, data_only=True, keep_links=False)
            sheets = [
                (str(sheet.title), tuple(_lines(name, sheet))) for sheet in book.worksheets[:MOST_SHEETS]
            ]
            book.close()
    except BadFileError:
        raise
    except Exception as error:  # whatever a broken workbook makes of the library
        raise BadFileError(f"{name}: this workbook is damaged; save it again, or as CSV") from error
    return Workbook(tuple(sheets), any(unworked))


def _lines(name: str, sheet: Any) -> Iterator[TableLine]:  # noqa: ANN401
    rows = sheet.iter_rows(max_row=MOST_LINES + 1, max_col=MOST_COLUMNS, values_only=True)
    for number, row in enumerate(rows, 1):
        if number > MOST_LINES:
            raise BadFileError(f"{name}: the sheet has more than {MOST_LINES} lines, far more than a roster")
        cells = tidy([_whole(cell) for cell in row])
        if any(cells):
            yield number, cells


def _whole(cell: object) -> object:
    """A number that is whole, without the point that a spreadsheet gives it."""
    return int(cell) if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e6 else cell


def _parts(name: str, data: bytes) -> dict[str, bytes]:
    """The parts of a workbook that are XML, by name; refused where they unpack to more than a roster has."""
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise BadFileError(
            f"{name}: an old or locked workbook; save it as .xlsx without a password, or as CSV"
        )
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            entries = [e for e in packed.infolist() if e.filename.casefold().endswith((".xml", ".rels"))]
            _measure(name, entries)
            parts = {entry.filename: _read(packed, entry) for entry in entries}
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as error:
        raise BadFileError(f"{name}: this is no whole .xlsx workbook; save it again, or as CSV") from error
    for sheet, most in _MOST_TAGS.items():
        found = [xml for part, xml in parts.items() if _is_sheet(part) is sheet]
        cells = sum(len(_CELL.findall(xml)) for xml in found)
        if cells > _MOST_CELLS or sum(xml.count(b"<") for xml in found) > most:
            raise BadFileError(f"{name}: {_FAR_LARGER}")
    for xml in parts.values():
        _look_at(name, xml)
    return parts


def _is_sheet(part: str) -> bool:
    return "worksheets/" in part


def _measure(name: str, entries: Sequence[zipfile.ZipInfo]) -> None:
    sheets = [entry.file_size for entry in entries if _is_sheet(entry.filename)]
    rest = sum(entry.file_size for entry in entries) - sum(sheets)
    too_large = max(sheets, default=0) > _MOST_OF_A_SHEET or sum(sheets) > 4 * _MOST_OF_A_SHEET
    if too_large or rest > _MOST_OF_THE_REST or len(entries) > _MOST_PARTS:
        raise BadFileError(f"{name}: {_FAR_LARGER}")


def _read(packed: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """One part, and never more of it than its entry says: asked for everything, the library would unpack it all."""
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise zipfile.BadZipFile("packed in an unusual way")
    with packed.open(entry) as part:
        return part.read(entry.file_size)


def _packed(parts: Mapping[str, bytes]) -> io.BytesIO:
    """A workbook of exactly these parts, so that nothing is read that was not looked at."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_STORED) as packed:
        for name, xml in parts.items():
            packed.writestr(name, xml)
    return data


def _look_at(name: str, xml: bytes) -> None:
    """Refuse XML with a document type, or in an encoding that would hide one."""
    head = _PLAIN_XML.match(xml)
    odd = head is None or (xml.strip() and not xml[head.end() :].lstrip().startswith(b"<"))
    if odd or b"\0" in xml or b"<!DOCTYPE" in xml or b"<!ENTITY" in xml:
        raise BadFileError(f"{name}: this workbook holds what no roster needs; save it again, or as CSV")


def written_workbook(
    title: str, heading: Sequence[str], rows: Iterable[Sequence[str]], widths: Sequence[int]
) -> bytes:
    """A workbook of one sheet with a heading that stays in view; every cell is text and stays what is typed in it.

    Args:
        title: of the sheet.
        heading: of the columns.
        rows: below it.
        widths: of the columns, in signs.
    """
    import openpyxl  # noqa: PLC0415
    from openpyxl.styles import Font  # noqa: PLC0415

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = title
    for number, row in enumerate((heading, *rows), 1):
        for column, text in enumerate(row, 1):
            cell = sheet.cell(number, column)
            cell.value, cell.data_type = text or None, "s" if text else "n"
            cell.number_format = "@"
            if number == 1:
                cell.font = Font(bold=True)
    for width, letter in zip(widths, "ABCDEFGHIJKLMNOPQRSTUVWXYZ", strict=False):
        sheet.column_dimensions[letter].width = width
    sheet.freeze_panes = "A2"
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()
