"""The words of a day's sheet for a section: what its parts say, and the page of whoever directs."""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.pages.tables import Block, parted

# Exercises that a page of the table holds, each with its reason in up to two lines.
_MOST_ROWS = 24


@dataclass(frozen=True, slots=True)
class DayRow:
    """One exercise of the day.

    Attributes:
        reason: why it is there, marked where it comes first when time is short.
        minutes: its time.
    """

    reason: str
    minutes: int


@dataclass(frozen=True, slots=True)
class DayWords:
    """What the pages of a day say besides the music.

    Attributes:
        title: of all pages.
        day: the date in words.
        code: of the sheet.
        stem: name of the folder of its files.
        rows: a line for each exercise.
        heading: over the table of exercises: key of the day, minutes.
        promise: what can be relied on, and how to note what was played; one paragraph each.
    """

    title: str
    day: str
    code: str
    stem: str
    rows: tuple[DayRow, ...]
    heading: str
    promise: tuple[str, ...]

    @property
    def footer(self) -> str:
        """At the foot of every page."""
        return f"Sheet {self.code} \u00b7 {self.day}"


def day_blocks(day: DayWords, headings: Sequence[str], bars: Sequence[int]) -> list[Block]:
    """The exercises of the day with their reasons, and room for a tempo and how it felt; then the promise.

    Args:
        day: the words.
        headings: of the exercises, in concert terms.
        bars: how many each has.
    """
    rows = [("No.", "Exercise", "Why", "Bars", "Min.", "Tempo", "Felt 1-4")]
    for number, (heading, count, row) in enumerate(zip(headings, bars, day.rows, strict=True), 1):
        rows.append((str(number), heading, row.reason, str(count), str(row.minutes), "", ""))
    tables = [
        Block(heading="" if n else day.heading, widths=(5, 42, 38, 7, 7, 9, 10), rows=part)
        for n, part in enumerate(parted(rows, _MOST_ROWS))
    ]
    return [*tables, *(Block(text=text) for text in day.promise)]
