"""Reads a section from section.toml.

    title = "Harbour Street Community Band"
    plan = "band-plan.toml"     # what it rehearses in turn; left out, a built-in plan
    rehearsals = ["Tuesday", "Thursday"]        # when it meets, for sheets of days to come
    [[chair]]
    name = "2nd Clarinet"
    instrument = "clarinet"
    level = "standard"          # or low = "E3", high = "Bb4": below the break
    copies = 2
    player = "Ada Quill"
    reader = { staff = 26, letters = "plain" }  # as in a plan
    [[answer]]                  # what a doubtful cell of the roster means, so that it is asked about once
    said = "Bass"
    means = "tuba"

and a playing test of its own, see `playing_tests`. A file with mistakes is refused with all of them, each with its
line.
"""

from dataclasses import replace
from pathlib import Path

from generator.catalogue.players import OWN_RANGE
from generator.catalogue.tables import Table, shared_catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile, Place
from generator.documents.playing_tests import TABLES, read_test
from generator.documents.reader import Values, read_head, read_tables
from generator.documents.reader_page import reader
from generator.documents.section import MOST_CHAIRS, Answer, Chair, Section, called, in_score_order
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument
from generator.pages.reader import USUAL_READER

MOST_COPIES = 99
HEAD_FIELDS = (
    Field("title", fields.text, ""),
    Field("note", fields.text, ""),
    Field("plan", fields.text, ""),
    Field("rehearsals", fields.weekdays, ()),
)
CHAIR_FIELDS = (
    Field("name", fields.text, ""),
    Field("instrument", fields.instrument, needed='a chair needs one, like instrument = "alto saxophone"'),
    Field("level", fields.level, "standard"),
    Field("low", fields.pitch),
    Field("high", fields.pitch),
    Field("copies", fields.whole(1, MOST_COPIES), 1),
    Field("player", fields.text, ""),
    Field("reader", reader, USUAL_READER),
)
ANSWER_FIELDS = (
    Field("field", fields.among(("instrument", "level", "low", "high", "copies")), "instrument"),
    Field("said", fields.text, needed='it needs what the roster says, like said = "Bass"'),
    Field(
        "means", fields.text, needed='it needs what that means, like means = "double bass"; "-" leaves it out'
    ),
)


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
    names = shared_catalogue()
    head = read_head(file, HEAD_FIELDS, ("chair", "answer", *TABLES), names)
    test = read_test(file, names)
    answers = tuple(
        Answer(row["field"], row["said"], row["means"])
        for _, row in read_tables(file, "answer", ANSWER_FIELDS, names, most=MOST_CHAIRS)
        if row["said"] and row["means"]
    )
    chairs = _chairs(file, instruments)
    return Section(
        title=head["title"],
        chairs=chairs,
        note=head["note"],
        answers=answers,
        plan=head["plan"],
        rehearsals=head["rehearsals"],
        test=test,
    )


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
    return Chair(name=name, player=player, copies=row["copies"], person=row["player"], reader=row["reader"])


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
