"""A studio: a teacher's pupils, each with an instrument, a list and a log of their own."""

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.catalogue.names import nearest_or_all
from generator.documents.plan_row import Keep
from generator.errors import RequestError, clipped, shown
from generator.files.text import clean, slug
from generator.pages.reader import ReaderNeeds

MOST_PUPILS = 300
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
_NAME, _FOLDER = 40, 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Pupil:
    """One pupil.

    Attributes:
        name: as printed on every page.
        instrument: its name.
        level: name of a level, or "" where the plan says it.
        low: own lowest written note, or "".
        high: own highest written note, or "".
        minutes: a day, or None where the plan says it.
        days: sheets a week, or None for one a day.
        plan: plan file, or None.
        keep: what is kept alive in place of the plan's rows.
        week: what is asked for besides, every day.
        reader: how pages are printed, or None where the plan says it.
        folder: bare name of the folder with the log.
        label: the name, told apart from others who have the same.
        line: where the pupil stands in the file.
    """

    name: str
    instrument: str
    level: str = ""
    low: str = ""
    high: str = ""
    minutes: int | None = None
    days: int | None = None
    plan: Path | None = None
    keep: tuple[Keep, ...] = ()
    week: tuple[Keep, ...] = ()
    reader: ReaderNeeds | None = None
    folder: str = ""
    label: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class RefusedPupil:
    """A pupil of whom something cannot be read or done; the others go on.

    Attributes:
        name: as written, or "".
        reason: one or several lines, each with its place.
    """

    name: str
    reason: str

    @property
    def words(self) -> str:
        """In one line."""
        lines = self.reason.splitlines()
        more = f" (and {len(lines) - 1} more)" if lines[1:] else ""
        return f"{clipped(self.name)}: {lines[0]}{more}" if self.name else f"{lines[0]}{more}"


@dataclass(frozen=True, slots=True)
class Studio:
    """A studio.

    Attributes:
        title: its name, or "".
        note: a line for everyone.
        pupils: in the order of the file.
        refused: those that are left out, and why.
        remarks: how a roster was read.
    """

    title: str
    pupils: tuple[Pupil, ...]
    note: str = ""
    refused: tuple[RefusedPupil, ...] = ()
    remarks: tuple[str, ...] = field(default=())

    def find(self, said: str) -> Pupil:
        """The pupil who is meant: by name, or by the beginning of one name alone.

        Raises:
            RequestError: nobody, or several.
        """
        wanted = _folded(said)
        whole = [one for one in self.pupils if wanted in (_folded(one.label), _folded(one.name))]
        begun = [one for one in self.pupils if _folded(one.label).startswith(wanted)] if wanted else []
        # Whoever types Zoe means Zoë.
        plain = [one for one in self.pupils if slug(one.label, 200).startswith(slug(said, 200))]
        found = whole or begun or (plain if wanted else [])
        if len(found) == 1:
            return found[0]
        if found:
            told = ", ".join(clipped(one.label) for one in found[:5])
            raise RequestError(f"{shown(said)} may be {told}; write one of these")
        for one in self.refused:
            if _folded(one.name) == wanted:
                raise RequestError(one.words)
        raise RequestError(
            f"there is no pupil {shown(said)}; {nearest_or_all(said, [one.label for one in self.pupils])}"
        )


def _folded(name: str) -> str:
    return clean(name).casefold()


def folder_of(name: str, instrument: str) -> str:
    """The folder of a pupil: the same for the same name and instrument, whoever else is there.

    Letters that no file name can have on every system are told apart by four signs made from the name.

    >>> folder_of("Ada Quill", "flute"), folder_of("Zoë", "alto saxophone")
    ('ada-quill-flute', 'zoe-jx8m-alto-saxophone')
    """
    plain = slug(name, _NAME)
    if plain.replace("-", " ") != _folded(name):
        digest = hashlib.sha256(_folded(name).encode("utf-8", "replace")).digest()
        plain += "-" + "".join(_LETTERS[byte % len(_LETTERS)] for byte in digest[:4])
    return slug(f"{plain}-{slug(instrument)}", _FOLDER)


def told_apart_pupils(pupils: Sequence[Pupil]) -> tuple[tuple[Pupil, ...], tuple[str, ...]]:
    """The pupils with labels and folders of their own, and what is to be said about those who share a name.

    Two of one name are told apart by their instruments; two of one name and one instrument are numbered in the order
    of the file, unless the file gives each a folder.
    """
    names = Counter(_folded(one.name) for one in pupils)
    seen: Counter[str] = Counter()
    taken: set[str] = set()
    told: list[str] = []
    found: list[Pupil] = []
    for one in pupils:
        label = one.name if names[_folded(one.name)] == 1 else f"{one.name} ({one.instrument})"
        seen[_folded(label)] += 1
        number = seen[_folded(label)]
        if number > 1:
            label = f"{label} {number}"
        folder = one.folder or folder_of(one.name, one.instrument)
        if number > 1 and not one.folder:
            folder = f"{folder}-{number}"
            told.append(
                f"line {one.line}: a second {clipped(one.name)} on the {one.instrument} is called {clipped(label)}; "
                f'give each folder = "..." of their own, so that the logs stay apart when one leaves'
            )
        if one.folder and folder in taken:
            told.append(f"line {one.line}: the folder {folder} is another pupil's; this one is {folder}-2")
        while folder in taken:
            folder = f"{folder}-2"
        taken.add(folder)
        found.append(replace(one, label=label, folder=folder))
    return tuple(found), tuple(told)
