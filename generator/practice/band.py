"""Who plays together, by a section file or a roster, and what all of them can play."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.roster import ROSTERS, read_roster
from generator.documents.section import Chair, Section
from generator.documents.section_file import read_section
from generator.documents.starter import SectionKind
from generator.errors import RequestError
from generator.exercise.request import Request
from generator.exercise.span import Span
from generator.files.text import clean
from generator.section.day_sheet import span_of_all
from generator.section.ensemble import Seat
from generator.section.rehearsal import seats_of

_FIRST, _USUAL = "first notes", "standard"
# Who has the plan of strings: guitar, piano and recorder begin in such keys too (common practice, no source).
_OPEN, _RECORDERS = ("string", "plucked", "keyboard", "harp"), "recorders"


@dataclass(frozen=True, slots=True)
class Band:
    """Who plays together.

    Attributes:
        section: the chairs.
        file: the section file.
        seats: the pitched pages.
        level: of the built-in plan that suits it.
        kind: of the built-in plan that suits it, one of `starter.SECTIONS`.
    """

    section: Section
    file: Path
    seats: tuple[Seat, ...]
    level: str
    kind: SectionKind

    @property
    def name(self) -> str:
        """What it is called: its title, or else the name of its file."""
        return clean(self.section.title) or self.file.stem

    @property
    def mark(self) -> str:
        """Changes when what the chairs can play does."""
        return repr(
            [
                (seat.player.instrument.name, seat.player.compass.words, seat.player.level)
                for seat in self.seats
            ]
        )

    def span_of(self, request: Request) -> Span:
        """How far all go with one exercise.

        Raises:
            DoesNotFitError: it cannot be played together.
        """
        return span_of_all(request, self.seats)


def band_of(file: Path) -> Band:
    """Who plays, by a section file or a roster.

    Raises:
        BadFileError: it has mistakes.
        OutputError: it cannot be read.
    """
    if file.suffix.casefold() in ROSTERS:
        section = read_roster(file)
    else:
        section = read_section(file, shared_catalogue().instruments)
    if not section.chairs:
        raise RequestError(
            f"{file.name} has no chair that can be read; see: scalewright section new {file.name}"
        )
    pitched = [chair for chair in section.chairs if not chair.unpitched] or list(section.chairs)
    return Band(section, file, seats_of(section), _level(pitched), _kind(pitched))


def _kind(chairs: Iterable[Chair]) -> SectionKind:
    """What most of the players are; those who begin in the keys of strings count as strings."""
    counts: Counter[SectionKind] = Counter({"band": 0})
    for chair in chairs:
        instrument = chair.player.instrument
        strings = instrument.wind in _OPEN or instrument.family == _RECORDERS
        kind: SectionKind = "choir" if instrument.wind == "voice" else "strings" if strings else "band"
        counts[kind] += chair.copies
    most, copies = counts.most_common(1)[0]
    return most if 2 * copies > counts.total() else "band"


def _level(chairs: Iterable[Chair]) -> str:
    """First notes where more than half of the players are there, else standard, for it is those who set the line."""
    counts: Counter[bool] = Counter()
    for chair in chairs:
        counts[chair.player.level == _FIRST] += chair.copies
    return _FIRST if counts[True] > counts[False] else _USUAL
