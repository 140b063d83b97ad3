"""Reads a table of a file by its fields; every mistake is noted in the file, and a bad field counts as left out."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from generator.catalogue.tables import Catalogue
from generator.documents.fields import Field
from generator.documents.marked_file import HEAD, MOST_ROWS, MarkedFile, Place
from generator.errors import RequestError

Values = dict[str, Any]


def read_head(file: MarkedFile, fields: Sequence[Field], tables: Sequence[str], names: Catalogue) -> Values:
    """What stands before the first table.

    Args:
        file: takes the mistakes.
        fields: what may stand there.
        tables: the tables that may follow.
        names: the catalogue.
    """
    file.only(HEAD, file.data, [*(field.name for field in fields), *tables])
    return {field.name: _value(file, HEAD, file.data, field, names) for field in fields}


def read_one(file: MarkedFile, table: str, fields: Sequence[Field], names: Catalogue) -> Values:
    """A table that a file has once, or not at all.

    Args:
        file: takes the mistakes.
        table: its name.
        fields: what may stand in it.
        names: the catalogue.
    """
    row = file.data.get(table, {})
    if not isinstance(row, dict):
        file.fault(HEAD, table, f"{table} is a table; write it under [{table}]")
        row = {}
    place = (table, 0)
    file.only(place, row, [field.name for field in fields])
    return {field.name: _value(file, place, row, field, names) for field in fields}


def read_tables(
    file: MarkedFile,
    table: str,
    fields: Sequence[Field],
    names: Catalogue,
    *,
    most: int = MOST_ROWS,
    needed: str = "",
) -> Iterator[tuple[Place, Values]]:
    """All tables of one name, with their places, until there are too many mistakes to tell.

    Args:
        file: takes the mistakes.
        table: their name.
        fields: what may stand in each.
        names: the catalogue.
        most: more of them are a mistake.
        needed: what is told where there is none; "" if there may be none.
    """
    for place, row in file.tables(table, most=most, needed=needed):
        if file.full:
            return
        yield place, read_row(file, place, row, fields, names)


def read_row(
    file: MarkedFile, place: Place, row: Mapping[str, Any], fields: Sequence[Field], names: Catalogue
) -> Values:
    """One table.

    Args:
        file: takes the mistakes.
        place: of the table.
        row: what stands in it.
        fields: what may stand there.
        names: the catalogue.
    """
    file.only(place, row, [field.name for field in fields])
    return {field.name: _value(file, place, row, field, names) for field in fields}


def _value(file: MarkedFile, place: Place, row: Mapping[str, Any], field: Field, names: Catalogue) -> Any:  # noqa: ANN401
    value = None
    if field.name in row:
        try:
            value = field.kind(row[field.name], names)
        except RequestError as error:
            for reason in str(error).split("\n"):
                file.fault(place, field.name, f"{field.name}: {reason}")
            return field.default
    if value is None and field.needed:
        file.fault(place, field.name, f"{field.name}: {field.needed}")
    return field.default if value is None else value
