"""A player's own hints: what is to be read at a note, in a small file.

    [[hint]]
    instrument = "clarinet"
    note = "B4"
    print = "2P"
    key = "C"

A note without an octave is meant in every octave; without an instrument the hint is for any, without a key for all.
"""

from pathlib import Path

from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field, of_text
from generator.documents.marked_file import MarkedFile
from generator.documents.reader import read_head, read_tables
from generator.errors import RequestError, shown
from generator.exercise.fingering import Hint
from generator.files.text import clean
from generator.theory.pitch import NoteName, Pitch

LONGEST_HINT = 4


def _note(said: str) -> tuple[NoteName, int | None]:
    if said.strip()[-1:].isdigit():
        pitch = Pitch.parse(said)
        return pitch.note, pitch.octave
    return NoteName.parse(said), None


def _words(said: str) -> str:
    words = clean(said, 40)
    if not words or len(words) > LONGEST_HINT:
        raise RequestError(
            f"{shown(said)} does not fit under a note; write at most {LONGEST_HINT} characters"
        )
    return words


HINT_FIELDS = (
    Field("instrument", fields.instruments, ()),
    Field(
        "note", of_text(lambda said, _names: _note(said)), needed='a [[hint]] says which, like note = "B4"'
    ),
    Field(
        "print", of_text(lambda said, _names: _words(said)), needed='a [[hint]] says what, like print = "L"'
    ),
    Field("key", of_text(lambda said, _names: NoteName.parse(said).name), ""),
)


def read_hints(path: Path, catalogue: Catalogue) -> tuple[Hint, ...]:
    """Every hint of a file, in order; a later one wins over an earlier one.

    Raises:
        BadFileError: every mistake, one a line, each with its line.
        OutputError: it cannot be read.
    """
    file = MarkedFile.read(path)
    read_head(file, (), ("hint",), catalogue)
    rows = [
        row
        for _, row in read_tables(
            file,
            "hint",
            HINT_FIELDS,
            catalogue,
            needed='it holds no hint; write a [[hint]] with note = "B4" and print = "L"',
        )
    ]
    file.refuse()
    return tuple(
        Hint(note, octave, row["print"], row["instrument"], row["key"])
        for row in rows
        for note, octave in [row["note"]]
    )
