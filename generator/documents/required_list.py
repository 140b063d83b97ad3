"""Required lists: what a board, district or teacher asks for."""

from dataclasses import dataclass, replace
from pathlib import Path

from generator.catalogue.names import fold, hint, nearest
from generator.catalogue.tables import Table
from generator.errors import DoesNotFitError, UnknownNameError, clipped, shown
from generator.exercise.instrument import Instrument
from generator.exercise.records import Tempo
from generator.exercise.request import Request
from generator.files.resources import data_folder
from generator.phrase.vocabulary import UNIT_NAMES
from generator.theory.pitch import Pitch

OTHERS = "others"
# Families in which the others finger what they read as the first one does (common practice, no source).
_ONE_FINGERING = (
    "flutes", "oboes", "bassoons", "clarinets", "saxophones", "trumpets", "horns", "trombones", "low brass", "mallets",
)  # fmt: skip
WARNING = "Requirements change: check the current syllabus."


@dataclass(frozen=True, slots=True)
class RequiredItem:
    """One requirement.

    Attributes:
        request: what is asked for, with rhythm and articulation, without tempo.
        tempos: beats a minute by instrument name; "others" for all others.
        unit: name of the note value they count.
        memory: from memory.
        complete: complete octaves only.
        low: lowest written note, or None.
        high: highest, or None.
        articulations: each is asked for, one at a time; empty where the request says it all.
        instruments: whom it is for; empty for everyone the list is for.
        phrase: as written.
        line: line of the file.
    """

    request: Request
    tempos: tuple[tuple[str, int], ...]
    unit: str
    memory: bool
    complete: bool
    low: Pitch | None
    high: Pitch | None
    articulations: tuple[str, ...]
    instruments: tuple[str, ...]
    phrase: str
    line: int

    def tempo(self, instrument: str) -> int | None:
        """Beats a minute for an instrument."""
        tempos = dict(self.tempos)
        return tempos.get(instrument, tempos.get(OTHERS))

    def request_for(self, instrument: str) -> Request:
        """The whole request for an instrument, tempo included."""
        bpm = self.tempo(instrument)
        return replace(self.request, tempo=Tempo(UNIT_NAMES[self.unit], bpm)) if bpm else self.request


@dataclass(frozen=True, slots=True)
class RequiredList:
    """A required list.

    Attributes:
        name: file name without its ending.
        title: what it is.
        source: where it was read.
        year: of the source.
        instruments: whom it is for; empty for everyone.
        ordered: the order of the items is part of it.
        note: one line for the player.
        items: in the order of the file.
    """

    name: str
    title: str
    source: str
    year: str
    instruments: tuple[str, ...]
    ordered: bool
    note: str
    items: tuple[RequiredItem, ...]

    @property
    def named(self) -> tuple[str, ...]:
        """Every instrument it names, for all of it or for an item."""
        return tuple(
            dict.fromkeys((*self.instruments, *(name for item in self.items for name in item.instruments)))
        )

    def stands_for(self, instrument: Instrument, table: Table[Instrument]) -> Instrument:
        """The instrument of the list whose items another one plays: itself, or one that is read and fingered alike.

        A euphonium in treble clef takes the trumpet's sheet (Maine, District 3); else the nearest of its own family
        in the same clef.

        Args:
            instrument: who plays.
            table: all instruments, to look up those of the list.
        """
        if instrument.name in self.named:
            return instrument
        alike = [one for one in map(table.find, self.named) if _alike(instrument, one)]
        return min(
            alike,
            key=lambda one: (one.family != instrument.family, abs(one.order - instrument.order)),
            default=instrument,
        )

    def items_for(self, instrument: Instrument) -> tuple[RequiredItem, ...]:
        """The items an instrument has to play.

        Raises:
            DoesNotFitError: the list is not for it.
        """
        for_it = not self.instruments or instrument.name in self.instruments
        items = [item for item in self.items if not item.instruments or instrument.name in item.instruments]
        if not for_it or not items:
            whom = self.instruments or self.named
            raise DoesNotFitError(
                f"{clipped(self.title, 100)} is for {clipped(', '.join(whom), 160)}, not for the {instrument.name}"
            )
        return tuple(items)


def _alike(one: Instrument, other: Instrument) -> bool:
    """Whether what is written for one is played alike on the other."""
    if one.wind != other.wind or one.clefs[:1] != other.clefs[:1]:
        return False
    if one.family == other.family:
        return one.family in _ONE_FINGERING
    brass = one.wind == "brass" and "horns" not in (one.family, other.family)
    return brass and one.sounds.semitones % 12 == other.sounds.semitones % 12


def lists_folder() -> Path:
    """The program's own required lists."""
    return data_folder("shared") / "lists"


def list_names(folder: Path) -> tuple[str, ...]:
    """Names of the lists of a folder, in order."""
    return tuple(sorted(path.stem for path in folder.glob("*.toml")))


def find_list(name: str, folder: Path, base: Path) -> Path:
    """The file of a list.

    Args:
        name: a list of the folder, or the path of a file.
        folder: the program's own lists.
        base: the folder from which a path is meant.

    Raises:
        UnknownNameError: it is neither; gives the nearest names.
    """
    names = {fold(found): found for found in list_names(folder)}
    if fold(name) in names:
        return folder / f"{names[fold(name)]}.toml"
    path = _file(name, base)
    if path:
        return path
    hits = nearest(name.strip().removesuffix(".toml"), list(names.values())) if fold(name) else ()
    raise UnknownNameError(
        f"{shown(name)} is neither a required list nor a file; {hint(hits, 'see: scalewright list lists')}",
        nearest=hits,
    )


def _file(name: str, base: Path) -> Path | None:
    """The file of that name, if there is one and there can be one."""
    try:
        path = base / Path(name).expanduser()
        return path if path.is_file() else None
    except (
        OSError,
        RuntimeError,
        ValueError,
    ):  # too long, the home of nobody, or characters no name may have
        return None
