"""Which column of a roster is which: by the heading, or by what stands in it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from generator.catalogue.spelled import spelled
from generator.documents.table_text import TableLine
from generator.errors import shown

_HEADINGS = {
    "person": "name player student member musician person studentname playername fullname namen pupil who",
    "first": "first firstname forename givenname given christianname preferredname",
    "last": "last lastname surname familyname",
    "instrument": "instrument instruments inst instr plays maininstrument primaryinstrument instrumentplayed",
    "also": "doubles doubling secondinstrument alsoplays secondaryinstrument otherinstrument double",
    "part": "part chair seat partname chairname desk voice section",
    "level": "level ability standard experience playinglevel",
    "grade": "grade gr year yr yeargroup gradelevel years yearsplaying yearsofplaying schoolyear yrs yr",
    "copies": "copies copy noofcopies numberofcopies qty quantity",
    "low": "low lowest lowestnote lownote lowestpitch",
    "high": "high highest highestnote highnote highestpitch",
}
_FIELD_OF = {word: field for field, words in _HEADINGS.items() for word in words.split()}
_LETTERS = re.compile(r"[^a-z]")
_HEADING_WITHIN, _MOST_LOOKED_AT = 25, 60
FIELDS = tuple(_HEADINGS)


@dataclass(frozen=True, slots=True)
class RosterColumns:
    """Where a roster has what.

    Attributes:
        at: column of each field that there is, by field.
        titles: of the columns, as written; none where the roster has no heading.
        title: what stands above the heading, in one line.
        lines: the lines below.
        ignored: titles of columns that mean nothing here.
    """

    at: tuple[tuple[str, int], ...]
    titles: tuple[str, ...]
    title: str
    lines: tuple[TableLine, ...]
    ignored: tuple[str, ...] = ()

    def cell(self, field: str, cells: Sequence[str]) -> str:
        """What a line has in a field, or ""."""
        place = dict(self.at).get(field, -1)
        return cells[place] if 0 <= place < len(cells) else ""

    def heading(self, field: str) -> str:
        """The title of a field's column, or ""."""
        return self.cell(field, self.titles)

    def place(self, field: str) -> int:
        """The column of a field, or -1."""
        return dict(self.at).get(field, -1)


def columns_of(lines: Sequence[TableLine]) -> RosterColumns | None:
    """Find the columns; None where no column holds instruments."""
    headed = [(_worth(cells), -index) for index, (_, cells) in enumerate(lines[:_HEADING_WITHIN])]
    worth, index = max(headed, default=(0, 0))
    if worth < 1:
        return _by_content(lines)
    titles = lines[-index][1]
    below = tuple(line for line in lines[-index + 1 :] if line[1] != titles)
    fields = [_FIELD_OF.get(_LETTERS.sub("", title.casefold()), "") for title in titles]
    at = {field: place for place, field in reversed(list(enumerate(fields))) if field}
    if "instrument" not in at:
        at["instrument"] = at.pop("part")
    ignored = tuple(t for place, t in enumerate(titles) if t and place not in at.values())
    above = lines[0][1] if -index else ()
    title = next((cell for cell in above if cell), "") if sum(map(bool, above)) == 1 else ""
    return RosterColumns(tuple(at.items()), titles, title, below, ignored)


def remarks_of(columns: RosterColumns) -> tuple[str, ...]:
    """What is to be said about the columns."""
    if not columns.titles:
        number = columns.place("instrument") + 1
        return (f"there is no line of headings; column {number} is read as the instruments",)
    if not columns.ignored:
        return ()
    told = ", ".join(shown(title) for title in columns.ignored[:8])
    more = f" and {len(columns.ignored) - 8} more" if columns.ignored[8:] else ""
    return (f"not used: the {'columns' if columns.ignored[1:] else 'column'} {told}{more}",)


def _worth(cells: Sequence[str]) -> int:
    """How many headings a line holds; none without one for the instruments."""
    fields = {_FIELD_OF.get(_LETTERS.sub("", cell.casefold()), "") for cell in cells} - {""}
    if "instrument" in fields:
        return len(fields)
    return len(fields) if "part" in fields and len(fields) > 1 else 0


def _by_content(lines: Sequence[TableLine]) -> RosterColumns | None:
    looked = lines[:_MOST_LOOKED_AT]
    width = max((len(cells) for _, cells in looked), default=0)
    hits = [_instruments(looked, place) for place in range(width)]
    most = max(hits, default=0)
    if most * 2 < len(looked) or not most:
        return None
    instrument = hits.index(most)
    wordy = [
        sum(len(_LETTERS.sub("", c[p].casefold())) > 2 for _, c in looked if p < len(c))
        if p != instrument
        else 0
        for p in range(width)
    ]
    at = {"instrument": instrument}
    if max(wordy) * 2 >= len(looked):
        at["person"] = wordy.index(max(wordy))
    return RosterColumns(tuple(at.items()), (), "", tuple(lines))


def _instruments(lines: Sequence[TableLine], place: int) -> int:
    return sum(bool(spelled(cells[place], hints=False).parts) for _, cells in lines if place < len(cells))
