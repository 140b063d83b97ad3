"""The phrase of a drill: ``drill scherzo, chunks, quarter = 72 to 120``."""

from dataclasses import dataclass, replace

from generator.catalogue.names import fold, hint, nearest
from generator.catalogue.tables import shared_catalogue
from generator.errors import PhraseError, RequestError, shown
from generator.exercise.records import Tempo
from generator.exercise.request import Request
from generator.passage.kept import checked_name
from generator.passage.named import WORD
from generator.passage.recipe_rows import drill_rows
from generator.phrase.read import LONGEST_PHRASE, parse
from generator.phrase.write import canonical

EVERY_RECIPE = "every recipe"
WRITTEN_OUT = "written out"
_EVERY = {("every", "recipe"), ("all", "recipes"), ("everything",), ("every", "drill"), ("all", "drills")}
_STAND_IN = "C major"


@dataclass(frozen=True, slots=True)
class DrillRequest:
    """What a phrase asks of a passage.

    Attributes:
        name: of the passage.
        recipes: names of recipes in the order said; empty for the next one in turn, and on a page of its own for all.
        every: every recipe is said.
        written_out: rhythms to the end.
        tempo: where the row of tempi begins, or the goal alone; None for the passage's own goal.
        goal: beats per minute worked towards.
    """

    name: str
    recipes: tuple[str, ...] = ()
    every: bool = False
    written_out: bool = False
    tempo: Tempo | None = None
    goal: int | None = None

    @property
    def bare(self) -> "DrillRequest":
        """The passage alone, whatever is asked of it: what a plan keeps and the log knows."""
        return DrillRequest(self.name)


def parse_drill(phrase: str) -> DrillRequest:
    """Read the phrase of a drill.

    Raises:
        PhraseError: a clause means nothing, with its place and what would.

    >>> parse_drill("Drill the scherzo, in chunks, quarter = 72 to 120").goal
    120
    """
    if len(phrase) > LONGEST_PHRASE:
        raise RequestError(f"the phrase has {len(phrase)} characters; at most {LONGEST_PHRASE} are read")
    said = phrase.strip()
    name, *clauses = said[len(WORD) :].split(",")
    if not name.strip():
        raise PhraseError(
            "drill which passage? write its name, like drill scherzo; see: scalewright list passages",
            text=phrase, expected=("passage",),
        )  # fmt: skip
    request = DrillRequest(checked_name(name))
    at = len(phrase) - len(phrase.lstrip()) + len(WORD) + len(name) + 1
    for clause in clauses:
        request = _with(request, clause, phrase, at + 1)
        at += len(clause) + 1
    return request


def _with(request: DrillRequest, clause: str, phrase: str, at: int) -> DrillRequest:
    folded = fold(clause)
    place = at + len(clause) - len(clause.lstrip())
    if not folded:
        return request
    if folded in _EVERY:
        return replace(request, every=True)
    if folded == fold(WRITTEN_OUT):
        return replace(request, written_out=True)
    recipe = drill_rows().named(clause)
    if recipe is not None:
        if recipe.name in request.recipes:
            return request
        return replace(request, recipes=(*request.recipes, recipe.name))
    try:
        tempo = parse(f"{_STAND_IN}, {clause.strip()}", shared_catalogue())
    except RequestError:
        tempo = None
    if tempo is not None and tempo.tempo is not None and replace(tempo, tempo=None, goal=None) == _plain():
        if request.tempo is not None:
            raise PhraseError(
                f"{shown(phrase)} says two tempi; leave one out", text=phrase, span=(place, place)
            )
        return replace(request, tempo=tempo.tempo, goal=tempo.goal)
    raise _unknown(clause.strip(), phrase, place)


def _plain() -> Request:
    return parse(_STAND_IN, shared_catalogue())


def _unknown(clause: str, phrase: str, place: int) -> PhraseError:
    names = [*(one.name for one in drill_rows().recipes), EVERY_RECIPE]
    near = nearest(clause, names)
    return PhraseError(
        f"{shown(clause)} (at {place}) is no way to drill a passage; {hint(near, 'there is ' + ', '.join(names))}"
        " or a tempo like quarter = 72 to 120",
        text=phrase, span=(place, place + max(0, len(clause) - 1)), expected=("recipe", "tempo"),
        suggestions=tuple(phrase.replace(clause, one) for one in near), nearest=near,
    )  # fmt: skip


def canonical_drill(request: DrillRequest) -> str:
    """Write the phrase of a drill; reading it gives the request back.

    >>> canonical_drill(parse_drill("drill Scherzo, chunk, rhythm, crotchet = 60"))
    'drill Scherzo, chunks, rhythms, quarter = 60'
    """
    clauses = [EVERY_RECIPE] if request.every else []
    clauses += request.recipes
    clauses += [WRITTEN_OUT] if request.written_out else []
    if request.tempo is not None:
        said = canonical(replace(_plain(), tempo=request.tempo, goal=request.goal))
        clauses.append(said.partition(", ")[2])
    return ", ".join([f"{WORD} {request.name}", *clauses])
