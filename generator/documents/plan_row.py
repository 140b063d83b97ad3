"""What is to be kept alive: a bare request, and what it may wear each time it returns."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from generator.catalogue.names import fold, hint, nearest
from generator.catalogue.tables import Catalogue
from generator.errors import UnknownNameError, shown
from generator.exercise.articulation import Articulation
from generator.exercise.request import EVERY, IN_TURN, Choice, Request, RowSet, row_name
from generator.exercise.rhythm import Rhythm
from generator.exercise.tempo import first_mark
from generator.phrase.vocabulary import UNIT_NAMES

Strokes = tuple[str, str]
"""An articulation for the rising half and one for the falling half, or "" for the same."""


@dataclass(frozen=True, slots=True)
class Dressing:
    """What an exercise wears, and how fast and how often it is wanted.

    Attributes:
        articulations: these in turn; "every" stands for all that suit.
        rhythms: these in turn; "every" stands for all; empty for the figure's own.
        metre: time signature, or "" for the rhythm's own.
        unit: name of the note value the tempo counts, or "" for the beat of the metre.
        start: beats per minute where the row of tempi begins, before any play.
        goal: beats per minute worked towards.
        step: beats per minute between two tempi, instead of the traditional series.
        climb: the row of tempi goes two up and one down.
        every: wanted gap in practice days.
        minutes: length on the sheet, or None for an estimate.
        heavy: high or loud, or None to be judged by its notes.
    """

    articulations: tuple[Strokes, ...] = ()
    rhythms: tuple[str, ...] = ()
    metre: str = ""
    unit: str = ""
    start: int | None = None
    goal: int | None = None
    step: int | None = None
    climb: bool = False
    every: int | None = None
    minutes: int | None = None
    heavy: bool | None = None

    @property
    def first_tempo(self) -> int | None:
        """Where the row of tempi begins before any play."""
        if self.start or not self.goal:
            return self.start
        return first_mark(self.goal)


@dataclass(frozen=True, slots=True)
class Keep:
    """A row of a plan or of a required list.

    Attributes:
        request: keys, form, figure, span and the like, without dressing.
        dressing: what it wears.
        phrase: as it was written.
        line: line of the file.
        only: names of the instruments it is for; empty for all.
        stage: it joins when the rows of all earlier stages have gone round.
    """

    request: Request
    dressing: Dressing
    phrase: str = ""
    line: int = 0
    only: tuple[str, ...] = ()
    stage: int = 1


def undressed(request: Request) -> Request:
    """The request without rhythm, metre, articulation and tempo."""
    return replace(
        request,
        rhythm=None,
        metre="",
        articulation=None,
        articulation_down=None,
        tempo=None,
        goal=None,
        step=None,
        climb=False,
    )


def keep_of(request: Request, phrase: str, line: int, **said: Any) -> Keep:  # noqa: ANN401
    """A row from a phrase and what is said beside it.

    What the phrase itself says (``all slurred``, ``quarter = 60 to 108``) counts where nothing is said beside
    it; a single tempo is the goal.

    Args:
        request: as parsed.
        phrase: as written.
        line: line of the file.
        **said: fields of `Dressing`; None and () say nothing.
    """
    tempo, down = request.tempo, row_name(request.articulation_down)
    ups = _names(request.articulation) or (("",) if down else ())
    unit = next((n for n, v in UNIT_NAMES.items() if tempo and v == tempo.unit), "")
    dressing = Dressing(
        articulations=tuple((up, down) for up in ups),
        rhythms=_names(request.rhythm),
        metre=request.metre,
        unit=unit,
        start=tempo.bpm if tempo and request.goal else None,
        goal=request.goal or (tempo.bpm if tempo else None),
        step=request.step,
        climb=request.climb,
    )
    given = {name: value for name, value in said.items() if value is not None and value != ()}
    return Keep(undressed(request), replace(dressing, **given), phrase, line)


def _names(asked: Rhythm | Articulation | RowSet[Any] | Choice | None) -> tuple[str, ...]:
    """What goes round: one row, the members of a set, or "every" one."""
    if asked in (EVERY, IN_TURN):
        return (EVERY,)
    if isinstance(asked, RowSet):
        return tuple(row.name for row in asked.members)
    return (row_name(asked),) if asked else ()


def names_in(words: Sequence[str], kind: str, catalogue: Catalogue) -> tuple[str, ...]:
    """Names of rhythms or articulations; the name of a set stands for its members.

    Args:
        words: names, aliases and names of sets; "every articulation" and "every rhythm" stand for all.
        kind: rhythm or articulation.
        catalogue: the names.

    Raises:
        UnknownNameError: with the nearest names.
    """
    table = catalogue.rhythms if kind == "rhythm" else catalogue.articulations
    found: list[str] = []
    for word in words:
        folded = fold(word)
        group = catalogue.sets.index.get(folded)
        row = table.index.get(folded)
        if folded in ((EVERY, kind), ("all", f"{kind}s"), (f"{kind}s", "in", "turn")):
            found.append(EVERY)
        elif group is not None and group.kind == kind:
            found += [member.name for member in group.members]
        elif row is not None:
            found.append(row.name)
        else:
            sets = [group.name for group in catalogue.sets.rows if group.kind == kind]
            near = nearest(word, [*(n for r in table.rows for n in (r.name, *r.aliases)), *sets])
            or_else = f"see: scalewright list {kind}s"
            raise UnknownNameError(f"unknown {kind} {shown(word)}; {hint(near, or_else)}", nearest=near)
    return tuple(dict.fromkeys(found))
