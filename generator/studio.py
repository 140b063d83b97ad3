"""The use cases: the only place where the stages meet.

Nothing here reads the clock, prints, or knows a command line.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from generator.catalogue.phrase import canonical, parse
from generator.catalogue.tables import LEVELS, Catalogue, load
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.articulation import Articulation, suits
from generator.exercise.build import Player, Recipe, build, per_beat
from generator.exercise.instrument import Compass
from generator.exercise.records import Exercise
from generator.exercise.request import EVERY, IN_TURN, USUAL, Request, expand_keys
from generator.exercise.rhythm import Rhythm
from generator.resources import data_folder
from generator.theory.duration import Metre
from generator.theory.pitch import Pitch

_NOTHING = Articulation("")
OWN_RANGE = "own range"


@lru_cache(maxsize=1)
def catalogue() -> Catalogue:
    """Everything that has a name, read once."""
    return load(data_folder("shared"))


def player(
    instrument: str, level: str = "standard", low: str | None = None, high: str | None = None
) -> Player:
    """A player by names.

    Args:
        instrument: name or alias.
        level: "first notes", "standard" or "extended".
        low: own lowest written note, like ``B3``; it wins over the level.
        high: own highest written note.

    Raises:
        UnknownNameError: no such instrument.
        RequestError: no such level or note, or nothing between low and high.
    """
    found = catalogue().instruments.find(instrument)
    name = level.replace("_", " ").replace("-", " ").casefold()
    if name not in LEVELS:
        raise RequestError(f"unknown level {level!r}; the levels are {', '.join(LEVELS)}")
    compass = found.level(name)
    if not (low or high):
        return Player(found, name, compass)
    own = Compass(
        Pitch.parse(low) if low else compass.low,
        Pitch.parse(high) if high else compass.high,
        "the player's own",
    )
    lowest, highest = found.level("extended").low.octaves_up(-1), found.level("extended").high.octaves_up(1)
    if own.low.height < lowest.height or own.high.height > highest.height:
        raise RequestError(
            f"{own.words} goes more than an octave beyond the {found.name} ({found.level('extended').words} extended)"
        )
    return Player(found, OWN_RANGE, own)


@dataclass(frozen=True, slots=True)
class Built:
    """What a phrase made.

    Attributes:
        exercises: in order.
        refused: phrase and reason of each single request that could not be carried out.
    """

    exercises: tuple[Exercise, ...]
    refused: tuple[tuple[str, str], ...] = ()


def exercises(phrases: Sequence[str], who: Player, *, exact: bool = False, keep_going: bool = True) -> Built:
    """Build every exercise that some phrases ask for.

    Args:
        phrases: phrases in order.
        who: the player.
        exact: refuse a span that does not fit instead of narrowing it.
        keep_going: when a phrase names several keys, leave out those that do not fit (they are returned
            as refused); a phrase of which nothing fits is an error all the same.

    Raises:
        RequestError: a phrase cannot be read, or nothing of it fits.
    """
    made: list[Exercise] = []
    refused: list[tuple[str, str]] = []
    for text in phrases:
        before = len(made)
        for recipe in recipes(parse(text, catalogue()), who, exact=exact):
            try:
                made.append(build(recipe, who))
            except DoesNotFitError as error:
                if not keep_going:
                    raise
                refused.append((recipe.phrase, str(error)))
        if len(made) == before:
            raise DoesNotFitError(refused[-1][1])
    return Built(tuple(made), tuple(refused))


def recipes(request: Request, who: Player, *, exact: bool = False) -> Iterator[Recipe]:
    """The single requests of a request, each with its rows; dressings that go round are handed out here."""
    names = catalogue()
    form = names.forms.find(request.form)
    turn = 0
    for single in expand_keys(request, form):
        for rhythm_name in _rhythm_names(single, turn):
            for articulation in _articulation_names(replace(single, rhythm=rhythm_name), who, turn):
                yield _recipe(replace(single, rhythm=rhythm_name, articulation=articulation), exact=exact)
        turn += 1


def _recipe(request: Request, *, exact: bool) -> Recipe:
    names = catalogue()
    up = names.articulations.find(request.articulation) if request.articulation else _NOTHING
    down = names.articulations.find(request.articulation_down) if request.articulation_down else up
    if request.articulation_down and not request.articulation:
        up = _NOTHING
    return Recipe(
        request=request,
        phrase=canonical(request, names),
        form=names.forms.find(request.form),
        figure=names.figures.find(request.figure or "straight"),
        span=names.spans.find(request.span),
        spans=names.spans.rows,
        rhythm=_rhythm(request),
        up=up,
        down=down,
        exact=exact,
    )


def _rhythm(request: Request) -> Rhythm:
    """The rhythm asked for, or the articulation's own, or the figure's; in the metre asked for."""
    names = catalogue()
    name = request.rhythm
    for articulation in (request.articulation, request.articulation_down):
        if not name and articulation:
            name = names.articulations.find(articulation).rhythm
    row = names.rhythms.find(name or names.figures.find(request.figure or "straight").rhythm)
    if not request.metre or request.metre == row.metre.name:
        return row
    try:
        return replace(row, metre=Metre.parse(request.metre), beams=())
    except RequestError:
        raise DoesNotFitError(
            f"{row.name} do not fill bars of {request.metre}; ask for another rhythm or metre"
        ) from None


def _rhythm_names(request: Request, turn: int) -> list[str]:
    rows = catalogue().rhythms.rows
    if request.rhythm == EVERY:
        return [row.name for row in rows]
    if request.rhythm == IN_TURN:
        return [rows[turn % len(rows)].name]
    return [request.rhythm]


def _articulation_names(request: Request, who: Player, turn: int) -> list[str]:
    if request.articulation not in (EVERY, USUAL, IN_TURN):
        return [request.articulation]
    beat = per_beat(_rhythm(replace(request, articulation="")))
    rows = [r for r in catalogue().articulations.rows if suits(r, beat, who.instrument.wind)]
    if request.articulation == USUAL:
        return [r.name for r in rows if r.usual]
    if request.articulation == IN_TURN:
        return [rows[turn % len(rows)].name]
    return [r.name for r in rows]
