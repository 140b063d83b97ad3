"""Reads a section from section.toml or from a roster.

    title = "Harbour Street Community Band"
    [[chair]]
    name = "2nd Clarinet"
    instrument = "clarinet"
    level = "standard"          # or low = "E3", high = "Bb4": below the break
    copies = 2
    player = "Ada Quill"

A file with mistakes is refused with all of them, each with its line.
"""

import csv
import io
from dataclasses import replace
from pathlib import Path

from generator.catalogue.names import nearest_or_all
from generator.catalogue.players import OWN_RANGE
from generator.catalogue.tables import Table, shared_catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MOST_TOLD, MarkedFile, Place
from generator.documents.own_file import own_text
from generator.documents.reader import Values, read_head, read_tables
from generator.documents.section import MOST_CHAIRS, Chair, Section, called, in_score_order
from generator.errors import BadFileError, clipped, shown
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument

MOST_COPIES = 99
HEAD_FIELDS = (Field("title", fields.text, ""), Field("note", fields.text, ""))
CHAIR_FIELDS = (
    Field("name", fields.text, ""),
    Field("instrument", fields.instrument, needed='a chair needs one, like instrument = "alto saxophone"'),
    Field("level", fields.level, "standard"),
    Field("low", fields.pitch),
    Field("high", fields.pitch),
    Field("copies", fields.whole(1, MOST_COPIES), 1),
    Field("player", fields.text, ""),
)
# What the columns of a roster may be called, and which field of a chair each holds.
_COLUMNS = {
    "name": "player",
    "player": "player",
    "student": "player",
    "instrument": "instrument",
    "level": "level",
    "chair": "name",
    "part": "name",
}


def read_section(path: Path, instruments: Table[Instrument]) -> Section:
    """Read a section file.

    Args:
        path: the file.
        instruments: pitched and unpitched.

    Raises:
        BadFileError: every mistake, one a line, with line number, field, reason and nearest name.
        OutputError: the file cannot be read.
    """
    file = MarkedFile.read(path)
    head = read_head(file, HEAD_FIELDS, ("chair",), shared_catalogue())
    chairs = _chairs(file, instruments)
    return Section(title=head["title"], chairs=chairs, note=head["note"])


def read_roster(path: Path, instruments: Table[Instrument], level: str = "standard") -> Section:
    """Read a roster: one player a line, columns name, instrument and, if wanted, level and part, with a heading line.

    Args:
        path: the file; commas, semicolons or tabs.
        instruments: pitched and unpitched.
        level: for lines that name none.

    Raises:
        BadFileError: every mistake, one a line.
        OutputError: the file cannot be read.
    """
    (_, titles), *rows = _lines(path) or [(1, [])]
    file = MarkedFile(path, {"chair": []}, {("chair", n, ""): line for n, (line, _) in enumerate(rows)})
    columns = [title.strip().casefold() for title in titles]
    unknown = [title for title in columns if title and title not in _COLUMNS]
    for title in unknown[:MOST_TOLD]:
        file.fault_at(1, f"unknown column {shown(title)}; {nearest_or_all(title, _COLUMNS)}")
    if unknown or "instrument" not in columns:
        file.fault_at(1, "it names the columns: name, instrument and, if wanted, level and chair")
    elif not rows:
        file.fault_at(1, "it names no player")
    elif len(rows) > MOST_CHAIRS:
        file.fault_at(1, f"it has {len(rows)} players; at most {MOST_CHAIRS} are possible")
    file.refuse()
    for _, row in rows:
        cells = {_COLUMNS[title]: cell for title, cell in zip(columns, row, strict=False) if title}
        file.data["chair"].append({**cells, "level": cells.get("level", "").strip() or level})
    return Section(title="", chairs=_chairs(file, instruments))


def _lines(path: Path) -> list[tuple[int, list[str]]]:
    """The lines of a roster that are not blank, with their numbers."""
    text = own_text(path)
    heading = text.split("\n", 1)[0]
    separator = max(",;\t", key=heading.count)
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        return [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise BadFileError(f"{path.name}: it is no table: {clipped(str(error))}") from None


def _chairs(file: MarkedFile, instruments: Table[Instrument]) -> tuple[Chair, ...]:
    """The chairs of a file in score order; a file with mistakes is refused."""
    names = replace(shared_catalogue(), instruments=instruments)
    needed = "it has no [[chair]]; write one for each part"
    rows = read_tables(file, "chair", CHAIR_FIELDS, names, most=MOST_CHAIRS, needed=needed)
    chairs = [_chair(file, place, row) for place, row in rows if row["instrument"]]
    file.refuse()
    return in_score_order(chairs)


def _chair(file: MarkedFile, place: Place, row: Values) -> Chair:
    """One chair; limits of the player's own go before the level."""
    instrument, name = row["instrument"], row["name"] or called(row["instrument"])
    if row["low"] or row["high"]:
        player = Player(instrument, OWN_RANGE, _own_range(file, place, row))
    else:
        player = Player(instrument, row["level"], instrument.level(row["level"]))
    return Chair(name=name, player=player, copies=row["copies"], person=row["player"])


def _own_range(file: MarkedFile, place: Place, row: Values) -> Compass:
    """The lowest and highest note of the player's own, or else of the level."""
    instrument: Instrument = row["instrument"]
    usual, widest = instrument.level(row["level"]), instrument.level("extended")
    low, high = row["low"] or usual.low, row["high"] or usual.high
    beyond = f"lies more than an octave beyond the {instrument.name} ({widest.words})"
    if low.height > high.height:
        field = "high" if row["high"] else "low"
        file.fault(place, field, f"{field}: the lowest note {low.words} lies above the highest {high.words}")
        return usual
    if low.height < widest.low.height - 12:
        file.fault(place, "low", f"low: {low.words} {beyond}")
    if high.height > widest.high.height + 12:
        file.fault(place, "high", f"high: {high.words} {beyond}")
    return Compass(low, high, "the player's own")
