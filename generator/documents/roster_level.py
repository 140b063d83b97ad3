"""Levels as a roster says them: in words, or as a number of a year or a grade.

The table for numbers (common practice, no source; bands begin in grade 5 or 6, and a level of ours called first notes
is the first two years):

    column of levels from 1 to 3            1 first notes, 2 standard, 3 extended
    years of playing, examination grades    1 and 2 first notes, from 3 standard
    school grades (the lowest is 4 or more) up to 6 first notes, from 7 standard
    school years (the lowest is 4 or more)  up to 7 first notes, from 8 standard
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

_WORDS = {
    "first notes": "beginner beginners beginning begin beg novice starter new elementary easy basic firstnotes",
    "standard": "standard intermediate inter int medium middle developing experienced freshman sophomore junior senior",
    "extended": "extended advanced adv expert professional pro honors honours virtuoso",
}
_BY_WORD = {word: level for level, words in _WORDS.items() for word in words.split()}
_NUMBER = re.compile(r"[0-9]{1,2}")
_LETTERS = re.compile(r"[a-z]+")


@dataclass(frozen=True, slots=True)
class LevelTable:
    """What the numbers of a column stand for.

    Attributes:
        words: the table in one line.
        limits: the highest number of each level, with the level.
    """

    words: str
    limits: tuple[tuple[int, str], ...]


def level_table(heading: str, cells: Iterable[str]) -> LevelTable | None:
    """The table for a column of numbers; None where there are none.

    Args:
        heading: of the column.
        cells: what it holds.
    """
    numbers = [int(found[0]) for cell in cells if (found := _NUMBER.search(cell)) and _said(cell) is None]
    if not numbers:
        return None
    title = heading.casefold()
    school = min(numbers) >= 4 and "playing" not in title and "level" not in title
    if "level" in title and max(numbers) <= 3:
        limits = ((1, "first notes"), (2, "standard"), (99, "extended"))
        return LevelTable("1 first notes, 2 standard, 3 extended", limits)
    last = 2 if not school else 7 if title.startswith("y") else 6
    kind = "years" if title.startswith("y") else "grades"
    words = f"school {kind}: up to {last} first notes" if school else f"{kind}: 1 and 2 first notes"
    return LevelTable(f"{words}, from {last + 1} standard", ((last, "first notes"), (99, "standard")))


def level_said(cell: str, table: LevelTable | None) -> str | None:
    """The level a cell means, or None where it means none."""
    found = _said(cell)
    number = _NUMBER.search(cell)
    if found is None and number and table:
        return next(level for limit, level in table.limits if int(number[0]) <= limit)
    return found


def _said(cell: str) -> str | None:
    words = _LETTERS.findall(cell.casefold())
    if words[:2] == ["first", "notes"] or words[:2] == ["first", "year"]:
        return "first notes"
    return next((_BY_WORD[word] for word in words if word in _BY_WORD), None)
