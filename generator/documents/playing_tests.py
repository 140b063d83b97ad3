"""The playing test of a section, as its file may have it.

[test]                      # all of it may be left out
title = "Autumn playing test"
octaves = 2                 # complete octaves at the most: each plays as many as they have (usual: 2)
memory = true               # said on the candidates' sheets
source = "as the section leaders agreed"     # printed beside points and rubric of your own
[[test_item]]               # what is played, one for each scale; phrases of the command go before them
phrase = "concert B-flat major, eighths"
points = 4                  # left out: octave points
instruments = ["brass"]     # left out: everyone who plays pitches
[[rubric]]                  # rows of the rubric in place of the usual ones
name = "Pulse"
slip = "a stop or a hurried beat"
marks = [4, 3, 2, 1]
counts = ["no slip", "1 or 2 slips", "3 or 4 slips", "more than 4 slips"]
instruments = ["percussion"]                 # left out: everyone
"""

from dataclasses import dataclass
from itertools import pairwise

from generator.catalogue.names import fold
from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile
from generator.documents.reader import read_one, read_tables
from generator.errors import RequestError, shown
from generator.exercise.instrument import Instrument
from generator.pages.rubric import RubricRow

MOST_OCTAVES, MOST_POINTS, MOST_ITEMS, MOST_ROWS, MOST_MARKS = 4, 100, 60, 8, 8
TABLES = ("test", "test_item", "rubric")
"""Tables of a section file that belong to its playing test."""


@dataclass(frozen=True, slots=True)
class AuditionItem:
    """What is played.

    Attributes:
        phrase: one thing or several.
        points: for each; 0 for octave points.
        instruments: who plays it; empty for everyone who plays pitches.
    """

    phrase: str
    points: int = 0
    instruments: tuple[str, ...] = ()

    def is_for(self, instrument: Instrument) -> bool:
        """Whether an instrument plays it."""
        if not self.instruments:
            return not instrument.unpitched
        return instrument.name in self.instruments


@dataclass(frozen=True, slots=True)
class OwnRow:
    """A row of the rubric, and for whom it is; empty for everyone."""

    row: RubricRow
    instruments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlayingTest:
    """A playing test as a section file has it.

    Attributes:
        title: of the test, or "".
        octaves: complete octaves at the most.
        memory: from memory.
        source: where points and rubric of its own are from, or "".
        items: what is played.
        rows: of the rubric; empty for the usual ones.
    """

    title: str = ""
    octaves: int = 2
    memory: bool = False
    source: str = ""
    items: tuple[AuditionItem, ...] = ()
    rows: tuple[OwnRow, ...] = ()


USUAL_TEST = PlayingTest()


def _whole_numbers(raw: object, names: Catalogue) -> tuple[int, ...]:
    if not isinstance(raw, list) or not 0 < len(raw) <= MOST_MARKS:
        raise RequestError(f"1 to {MOST_MARKS} whole numbers are needed, best first, like [4, 3, 2, 1]")
    marks = tuple(fields.whole(0, MOST_POINTS)(one, names) for one in raw)
    if any(a <= b for a, b in pairwise(marks)) or not marks[0]:
        raise RequestError("marks stand best first, each smaller than the one before, like [4, 3, 2, 1]")
    return marks


def _texts(raw: object, names: Catalogue) -> tuple[str, ...]:
    if not isinstance(raw, list) or not raw:
        raise RequestError('texts in quotes are needed, like ["no slip", "1 or 2 slips"]')
    return tuple(fields.text(one, names) or "" for one in raw)


TEST_FIELDS = (
    Field("title", fields.text, ""),
    Field("octaves", fields.whole(1, MOST_OCTAVES), 2),
    Field("memory", fields.flag, False),
    Field("source", fields.text, ""),
)
ITEM_FIELDS = (
    Field("phrase", fields.phrase, needed='it needs what is played, like phrase = "concert F major"'),
    Field("points", fields.whole(1, MOST_POINTS), 0),
    Field("instruments", fields.instruments, ()),
)
ROW_FIELDS = (
    Field("name", fields.text, needed='it needs what is marked, like name = "Pulse"'),
    Field("slip", fields.text, needed='it needs what counts as a slip, like slip = "a stop"'),
    Field("marks", _whole_numbers, (4, 3, 2, 1)),
    Field("counts", _texts, RubricRow("", "").counts),
    Field("instruments", fields.instruments, ()),
)


def read_test(file: MarkedFile, names: Catalogue) -> PlayingTest:
    """The playing test of a section file; mistakes are noted in the file.

    Args:
        file: takes the mistakes.
        names: the catalogue.
    """
    head = read_one(file, "test", TEST_FIELDS, names)
    items = tuple(
        AuditionItem(row["phrase"][0], row["points"], row["instruments"])
        for _, row in read_tables(file, "test_item", ITEM_FIELDS, names, most=MOST_ITEMS)
        if row["phrase"]
    )
    return PlayingTest(
        head["title"], head["octaves"], head["memory"], head["source"], items, _rows(file, names)
    )


def _rows(file: MarkedFile, names: Catalogue) -> tuple[OwnRow, ...]:
    found: list[OwnRow] = []
    seen: set[tuple[str, ...]] = set()
    for place, row in read_tables(file, "rubric", ROW_FIELDS, names, most=MOST_ROWS):
        marks, counts = row["marks"], row["counts"]
        if len(marks) != len(counts):
            field = "counts" if row["counts"] != RubricRow("", "").counts else "marks"
            file.fault(
                place,
                field,
                f"{field}: there are {len(marks)} marks and {len(counts)} counts; write one count for each mark",
            )
        if not row["name"] or not row["slip"]:
            continue
        if fold(row["name"]) in seen:
            file.fault(
                place, "name", f"name: {shown(row['name'])} is there already; each row has its own name"
            )
        seen.add(fold(row["name"]))
        found.append(OwnRow(RubricRow(row["name"], row["slip"], counts, marks), row["instruments"]))
    return tuple(found)
