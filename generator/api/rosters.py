"""A roster becomes a section: read, asked about, kept. What a command and a page have in common."""

import contextlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from generator.catalogue.names import fold
from generator.catalogue.players import level_named
from generator.catalogue.spelled import spelled
from generator.catalogue.tables import shared_catalogue
from generator.documents.new_section import section_text
from generator.documents.roster import LEFT_OUT, read_roster
from generator.documents.section import Answer, Doubt, Section
from generator.documents.section_file import read_section
from generator.errors import OutputError, RequestError, shown
from generator.files.atomic import place
from generator.files.resources import is_there
from generator.theory.pitch import Pitch


def roster_section(path: Path, answers: Sequence[Answer] = (), level: str = "standard") -> Section:
    """Read a roster, with the answers there are; `Section.doubts` is what stays to be asked.

    Raises:
        RequestError: it cannot be read at all.
        OutputError: there is no such file.
    """
    return read_roster(path, level, answers)


def questions(section: Section) -> tuple[tuple[Doubt, ...], ...]:
    """The doubts of a section, those about the same words together: one question each."""
    found: dict[tuple[str, tuple[str, ...], int], list[Doubt]] = {}
    for doubt in section.doubts:
        # Lines that say nothing have nothing in common.
        found.setdefault((doubt.field, fold(doubt.said), 0 if doubt.said else doubt.line), []).append(doubt)
    return tuple(tuple(doubts) for doubts in found.values())


def answer_to(doubt: Doubt, word: str) -> Answer:
    """What a word answers to a doubt: a number of the likely ones, a name, or "-" to leave the line out.

    Raises:
        RequestError: it answers nothing.
    """
    said = " ".join(word.split())
    if said == LEFT_OUT:
        return Answer(doubt.field, doubt.said, LEFT_OUT)
    if said.isascii() and said.isdigit() and doubt.field != "copies":
        if not 1 <= int(said[:4]) <= len(doubt.likely):
            raise RequestError(f"{shown(said)} is no number of the list")
        said = doubt.likely[int(said) - 1]
    if doubt.field == "instrument":
        parts = spelled(said).parts
        if not parts or any(part.guessed for part in parts):
            shared_catalogue().instruments.find(said)
            raise RequestError(f"{shown(said)} may be several instruments; say which")
    elif doubt.field == "level":
        said = level_named(said)
    elif doubt.field in ("low", "high"):
        Pitch.parse(said)
    return Answer(doubt.field, doubt.said, said)


def kept_answers(target: Path) -> tuple[Answer, ...]:
    """The answers in a section file that was made before; none where there is no such file.

    Raises:
        RequestError: the file has mistakes.
    """
    return read_section(target, shared_catalogue().instruments).answers if is_there(target) else ()


def keep_section(section: Section, target: Path) -> Path:
    """Write a section file, or leave it as it was; what it said of plan, rehearsals and playing test stays.

    Raises:
        OutputError: it cannot be written.
    """
    if is_there(target):
        with contextlib.suppress(RequestError, OutputError):
            earlier = read_section(target, shared_catalogue().instruments)
            section = replace(section, plan=earlier.plan, rehearsals=earlier.rehearsals, test=earlier.test)
    return place(section_text(section).encode(), target)
