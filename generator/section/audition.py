"""The records of a playing test: who is tested, what each reads, and how many points it can give."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from generator.documents.section import Chair, called
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.pages.rubric import Column, ScoreLine, ScoreTable

MOST_CANDIDATES = 300


@dataclass(frozen=True, slots=True)
class TestedPlayer:
    """One candidate.

    Attributes:
        chair: where they sit.
        number: dealt in place of a name, or 0.
        copy: which of several at a chair without names, or 0.
    """

    chair: Chair
    number: int = 0
    copy: int = 0

    @property
    def label(self) -> str:
        """What stands on a line of the score sheet: a number, a name, or nothing yet."""
        return str(self.number) if self.number else self.chair.person

    @property
    def place(self) -> str:
        """The chair, told apart from others of its name."""
        return f"{self.chair.name} ({self.copy})" if self.copy else self.chair.name


@dataclass(frozen=True, slots=True)
class AuditionPiece:
    """A scale for one candidate.

    Attributes:
        column: its place among the columns.
        exercise: as it is read.
        points: most points it can give.
    """

    column: int
    exercise: Exercise
    points: int


@dataclass(frozen=True, slots=True)
class CandidatePage:
    """Candidates who read the same.

    Attributes:
        player: instrument, level and compass.
        candidates: who they are.
        pieces: in order.
        most: points by column; None where it is not asked.
        asked: the columns that are asked of them, whether they have the notes or not.
        remark: a line of its own on the sheet, or "".
    """

    player: Player
    candidates: tuple[TestedPlayer, ...]
    pieces: tuple[AuditionPiece, ...]
    most: tuple[int | None, ...]
    asked: tuple[int, ...]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Audition:
    """A playing test of a section.

    Attributes:
        columns: what is marked, scales first.
        pages: in score order.
        told: who has fewer points, and why; one line each.
        own: some points or rows are the section file's own.
    """

    columns: tuple[Column, ...]
    pages: tuple[CandidatePage, ...]
    told: tuple[str, ...]
    own: bool

    @property
    def numbered(self) -> bool:
        """Whether candidates have numbers in place of names."""
        return any(one.number for page in self.pages for one in page.candidates)

    @property
    def lines(self) -> tuple[tuple[TestedPlayer, CandidatePage], ...]:
        """Every candidate in score order; numbers go up within an instrument."""
        order: dict[str, int] = {}
        for page in self.pages:
            order.setdefault(page.player.instrument.name, len(order))
        found = [(one, page) for page in self.pages for one in page.candidates]
        if not self.numbered:
            return tuple(found)
        return tuple(sorted(found, key=lambda f: (order[f[1].player.instrument.name], f[0].number)))

    @property
    def tables(self) -> tuple[ScoreTable, ...]:
        """The lines of the score sheets, by what is asked of the candidates."""
        found: dict[tuple[int, ...], list[ScoreLine]] = {}
        for one, page in self.lines:
            most = tuple(page.most[n] for n in page.asked)
            found.setdefault(page.asked, []).append(score_line(one, page, most))
        return tuple(
            ScoreTable(tuple(self.columns[n] for n in asked), tuple(lines)) for asked, lines in found.items()
        )


def score_line(one: TestedPlayer, page: CandidatePage, most: Sequence[int | None]) -> ScoreLine:
    """The line of a candidate, with the points of some columns."""
    chair = "" if one.number else one.place
    return ScoreLine(one.label, chair, called(page.player.instrument), tuple(most))


def dealt(
    players: Sequence[tuple[Player, tuple[Chair, ...]]], chance: Random | None
) -> list[tuple[TestedPlayer, ...]]:
    """Who is tested: everybody named, and as many as there are copies where nobody is.

    Args:
        players: each page with its chairs.
        chance: deals numbers from 1 over all of them; None leaves the names.

    Returns:
        The candidates of each page.

    Raises:
        RequestError: they are too many.
    """
    found = [
        tuple(
            TestedPlayer(replace(chair, copies=1), copy=copy if chair.copies > 1 and not chair.person else 0)
            for chair in chairs
            for copy in range(1, (1 if chair.person else chair.copies) + 1)
        )
        for _, chairs in players
    ]
    count = sum(map(len, found))
    if count > MOST_CANDIDATES:
        raise RequestError(f"these are {count} candidates; a test has at most {MOST_CANDIDATES}")
    if chance is None:
        return found
    numbers = iter(chance.sample(range(1, count + 1), count))
    return [tuple(replace(one, number=next(numbers)) for one in some) for some in found]
