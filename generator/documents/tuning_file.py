"""tuning.toml: how sharp or flat each note was, by instrument and fingering; written by the program, read by anybody.

    [[note]]
    instrument = "alto saxophone"
    written = "F#5"
    fingering = "side"
    cents = 12
    date = 2027-02-06

For one note with one fingering the last entry counts.
"""

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile
from generator.documents.reader import read_head, read_tables
from generator.exercise.tuning import MOST_CENTS, Reading
from generator.files.resources import is_there
from generator.files.text import clean

NAME = "tuning.toml"
LONGEST_FINGERING = 14
NOTE_FIELDS = (
    Field("instrument", fields.instrument_name, needed="a [[note]] says on what"),
    Field("written", fields.pitch, needed='a [[note]] says which, like written = "F#5"'),
    Field("fingering", fields.text, ""),
    Field("cents", fields.whole(-MOST_CENTS, MOST_CENTS), needed="a [[note]] says how many, like cents = -5"),
    Field("date", fields.day, needed="a [[note]] says when, like date = 2027-02-06"),
)
_HEAD = """\
# How sharp (+) or flat (-) each written note was, in cents, and with what; the tuning page prints it the next time.
# Written by: scalewright tuning "F#5 +12 side". Change or delete what you like.
"""


@dataclass(frozen=True, slots=True)
class TuningNote:
    """A row of the file.

    Attributes:
        instrument: catalogue name.
        reading: the note and its cents.
        day: when.
    """

    instrument: str
    reading: Reading
    day: dt.date

    @property
    def place(self) -> tuple[str, int, str]:
        """What a later row replaces."""
        return self.instrument, self.reading.written.height, self.reading.fingering.casefold()


def read_tuning(path: Path, catalogue: Catalogue) -> tuple[TuningNote, ...]:
    """Every row, in the order of the file; none where there is no file.

    Raises:
        BadFileError: every mistake, one a line, each with its line.
        OutputError: it cannot be read.
    """
    if not is_there(path):
        return ()
    file = MarkedFile.read(path)
    read_head(file, (), ("note",), catalogue)
    rows = [row for _, row in read_tables(file, "note", NOTE_FIELDS, catalogue)]
    file.refuse()
    return tuple(
        TuningNote(
            row["instrument"],
            Reading(row["written"], row["cents"], clean(row["fingering"], LONGEST_FINGERING)),
            row["date"],
        )
        for row in rows
    )


def tuning_text(notes: Iterable[TuningNote]) -> str:
    """The text of the file: by instrument, from the lowest note up, the last of each note and fingering alone."""
    last = {note.place: note for note in notes}
    rows = sorted(last.values(), key=lambda note: (note.place[0], note.place[1], note.day))
    return "\n".join([_HEAD, *map(_row, rows)])


def _row(note: TuningNote) -> str:
    reading = note.reading
    lines = [f"instrument = {json.dumps(note.instrument)}", f"written = {json.dumps(reading.written.name)}"]
    if reading.fingering:
        said = json.dumps(reading.fingering, ensure_ascii=False).replace("\x7f", "\\u007f")
        lines.append(f"fingering = {said}")
    lines += [f"cents = {reading.cents}", f"date = {note.day.isoformat()}"]
    return "\n".join(["[[note]]", *lines, ""])
