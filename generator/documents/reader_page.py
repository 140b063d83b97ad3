"""A reader's own page as people write it: [reader] in a plan, or reader of a chair.

[reader]
staff = 26              # points
landscape = true
letters = "plain"       # without serifs and italics
lines = 1.5             # thickness
bars = 2                # on a line
spacing = 1.3
names = "under"         # names of the notes
tint = "cream"
ottava = true           # flute and piccolo: long high passages under 8va
"""

from generator.catalogue.names import nearest_or_all
from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile
from generator.documents.reader import read_one
from generator.errors import RequestError, shown
from generator.pages.reader import (
    LARGEST_STAFF,
    LETTERS,
    MOST_BARS,
    NAMES,
    SMALLEST_STAFF,
    THICKEST,
    TINTS,
    USUAL_READER,
    WIDEST,
    ReaderNeeds,
)

TABLE = "reader"
FIELDS = (
    Field("staff", fields.number(SMALLEST_STAFF, LARGEST_STAFF)),
    Field("landscape", fields.flag, False),
    Field("lines", fields.number(1, THICKEST), 1.0),
    Field("letters", fields.among(LETTERS), "usual"),
    Field("bars", fields.whole(1, MOST_BARS)),
    Field("spacing", fields.number(1, WIDEST), 1.0),
    Field("names", fields.among(NAMES), "none"),
    Field("tint", fields.among(TINTS), "none"),
    Field("ottava", fields.flag, False),
)


def read_reader(file: MarkedFile, names: Catalogue) -> ReaderNeeds:
    """The reader of a plan; every mistake is noted in the file.

    Args:
        file: the plan.
        names: the catalogue.
    """
    return ReaderNeeds(**read_one(file, TABLE, FIELDS, names))


def reader(raw: object, names: Catalogue) -> ReaderNeeds:
    """The reader of a chair: a kind of field.

    Raises:
        RequestError: every mistake, one a line.
    """
    if not isinstance(raw, dict):
        raise RequestError(f'{shown(raw)} is no table; write it like {{ staff = 26, letters = "plain" }}')
    known = {field.name: field for field in FIELDS}
    found: dict[str, object] = {}
    reasons = [
        f"unknown field {shown(name)}; {nearest_or_all(name, known)}" for name in raw if name not in known
    ]
    for name, field in known.items():
        try:
            if name in raw and (value := field.kind(raw[name], names)) is not None:
                found[name] = value
        except RequestError as error:
            reasons.append(f"{name}: {error}")
    if reasons:
        raise RequestError("\n".join(reasons))
    return ReaderNeeds(**found) if found else USUAL_READER  # type: ignore[arg-type]
