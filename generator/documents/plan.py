"""A plan as a record: who plays, how long a day, and what is kept alive."""

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

from generator.documents.plan_row import Keep, Strokes
from generator.exercise.figure import Figure
from generator.exercise.request import Request
from generator.pages.reader import USUAL_READER, ReaderNeeds
from generator.phrase.ways import USUAL, Ways, words_of_file
from generator.rotation.theme import Theme

KeyNames = Literal["usual", "sharps", "flats", "alternate"]
KEY_NAMES: tuple[KeyNames, ...] = get_args(KeyNames)
DEFAULT_MINUTES = 20


@dataclass(frozen=True, slots=True)
class ListRow:
    """A required list that a plan names.

    Attributes:
        name: of one of the program's own lists, or the path of a file, from the plan's folder.
        called: what sentences call the day, such as "audition"; "" for the name of the list.
        day: the date of the audition, or None.
        line: line of the file.
    """

    name: str
    called: str
    day: dt.date | None
    line: int


@dataclass(frozen=True, slots=True)
class AimRow:
    """What a plan says is to be ready by a day.

    Attributes:
        phrase: as written: a passage, a scale, a line.
        requests: what it asks for.
        tempo: beats per minute to be reached, or None where it is enough that it feels steady.
        by: the day.
        only: names of the instruments it is for; empty for all.
        line: line of the file.
    """

    phrase: str
    requests: tuple[Request, ...]
    tempo: int | None
    by: dt.date
    only: tuple[str, ...] = ()
    line: int = 0


@dataclass(frozen=True, slots=True)
class Dress:
    """What rows wear that name no articulation of their own.

    Attributes:
        articulations: in turn.
        only: names of the instruments it is for; empty for all.
    """

    articulations: tuple[Strokes, ...]
    only: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan as written.

    Attributes:
        player: name, or "".
        instrument: as written, or "" where the plan leaves it open.
        level: level name, or "" where the plan leaves it open.
        low: own lowest written note, or "".
        high: own highest written note, or "".
        minutes: minutes a day, rest included.
        share: share of the playing minutes that goes to whatever has waited longest.
        longest_wait: the longest wait the player wishes for, in practice days.
        names: which name of a key with two is read.
        together: the slowest key sets the tempo of its row.
        theme: what key runs through a sheet.
        paper: paper name, or "".
        print: print size, or "".
        show: notes, outline or both, or "".
        fingerings: help for the hand is printed.
        hints: path of a file with the player's own hints, from the plan's folder, or "".
        syllables: own tonguing syllables.
        phrases: 2 where its phrases are in today's words, 1 where they are older.
        minor: which minor is meant where a phrase says only that: natural, harmonic or melodic.
        figures: figures of the player's own, each with the words of its name.
        rounds: how often everything has to be played before the rows of the next stage join.
        reader: how the player needs pages printed.
        dresses: what rows wear that name no articulation.
        keeps: what is kept alive.
        lists: required lists.
        aims: what is to be ready by a day.
    """

    player: str = ""
    instrument: str = ""
    level: str = ""
    low: str = ""
    high: str = ""
    minutes: int = DEFAULT_MINUTES
    share: Fraction = Fraction(1, 2)
    longest_wait: int | None = None
    names: KeyNames = "usual"
    together: bool = False
    theme: Theme = Theme.DAY
    paper: str = ""
    print: str = ""
    show: str = ""
    fingerings: bool = False
    hints: str = ""
    syllables: tuple[str, ...] = ()
    phrases: int = 1
    minor: str = USUAL.minor
    figures: tuple[tuple[tuple[str, ...], Figure], ...] = ()
    rounds: int = 1
    reader: ReaderNeeds = USUAL_READER
    dresses: tuple[Dress, ...] = ()
    keeps: tuple[Keep, ...] = ()
    lists: tuple[ListRow, ...] = ()
    aims: tuple[AimRow, ...] = ()

    @property
    def ways(self) -> Ways:
        """How its phrases are read."""
        return Ways(self.minor, dict(self.figures), words_of_file(self.phrases))
