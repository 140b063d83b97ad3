"""From a phrase to its exercises: keys, degrees and dressings spelled out, each request with its rows, then built."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from generator.catalogue.names import fold
from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.articulation import Articulation, suits
from generator.exercise.build import Player, Recipe, build, per_beat
from generator.exercise.one_line import on_one_line
from generator.exercise.partials import build_partials
from generator.exercise.records import Exercise
from generator.exercise.request import EVERY, IN_TURN, Request, expand_keys
from generator.exercise.rhythm import Rhythm
from generator.phrase.read import parse
from generator.phrase.write import canonical
from generator.theory.duration import Metre

_NOTHING = Articulation("")
MOST_EXERCISES = 10_000
"""Built at once: more than any book, and as many as fit into memory."""


@dataclass(frozen=True, slots=True)
class Built:
    """What a phrase made.

    Attributes:
        exercises: in order.
        refused: phrase and reason of each single request that could not be carried out.
    """

    exercises: tuple[Exercise, ...]
    refused: tuple[tuple[str, str], ...] = ()


def exercises(
    phrases: Sequence[str],
    player: Player,
    *,
    exact: bool = False,
    keep_going: bool = True,
    syllables: tuple[str, ...] = (),
) -> Built:
    """Build every exercise that some phrases ask for.

    Args:
        phrases: phrases in order.
        player: the player.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables in place of tu and ku.
        keep_going: when a phrase names several keys, leave out those that do not fit (they are returned
            as refused); a phrase of which nothing fits is an error all the same.

    Raises:
        RequestError: a phrase cannot be read, nothing of it fits, or it asks for too many.
    """
    made: list[Exercise] = []
    refused: list[tuple[str, str]] = []
    for text in phrases:
        before = len(made)
        for one in orders(text, player, exact=exact, syllables=syllables):
            try:
                made.append(one.make())
            except DoesNotFitError as error:
                if not keep_going:
                    raise
                refused.append((one.phrase, str(error)))
            if len(made) + len(refused) > MOST_EXERCISES:
                raise RequestError(f"these are more than {MOST_EXERCISES} exercises; ask for fewer at once")
        if len(made) == before:
            raise DoesNotFitError(refused[-1][1])
    return Built(tuple(made), tuple(refused))


@dataclass(frozen=True, slots=True)
class Ordered:
    """One exercise that a phrase asks for, not built yet.

    Attributes:
        phrase: its canonical phrase.
        request: the same as names and choices.
        make: builds it; raises DoesNotFitError when the player cannot carry it.
    """

    phrase: str
    request: Request
    make: Callable[[], Exercise]


def orders(
    text: str, player: Player, *, exact: bool = False, syllables: tuple[str, ...] = ()
) -> Iterator[Ordered]:
    """Every exercise of a phrase, to be built one at a time.

    Args:
        text: the phrase.
        player: the player.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables.

    Raises:
        RequestError: the phrase cannot be read.
    """
    request = parse(text, shared_catalogue())
    if request.form in shared_catalogue().routines.names():
        yield Ordered(canonical(request, shared_catalogue()), request, partial(_partials, request, player))
        return
    for recipe in recipes(request, player, exact=exact):
        dressed = replace(recipe, syllables=syllables) if syllables else recipe
        yield Ordered(recipe.phrase, recipe.request, partial(_built, dressed, player))


def recipes(request: Request, player: Player, *, exact: bool = False) -> Iterator[Recipe]:
    """The single requests of a request, each with its rows; dressings that go round are handed out here."""
    for turn, single in enumerate(singles_for(request, player)):
        for rhythm_name in _rhythm_names(single, turn):
            # Most requests name one of each, and copying takes long.
            dressed = single if rhythm_name == single.rhythm else replace(single, rhythm=rhythm_name)
            for name in _articulation_names(dressed, player, turn):
                worn = dressed if name == dressed.articulation else replace(dressed, articulation=name)
                yield recipe(worn, exact=exact)


def singles(request: Request) -> Iterator[Request]:
    """One key, one degree and one form at a time; a set of forms is a chain on each key."""
    names = shared_catalogue()
    if request.form in names.routines.names():
        yield request
        return
    chain = names.sets.index.get(fold(request.form))
    for single in expand_keys(request, names.form_of(request.form)):
        if chain is None:
            yield single
            continue
        for member, move in zip(chain.members, chain.moves, strict=True):
            form = names.forms.find(member)
            tonic = form.readable_tonic(move.above_name(single.keys[0]))
            yield replace(single, form=member, keys=(tonic,))


def singles_for(request: Request, player: Player) -> Iterator[Request]:
    """The same for one player: who reads rhythm alone has one exercise where others have one in every key."""
    if not player.instrument.unpitched:
        yield from singles(request)
        return
    seen: set[tuple[str, object]] = set()
    for single in singles(request):
        if (kind := (single.form, single.degree)) not in seen:
            seen.add(kind)
            yield single


def stand_in(player: Player) -> Player:
    """Whose notes an exercise is built from: the player's own, or a flute's whose rhythm a drummer reads."""
    return player_named("flute") if player.instrument.unpitched else player


def _built(recipe: Recipe, player: Player) -> Exercise:
    made = build(recipe, stand_in(player))
    return on_one_line(made, player, made.heading) if player.instrument.unpitched else made


def build_single(
    request: Request, player: Player, *, exact: bool = False, syllables: tuple[str, ...] = ()
) -> Exercise:
    """Build a request for one key, one degree and one dressing.

    Raises:
        DoesNotFitError: it does not fit the player, or its dressing makes no sense.
    """
    if request.form in shared_catalogue().routines.names():
        return _partials(request, player)
    return _built(replace(recipe(request, exact=exact), syllables=syllables), player)


def recipe(request: Request, *, exact: bool = False) -> Recipe:
    """A single request with the rows its names stand for."""
    names = shared_catalogue()
    figure = names.figures.find(request.figure or "straight")
    own = request.articulation or ("" if request.articulation_down else figure.articulation)
    up = names.articulations.find(own) if own else _NOTHING
    down = names.articulations.find(request.articulation_down) if request.articulation_down else up
    return Recipe(
        request=request,
        phrase=canonical(request, names),
        form=names.forms.find(request.form),
        figure=figure,
        span=names.spans.find(request.span),
        spans=names.spans.rows,
        rhythm=_rhythm(request),
        up=up,
        down=down,
        exact=exact,
    )


def _rhythm(request: Request) -> Rhythm:
    """The rhythm asked for, or the articulation's own, or the figure's; in the metre asked for."""
    names = shared_catalogue()
    name = request.rhythm
    for articulation in (request.articulation, request.articulation_down):
        if not name and articulation:
            name = names.articulations.find(articulation).rhythm
    row = names.rhythms.find(name or names.figures.find(request.figure or "straight").rhythm)
    if not request.metre or request.metre == row.metre.name:
        return row
    try:
        return replace(row, metre=Metre.parse(request.metre), then=(), beams=())
    except RequestError:
        raise DoesNotFitError(
            f"{row.name} do not fill bars of {request.metre}; ask for another rhythm or metre"
        ) from None


def _rhythm_names(request: Request, turn: int) -> Sequence[str]:
    names = shared_catalogue()
    if request.rhythm in (EVERY, IN_TURN):
        rows = [row.name for row in names.rhythms.rows if not any(slot.tie or slot.rest for slot in row.cell)]
        return rows if request.rhythm == EVERY else [rows[turn % len(rows)]]
    group = names.sets.index.get(fold(request.rhythm)) if request.rhythm else None
    return group.members if group else [request.rhythm]


def _articulation_names(request: Request, player: Player, turn: int) -> Sequence[str]:
    names = shared_catalogue()
    group = names.sets.index.get(fold(request.articulation)) if request.articulation else None
    if group is None and request.articulation not in (EVERY, IN_TURN):
        return [request.articulation]
    beat = per_beat(_rhythm(replace(request, articulation="", articulation_down="")))
    fitting = [r.name for r in names.articulations.rows if suits(r, beat, player.instrument.wind)]
    if request.articulation == IN_TURN:
        return [fitting[turn % len(fitting)]]
    return [name for name in group.members if name in fitting] if group else fitting


def _partials(request: Request, player: Player) -> Exercise:
    """Slurs over the partials, for instruments that have them."""
    names = shared_catalogue()
    routine = names.routines.find(request.form)
    instrument = player.instrument
    tube = names.tubes.get(instrument.name)
    wrong = (routine.winds and instrument.wind not in routine.winds) or (
        routine.families and instrument.family not in routine.families
    )
    if tube is None or wrong:
        whom = " and ".join(routine.winds or routine.families)
        raise DoesNotFitError(f"{routine.name} are for {whom}, not for the {instrument.name}")
    return build_partials(
        routine, tube, names.rhythms.find(routine.rhythm), request, canonical(request, names), player
    )
