"""Changing a plan as a person would: one value in its place, everything else - comments, order, blanks - as it was.

Nothing is checked here but that a change has a place; what it means, whoever reads the plan afterwards tells.
"""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from generator.documents.plan_file import AIM_FIELDS, DRESS_FIELDS, HEAD_FIELDS, KEEP_FIELDS, LIST_FIELDS
from generator.errors import BadFileError, RequestError, shown
from generator.files.loading import loading

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

HEAD = tuple(field.name for field in HEAD_FIELDS if field.name != "figures")
_TABLES = {
    "keep": tuple(field.name for field in KEEP_FIELDS),
    "list": tuple(field.name for field in LIST_FIELDS),
    "dress": tuple(field.name for field in DRESS_FIELDS),
    "aim": tuple(field.name for field in AIM_FIELDS),
}
Values = Mapping[str, Any]
"""Fields and what they are to be; None takes a field out."""


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One change of a plan.

    Attributes:
        values: what is to stand there; None to take the whole table out.
        table: keep, list, dress or aim; "" for the head.
        number: of the table, from 0; None for a new one at the end.
        line: of the table, in place of its number.
    """

    values: Values | None
    table: str = ""
    number: int | None = None
    line: int | None = None


def lines_of(text: str, table: str) -> list[int]:
    r"""The lines on which the tables of one name begin, in order.

    Args:
        text: of a plan.
        table: keep, list, dress or aim.

    >>> lines_of("[[keep]]\nphrase = 'C major'\n\n[[keep]]", "keep")
    [1, 4]
    """
    begins = re.compile(rf"""\s*\[\[\s*["']?{re.escape(table)}["']?\s*\]\]""")
    return [number for number, line in enumerate(text.split("\n"), 1) if begins.match(line)]


@loading()
def changed(text: str, changes: Sequence[PlanChange]) -> str:
    r"""The text of a plan with some changes made, one after the other; numbers count the tables as they were at first.

    Args:
        text: of a plan.
        changes: in order.

    Raises:
        BadFileError: the text is no TOML.
        RequestError: there is no such table or field, or a value that TOML cannot hold.

    >>> print(changed("minutes = 20  # mine\n[[keep]]\nphrase = 'C major'\n", [PlanChange({"minutes": 25})]), end="")
    minutes = 25  # mine
    [[keep]]
    phrase = 'C major'
    """
    import tomlkit  # noqa: PLC0415  # it takes longer to load than a plan to read
    from tomlkit.exceptions import TOMLKitError  # noqa: PLC0415

    try:
        document = tomlkit.parse(text)
    except TOMLKitError as problem:
        raise BadFileError(f"this is no TOML: {str(problem)[:160]}") from problem
    gone: dict[str, set[int]] = {}
    for change in changes:
        if change.table == "":
            _put(document, change.values or {}, HEAD)
        elif change.table not in _TABLES:
            raise RequestError(f"a plan has no {shown(change.table)}; it has {', '.join(_TABLES)}")
        elif change.number is None and change.line is None:
            _add(document, change)
        else:
            _change(document, change, _number(text, change), gone)
    for table, numbers in gone.items():
        for number in sorted(numbers, reverse=True):
            del document[table][number]
        if not document[table]:
            del document[table]
    # A text without a head gets a blank line before its first value, which nobody wrote.
    written = tomlkit.dumps(document)
    return written if text.startswith("\n") else written.lstrip("\n")


def _number(text: str, change: PlanChange) -> int:
    """The number of the table that is meant."""
    if change.line is None:
        return change.number or 0
    lines = lines_of(text, change.table)
    if change.line not in lines:
        raise RequestError(f"no [[{change.table}]] begins on line {change.line} of the plan")
    return lines.index(change.line)


def _change(document: "TOMLDocument", change: PlanChange, number: int, gone: dict[str, set[int]]) -> None:
    tables = document.get(change.table, [])
    if not 0 <= number < len(tables):
        raise RequestError(f"the plan has {len(tables)} times [[{change.table}]], and no number {number}")
    if change.values is None:
        gone.setdefault(change.table, set()).add(number)
    else:
        _put(tables[number], change.values, _TABLES[change.table])


def _add(document: "TOMLDocument", change: PlanChange) -> None:
    from tomlkit import aot, nl, table  # noqa: PLC0415

    if not change.values:
        raise RequestError(f"a new [[{change.table}]] needs its fields")
    if change.table not in document:
        document.add(nl())
        document.append(change.table, aot())
    row = table()
    _put(row, change.values, _TABLES[change.table])
    tables: Any = document[change.table]
    if len(tables):
        tables[-1].add(nl())
    tables.append(row)


def _put(there: Any, values: Values, allowed: Sequence[str]) -> None:  # noqa: ANN401  # a table or the whole document
    for name, value in values.items():
        if name not in allowed:
            raise RequestError(f"unknown field {shown(name)}; it can be {', '.join(allowed)}")
        if value is None or value in ("", []):
            if name in there:
                del there[name]
        else:
            there[name] = _plain(name, value)


def _plain(name: str, value: object) -> object:
    """A value as TOML has it: a day without quotes, a text on one line."""
    if name in ("date", "by") and isinstance(value, str):
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            raise RequestError(
                f"{shown(value)} is no day of the calendar; write one like 2027-02-06"
            ) from None
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, bool | int) and abs(value) < 10**6:
        return value
    if isinstance(value, list) and len(value) <= 100 and all(isinstance(one, str) for one in value):
        return [" ".join(one.split()) for one in value]
    raise RequestError(f"{name} cannot be {shown(value)}")
