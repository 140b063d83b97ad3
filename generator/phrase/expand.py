"""From a phrase to its exercises: keys, degrees and dressings spelled out, each request with its rows, then built."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.articulation import TONGUED, Articulation
from generator.exercise.build import Player, Recipe, build, details, per_beat
from generator.exercise.figure import Figure
from generator.exercise.instrument import UNPITCHED
from generator.exercise.mouthpiece import build_mouthpiece, mouthpiece_pitch
from generator.exercise.one_line import on_one_line, words_of
from generator.exercise.partials import build_partials
from generator.exercise.records import Exercise
from generator.exercise.request import EVERY, IN_TURN, Request, RowSet, expand_keys, first_form
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.suiting import suits
from generator.phrase.read import parse_all
from generator.phrase.ways import USUAL, Ways
from generator.phrase.write import canonical
from generator.theory.duration import Metre
from generator.theory.form import Form

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
    most: int | None = None,
    instead: str = "ask for fewer at once",
    ways: Ways = USUAL,
) -> Built:
    """Build every exercise that some phrases ask for.

    Args:
        phrases: phrases in order.
        player: the player.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables in place of tu and ku.
        keep_going: when a phrase names several keys, leave out those that do not fit (they are returned
            as refused); a phrase of which nothing fits is an error all the same.
        most: how many at most; nothing is built that goes beyond them.
        instead: what to do where there are more.
        ways: what the player's plan settles about phrases.

    Raises:
        RequestError: a phrase cannot be read, nothing of it fits, or it asks for too many.

    >>> from generator.catalogue.players import player_named
    >>> built = exercises(["F major, one octave", "F major, two octaves"], player_named("tuba"))
    >>> [one.heading for one in built.exercises]
    ['F major, one octave', 'F major, two octaves']
    """
    made: list[Exercise] = []
    refused: list[tuple[str, str]] = []
    most = MOST_EXERCISES if most is None else min(most, MOST_EXERCISES)
    for text in phrases:
        before = len(made)
        for one in orders(text, player, exact=exact, syllables=syllables, ways=ways):
            try:
                made.append(one.make())
            except DoesNotFitError as error:
                if not keep_going:
                    raise
                refused.append((one.phrase, str(error)))
            if len(made) + len(refused) > MOST_EXERCISES or len(made) > most:
                raise RequestError(f"these are more than {most} exercises; {instead}")
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
    text: str,
    player: Player,
    *,
    exact: bool = False,
    syllables: tuple[str, ...] = (),
    ways: Ways = USUAL,
) -> Iterator[Ordered]:
    """Every exercise of a phrase, to be built one at a time.

    Args:
        text: the phrase.
        player: the player.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables.
        ways: what the player's plan settles about phrases.

    Raises:
        RequestError: the phrase cannot be read.

    >>> from generator.catalogue.players import player_named
    >>> [one.phrase for one in orders("C and F major in thirds, then arpeggios", player_named("tuba"))]
    ['C major in thirds', 'F major in thirds', 'C major arpeggio', 'F major arpeggio']
    """
    for request in parse_all(text, shared_catalogue(), ways):
        if isinstance(request.form, Routine):
            made = partial(_partials, request.form, request, player)
            yield Ordered(canonical(request), request, made)
            continue
        for recipe in recipes(request, player, exact=exact):
            dressed = replace(recipe, syllables=syllables) if syllables else recipe
            yield Ordered(recipe.phrase, recipe.request, partial(_built, dressed, player))


def recipes(request: Request, player: Player, *, exact: bool = False) -> Iterator[Recipe]:
    """The single requests of a request, each with its rows; dressings that go round are handed out here.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.read import parse
    >>> found = recipes(parse("C major, six of four", names), player_named("flute"))
    >>> [recipe.up.name for recipe in found][:3]
    ['all tongued', 'slur two tongue two', 'tongue two slur two']
    """
    for turn, single in enumerate(singles_for(request, player)):
        for rhythm in _rhythms(single, turn):
            # Most requests name one of each, and copying takes long.
            framed = single if rhythm is single.rhythm else replace(single, rhythm=rhythm)
            for strokes in _articulations(framed, player, turn):
                whole = strokes is framed.articulation
                yield recipe(framed if whole else replace(framed, articulation=strokes), exact=exact)


def singles(request: Request) -> Iterator[Request]:
    """One key, one degree and one form at a time; a set of forms is a chain on each key.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.phrase.read import parse
    >>> [canonical(one) for one in singles(parse("whole-tone on C and D-flat", names))]
    ['whole-tone on C', 'whole-tone on D-flat']
    """
    form = request.form
    if isinstance(form, Routine):
        yield request
        return
    for single in expand_keys(request, first_form(form)):
        if isinstance(form, Form):
            yield single
            continue
        for member, move in zip(form.members, form.moves, strict=True):
            tonic = member.readable_tonic(move.above_name(single.keys[0]))
            yield replace(single, form=member, keys=(tonic,))


def singles_for(request: Request, player: Player) -> Iterator[Request]:
    """The same for one player: who reads rhythm alone has one exercise where others have one in every key.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.read import parse
    >>> len(list(singles_for(parse("all keys, major", names), player_named("snare drum"))))
    1
    """
    if not player.instrument.unpitched:
        yield from singles(request)
        return
    seen: set[tuple[object, object]] = set()
    for single in singles(request):
        if (kind := (single.form, single.degree)) not in seen:
            seen.add(kind)
            yield single


def stand_in(player: Player) -> Player:
    """Whose notes an exercise is built from: the player's own, or a flute's whose rhythm a drummer reads.

    >>> from generator.catalogue.players import player_named
    >>> stand_in(player_named("snare drum")).instrument.name, stand_in(player_named("tuba")).instrument.name
    ('flute', 'tuba')
    """
    return player_named("flute") if player.instrument.unpitched else player


def _built(recipe: Recipe, player: Player) -> Exercise:
    model = stand_in(player)
    if player.instrument.unpitched:
        # What drums play in place of slurs, and stickings of their own.
        model = replace(model, instrument=replace(model.instrument, wind=UNPITCHED))
        made = build(replace(recipe, up=_drummed(recipe.up), down=_drummed(recipe.down)), model)
    else:
        made = build(recipe, model)
    if not player.instrument.unpitched:
        return made
    said = replace(made, details=details(recipe, made.span, words_of(player.instrument)))
    return on_one_line(made, player, said.heading)


def _drummed(row: Articulation) -> Articulation:
    """What wind players alone do with the tongue, as so many strokes."""
    tongued = TONGUED & set(row.winds) and UNPITCHED not in row.winds
    return Articulation("", repeats=row.repeats, bar=row.bar) if tongued else row


def build_single(
    request: Request, player: Player, *, exact: bool = False, syllables: tuple[str, ...] = ()
) -> Exercise:
    """Build a request for one key, one degree and one dressing.

    Raises:
        DoesNotFitError: it does not fit the player, or its dressing makes no sense.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.read import parse
    >>> build_single(parse("G major in thirds, a fifth", names), player_named("flute")).heading
    'G major in thirds, a fifth'
    """
    if isinstance(request.form, Routine):
        return _partials(request.form, request, player)
    return _built(replace(recipe(request, exact=exact), syllables=syllables), player)


def recipe(request: Request, *, exact: bool = False) -> Recipe:
    """A single request with what it leaves open filled in: the figure's own rhythm, articulation and the like.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.phrase.read import parse
    >>> recipe(parse("G major, double tongue", names)).rhythm.name
    'sixteenths'
    """
    figure = request.figure or shared_catalogue().straight
    up, down = request.articulation, request.articulation_down
    if not isinstance(up, Articulation):
        up = None if down else figure.articulation
        if up is not None and request.dynamic:
            up = replace(up, each=(), swell=())  # what is asked for wins over what comes with the figure
    return Recipe(
        request=request,
        phrase=canonical(request),
        form=first_form(request.form),
        figure=figure,
        span=request.span,
        spans=shared_catalogue().spans.rows,
        rhythm=_rhythm(request, figure),
        up=up or _NOTHING,
        down=down or up or _NOTHING,
        exact=exact,
    )


def _rhythm(request: Request, figure: Figure) -> Rhythm:
    """The rhythm asked for, or the articulation's own, or the figure's; in the metre asked for."""
    row = request.rhythm if isinstance(request.rhythm, Rhythm) else None
    for articulation in (request.articulation, request.articulation_down):
        if row is None and isinstance(articulation, Articulation):
            row = articulation.rhythm
    row = row or figure.rhythm or shared_catalogue().rhythms.find("sixteenths")
    if not request.metre or request.metre == row.metre.name:
        return row
    try:
        return replace(row, metre=Metre.parse(request.metre), then=(), beams=())
    except RequestError:
        raise DoesNotFitError(
            f"{row.name} do not fill bars of {request.metre}; ask for another rhythm or metre"
        ) from None


def _rhythms(request: Request, turn: int) -> Sequence[Rhythm | None]:
    asked = request.rhythm
    if isinstance(asked, str):
        rows = even_rhythms()
        return rows if asked == EVERY else [rows[turn % len(rows)]]
    return asked.members if isinstance(asked, RowSet) else [asked]


def even_rhythms() -> tuple[Rhythm, ...]:
    """The rhythms of "every rhythm": those without ties and rests.

    >>> [row.name for row in even_rhythms()][:3]
    ['whole notes', 'half notes', 'quarters']
    """
    rows = shared_catalogue().rhythms.rows
    return tuple(row for row in rows if not row.over_barlines and not any(slot.rest for slot in row.cell))


def _articulations(request: Request, player: Player, turn: int) -> Sequence[Articulation | None]:
    asked = request.articulation
    if asked is None or isinstance(asked, Articulation):
        return [asked]
    framed = replace(request, articulation=None, articulation_down=None)
    beat = per_beat(_rhythm(framed, request.figure or shared_catalogue().straight))
    fitting = [r for r in shared_catalogue().articulations.rows if suits(r, beat, player.instrument.wind)]
    if isinstance(asked, RowSet):
        return [row for row in asked.members if row in fitting]
    return [fitting[turn % len(fitting)]] if asked == IN_TURN else fitting


def _partials(routine: Routine, request: Request, player: Player) -> Exercise:
    """Slurs over the partials and mouthpiece work, for instruments that have them."""
    instrument = player.instrument
    tube = shared_catalogue().tubes.get(instrument.name)
    alone = mouthpiece_pitch(routine, tube, player) if routine.moves else None
    wrong = (routine.winds and instrument.wind not in routine.winds) or (
        routine.families and instrument.family not in routine.families
    )
    if wrong or (alone is None if routine.moves else tube is None):
        whom = ", ".join(name for name, _ in routine.sounding) or " and ".join(
            routine.winds or routine.families
        )
        verb = "is" if routine.moves else "are"
        raise DoesNotFitError(f"{routine.name} {verb} for {whom}, not for the {instrument.name}")
    if alone is not None:
        return build_mouthpiece(routine, alone, request, canonical(request), player)
    assert tube is not None  # noqa: S101  # for the type checker: refused above
    return build_partials(routine, tube, request, canonical(request), player)
