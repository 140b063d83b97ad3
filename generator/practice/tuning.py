"""How sharp or flat each note was: read from what the player types, kept beside the plan for the next time."""

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.tuning_file import LONGEST_FINGERING, NAME, TuningNote, read_tuning, tuning_text
from generator.errors import RequestError, shown
from generator.exercise.build import Player
from generator.exercise.tuning import MOST_CENTS, Reading, tuning_notes
from generator.files.atomic import place
from generator.files.home import Home
from generator.files.text import clean
from generator.theory.pitch import Pitch

# A true minus sign and a dash count as a hyphen does.
_SAID = re.compile(
    r"([^\s,:=]+)[\s,:=]+\s*([+\-\u2212\u2013]?)\s*(\d{1,3})\s*(?:cents?\b|c\b)?[\s,]*(.*)",
    re.ASCII | re.DOTALL,
)
_LIKE = 'write the note and the cents, like "F#5 +12" or "G4 -5 other fingering"'


def tuning_path(home: Home, plan: Path | None) -> Path:
    """The file: beside the plan that is used."""
    return (plan or home.plan).parent / NAME


def readings_of(path: Path, player: Player) -> dict[int, list[Reading]]:
    """What is kept for an instrument, by the height of the written note: without a fingering first, then the newest.

    Raises:
        BadFileError: the file has mistakes, all of them, one a line.
        OutputError: it cannot be read.
    """
    notes = [one for one in read_tuning(path, shared_catalogue()) if one.instrument == player.instrument.name]
    found: dict[int, list[Reading]] = {}
    for note in sorted(notes, key=lambda one: (bool(one.reading.fingering), -one.day.toordinal())):
        found.setdefault(note.reading.written.height, []).append(note.reading)
    return found


def reading_said(text: str, player: Player) -> Reading:
    """What ``F#5 +12 side`` says.

    Raises:
        RequestError: it is not understood, too far off, or no note of the player's.
    """
    match = _SAID.fullmatch(text.strip())
    if match is None:
        raise RequestError(f"{shown(text)} is not understood; {_LIKE}")
    written = Pitch.parse(match[1])
    cents = int(match[3]) * (-1 if match[2] and match[2] != "+" else 1)
    if abs(cents) > MOST_CENTS:
        raise RequestError(
            f"{shown(text)}: {abs(cents)} cents are another note; from -{MOST_CENTS} to +{MOST_CENTS} are possible"
        )
    heights = [note.height for note in tuning_notes(player)]
    if written.height not in heights:
        raise RequestError(
            f"{shown(text)}: {written.words} is none of your notes on the {player.instrument.name}, "
            f"{player.compass.words} as written; --level, --low and --high change that"
        )
    return Reading(written, cents, clean(match[4], LONGEST_FINGERING))


def keep_readings(path: Path, player: Player, said: Sequence[str], day: dt.date) -> tuple[Reading, ...]:
    """Note some readings in the file; all of them or none.

    Args:
        path: the file.
        player: on what.
        said: each like ``F#5 +12 side``.
        day: when.

    Raises:
        RequestError: one is not understood.
        BadFileError: the file has mistakes.
        OutputError: it cannot be read or written.
    """
    readings = tuple(reading_said(text, player) for text in said)
    known = read_tuning(path, shared_catalogue())
    notes = [TuningNote(player.instrument.name, reading, day) for reading in readings]
    place(tuning_text([*known, *notes]).encode(), path)
    return readings
