"""What the cells of a table say of a play, as people and spreadsheets write them: exercises, day, tempo, feeling."""

import datetime as dt
import re
from collections.abc import Iterator

from generator.errors import RequestError, shown
from generator.practice.played import numbers_of
from generator.practice.sheet_record import SheetRecord
from generator.rotation.words import MONTHS

ALL = ("all", "x", "yes", "y", "✓", "✔", "☑", "☒", "ok", "true", "done")
FELT = {"lost": 1, "shaky": 2, "steady": 3, "secure": 4, "fine": 3, "easy": 4}
"""Words for how it felt; the last two as once typed."""
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ T]00:00(?::00(?:\.0+)?)?)?", re.ASCII)
_THREE = re.compile(r"(\d{1,2})[./-] ?(\d{1,2})[./-] ?(\d{4}|\d{2})", re.ASCII)
_MONTH = re.compile(r"(\d{1,2})[. -]*([a-z]{3,9})\.?(?:[ -]+(\d{4}|\d{2}))?", re.ASCII)
_RUN = re.compile(r"\s*(?:-|–|—|\bto\b)\s*", re.IGNORECASE)
_NUMBER = re.compile(r"(\d{1,4})(?:\.0+)?", re.ASCII)
_POWER = re.compile(r"\d+(?:\.\d+)?E\+?\d+", re.IGNORECASE | re.ASCII)


def exercises_said(cell: str, sheet: SheetRecord) -> tuple[tuple[int, ...], bool]:
    """The numbers that a cell names, and whether it says all.

    Args:
        cell: ``all``, a tick, or numbers like ``1 2 5-7``, ``1, 2``, ``1 to 4``.
        sheet: the sheet.

    Raises:
        RequestError: it names none, or what the sheet does not have.
    """
    if cell.casefold() in ALL:
        return tuple(range(1, len(sheet.rows) + 1)), True
    if _ISO.fullmatch(cell) or _THREE.fullmatch(cell) or _MONTH.fullmatch(cell.casefold()):
        raise RequestError(
            f"{shown(cell)} in the column of exercises is a date; where a spreadsheet makes one of 1-4, write 1 to 4"
        )
    words = _RUN.sub("-", cell).replace(";", " ").replace(".0", "")
    return numbers_of([words], sheet), False


def day_said(cell: str, near: dt.date) -> dt.date:
    """The day a cell names.

    Whether ``3/4/2027`` is in March or in April is told by the day of the sheet: the two lie a month apart, and a
    sheet is not played a month away from its day.

    Args:
        cell: ``2027-03-04``, ``4/3/2027``, ``04.03.27``, ``4 March 2027``, ``4-Mar``; "" for the day of the sheet.
        near: the day of the sheet.

    Raises:
        RequestError: it is no day.

    >>> sheet = dt.date(2027, 3, 1)
    >>> [day_said(cell, sheet).isoformat() for cell in ("", "2027-03-02 00:00:00", "3/2/27", "02.03.2027", "2 Mar")]
    ['2027-03-01', '2027-03-02', '2027-03-02', '2027-03-02', '2027-03-02']
    """
    if not cell:
        return near
    found = sorted(_days(cell.strip().casefold(), near), key=lambda day: (abs((day - near).days), day))
    if not found:
        raise RequestError(f"{shown(cell)} is no day of the calendar; write one like {near}")
    return found[0]


def _days(cell: str, near: dt.date) -> Iterator[dt.date]:
    """The days that a cell may mean."""
    if match := _ISO.fullmatch(cell):
        yield from _real(int(match[1]), int(match[2]), int(match[3]))
    elif match := _THREE.fullmatch(cell):
        year = int(match[3]) + (2000 if len(match[3]) == 2 else 0)
        yield from _real(year, int(match[2]), int(match[1]))
        yield from _real(year, int(match[1]), int(match[2]))
    elif match := _MONTH.fullmatch(cell):
        months = [n for n, name in enumerate(MONTHS, 1) if name.casefold().startswith(match[2])]
        said = int(match[3]) + (2000 if len(match[3]) == 2 else 0) if match[3] else None
        for year in [said] if said else [near.year - 1, near.year, near.year + 1]:
            for month in months:
                yield from _real(year, month, int(match[1]))


def _real(year: int, month: int, day: int) -> Iterator[dt.date]:
    try:
        yield dt.date(year, month, day)
    except ValueError:
        return


def number_said(cell: str, field: str, least: int, most: int) -> int | None:
    """A whole number; None for an empty cell.

    Args:
        cell: ``84``, ``84.0`` or ``84 bpm``.
        field: what it is, for the message.
        least: the smallest.
        most: the largest.

    Raises:
        RequestError: it is none between the two.
    """
    if not cell:
        return None
    word = cell.casefold().removesuffix("bpm").removesuffix("min").removesuffix("'").strip()
    match = _NUMBER.fullmatch(word)
    if match is None or not least <= int(match[1]) <= most:
        raise RequestError(f"{field}: {shown(cell)} is no whole number from {least} to {most}")
    return int(match[1])


def felt_said(cell: str) -> int | None:
    """How it felt, in words or as a number; None for an empty cell.

    Raises:
        RequestError: it is neither.
    """
    if not cell:
        return None
    if cell.casefold() in FELT:
        return FELT[cell.casefold()]
    match = _NUMBER.fullmatch(cell)
    if match is None or not 1 <= int(match[1]) <= 4:
        raise RequestError(f"felt: {shown(cell)}; write 1 lost, 2 shaky, 3 steady or 4 secure")
    return int(match[1])


def as_code(cell: str) -> str | None:
    """The code a cell names, if it can be one."""
    code = cell.strip().upper()
    return code if len(code) == 4 and code.isalnum() else None


def same_code(cell: str, code: str) -> bool:
    """Whether a cell is a code, also as a spreadsheet spoils it: of 2E34 it makes a number with an exponent.

    >>> same_code("7kq2", "7KQ2"), same_code("2E+34", "2E34"), same_code("2.20E+05", "22E4")
    (True, True, True)
    """
    said = cell.strip()
    if said.upper() == code:
        return True
    if not re.fullmatch(r"\d+E\d+", code):
        return False
    if not (_POWER.fullmatch(said) or re.fullmatch(r"\d+(\.0)?", said)):
        return False
    return float(said) == float(code)
