"""A passage and its recipes as exercises, ready for a page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar
from generator.exercise.instrument import Compass
from generator.exercise.records import Bar, Exercise, Tempo
from generator.exercise.tempo import row
from generator.passage.all_keys import ORDER, bar_alone, through_keys
from generator.passage.cells import whole_bars
from generator.passage.chunks import bursts, chunk_bars, chunk_numbers, join_rows
from generator.passage.kept import KeptPassage, spot_words
from generator.passage.recipe_rows import DrillRecipe, drill_rows
from generator.passage.records import Passage
from generator.passage.request import DrillRequest, canonical_drill
from generator.passage.variations import rhythm_bars, skeleton_bars, stroke_bars
from generator.theory.duration import Value
from generator.theory.key import MOST_SIGNS
from generator.theory.pitch import NoteName

MOST_TEMPI = 6
FORM = "passage"
SCALES = "Its scales"
_LONGEST_THROUGH_KEYS = 2  # bars; of a longer passage a page of every recipe takes one bar through the keys


@dataclass(frozen=True, slots=True)
class Drilled:
    """Exercises, and one line about each recipe that makes no sense for the passage."""

    exercises: tuple[Exercise, ...]
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SharedDrill:
    """What a section that drills together decides once for all chairs.

    Attributes:
        model: the music as it sounds, by which equal chunks are told.
        bring: puts transposed music into the chair's notes.
        missing: keys that are left out for everyone, in words.
    """

    model: Passage
    bring: Callable[[Passage], Passage]
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Made:
    """Music of one recipe."""

    bars: tuple[Bar, ...]
    metre_shown: bool = False
    reason: str = ""
    place: str = ""
    signature: int | None = None


def drilled(
    kept: KeptPassage,
    request: DrillRequest,
    player: Player,
    *,
    offsets: Sequence[int] = ORDER,
    scales: str = "",
    shared: SharedDrill | None = None,
    numbered: bool = True,
) -> Drilled:
    """The exercises of a drill, in the order of the recipes.

    Args:
        kept: the passage, in the player's written pitch.
        request: which recipes, how fast.
        player: for whom.
        offsets: which keys, in half steps from the passage.
        scales: a line about the scales the passage is made of, or "".
        shared: what was decided for a whole section, of which the player is one; None for a player alone.
        numbered: recipes carry numbers of their own, as on a page that holds nothing else.

    Raises:
        DoesNotFitError: none of the recipes makes sense for this passage, with the reason.
    """
    rows = drill_rows()
    every = request.every or not request.recipes
    wanted = [one for one in rows.recipes if every or one.name in request.recipes]
    if not every and wanted[0].name != "passage" and "passage" in request.recipes:
        wanted.sort(key=lambda one: one.order)
    found: list[Exercise] = []
    left_out: list[str] = []
    for recipe in wanted:
        if not recipe.music:
            continue
        made = _music(recipe.name, kept, request, player, offsets, whole_page=every, shared=shared)
        if isinstance(made, str):
            left_out.append(f"{recipe.name}: {made}")
            continue
        found.append(_exercise(recipe, made, kept, request, player))
    if any(one.name == "join" for one in wanted):
        found = _joined(found, kept, request, player)
    if not found:
        raise DoesNotFitError(f"{request.name}: {'; '.join(left_out)}")
    if numbered and (every or len(wanted) > 1):
        found = _numbered(found, wanted)
    if scales:
        found[-1] = replace(found[-1], beneath=(*found[-1].beneath, (SCALES, scales)))
    return Drilled(tuple(found), tuple(left_out))


def _music(
    name: str,
    kept: KeptPassage,
    request: DrillRequest,
    player: Player,
    offsets: Sequence[int],
    *,
    whole_page: bool,
    shared: SharedDrill | None = None,
) -> _Made | str:
    """The bars of a recipe, or why there are none."""
    passage = kept.passage
    model = shared.model if shared else None
    makers: dict[str, Callable[[], _Made | str]] = {
        "passage": lambda: _Made(whole_bars(passage, chunk_numbers(passage)), metre_shown=True),
        "chunks": lambda: _Made(chunk_bars(passage, model)),
        "add a note": lambda: _bursts(kept),
        "rhythms": lambda: _rhythms(passage, written_out=request.written_out),
        "articulations": lambda: (
            _Made(bars)
            if (bars := stroke_bars(passage, drill_rows(), player.instrument.wind, every=shared is not None))
            else "too few notes"
        ),
        "skeleton": lambda: _Made(skeleton_bars(passage), metre_shown=True),
        "all keys": lambda: _keys(kept, player, offsets, shared, whole_page=whole_page),
    }
    return makers[name]()


def _bursts(kept: KeptPassage) -> _Made | str:
    bars = bursts(kept.passage, kept.spot)
    return _Made(bars, place=spot_words(kept)) if bars else "one note alone cannot grow"


def _rhythms(passage: Passage, *, written_out: bool) -> _Made | str:
    bars = rhythm_bars(passage, drill_rows(), written_out=written_out)
    return _Made(bars) if bars else "no run of two groups of equal notes, so rhythms are left out"


def through(kept: KeptPassage, *, whole_page: bool) -> Passage:
    """What of a passage goes through the keys: the bar around its hard spot, or all of a short one.

    Args:
        kept: the passage.
        whole_page: it stands on a page of every recipe.
    """
    passage = kept.passage
    if kept.hard or (whole_page and len(passage.bars) > _LONGEST_THROUGH_KEYS):
        return bar_alone(passage, kept.spot)
    return passage


def _keys(
    kept: KeptPassage,
    player: Player,
    offsets: Sequence[int],
    shared: SharedDrill | None,
    *,
    whole_page: bool,
) -> _Made | str:
    passage = through(kept, whole_page=whole_page)
    found = through_keys(passage, _reach(passage, player), offsets, shared.bring if shared else None)
    missing = (shared.missing if shared else ()) + found.missing
    if not found.keys:
        return f"no key fits: {', '.join(missing)}"
    reason = f"Left out: {', '.join(missing)}." if missing else ""
    bars = tuple(bar for one in found.keys for bar in one.bars)
    signature = found.keys[0].signature
    place = passage.name if len(passage.bars) == 1 else "the passage"
    return _Made(
        (replace(bars[0], signature=None), *bars[1:]), reason=reason, place=place, signature=signature
    )


def _reach(passage: Passage, player: Player) -> Compass:
    """The player's notes, or as far as the passage itself goes beyond them: they play it."""
    pitches = [note.pitch for note in passage.attacks if note.pitch is not None]
    pitches += [passage.landing] if passage.landing is not None else []
    low = min([player.compass.low, *pitches], key=lambda pitch: pitch.height)
    high = max([player.compass.high, *pitches], key=lambda pitch: pitch.height)
    inside = all(player.compass.holds(pitch) for pitch in pitches)
    return player.compass if inside else Compass(low, high, player.compass.source)


def _exercise(
    recipe: DrillRecipe, made: _Made, kept: KeptPassage, request: DrillRequest, player: Player
) -> Exercise:
    signature = kept.passage.bars[0].signature if made.signature is None else made.signature
    tempi = _tempi(recipe, kept, request)
    goal = _goal(kept, request)
    pitches = [[n.pitch for n in bar.notes if n.pitch] for bar in made.bars]
    at_goal = f"At {goal}" if goal else "Up to tempo"
    reason = recipe.reason.replace("{At goal}", at_goal)
    return Exercise(
        phrase=canonical_drill(replace(request, recipes=(recipe.name,), every=False)),
        head=_filled(recipe.heading, made.place),
        details="",
        concert_heading="",
        instrument=player.instrument.name,
        level=player.level,
        key=NoteName.from_fifths(max(-MOST_SIGNS, min(MOST_SIGNS, signature))).name,
        form=FORM,
        figure=recipe.name,
        span="",
        asked_span="",
        signature=signature,
        clefs=clefs_by_bar(pitches, player.instrument.clefs),
        bars=made.bars,
        tempo=Tempo(_unit(kept, request), tempi[0]) if tempi else None,
        tempi=tempi,
        beat=_unit(kept, request),
        notes=(made.reason,) if made.reason else (),
        reason=reason,
        recipe=recipe.name,
        metre_shown=made.metre_shown,
        called="",
    )


def _filled(heading: str, place: str) -> str:
    return heading.replace("{place}", place).replace("{Place}", place[:1].upper() + place[1:])


def _unit(kept: KeptPassage, request: DrillRequest) -> Value:
    return request.tempo.unit if request.tempo else kept.beat


def _goal(kept: KeptPassage, request: DrillRequest) -> int | None:
    """Beats per minute worked towards."""
    if request.tempo is not None:
        return request.goal or request.tempo.bpm
    return kept.goal.bpm if kept.goal else None


def _tempi(recipe: DrillRecipe, kept: KeptPassage, request: DrillRequest) -> tuple[int, ...]:
    goal = _goal(kept, request)
    if goal is None or recipe.tempi == "blank":
        return ()
    if recipe.tempi == "goal":
        return (goal,)
    start = request.tempo.bpm if request.tempo and request.goal else goal // 2
    return row(max(start, 20), goal, most=MOST_TEMPI)


def _joined(
    found: list[Exercise], kept: KeptPassage, request: DrillRequest, player: Player
) -> list[Exercise]:
    """The rows of numbers under the chunks; without chunks, under the passage that carries the numbers."""
    recipe = drill_rows().recipe("join")
    rows = join_rows(kept.passage)
    beneath = tuple(("Join them" if number == 0 else "", text) for number, text in enumerate(rows))
    if not found:
        passage = drill_rows().recipe("passage")
        made = _music("passage", kept, request, player, (), whole_page=False)
        assert isinstance(made, _Made)  # noqa: S101  # for the type checker: the passage is always music
        phrase = canonical_drill(replace(request, recipes=(recipe.name,), every=False))
        found = [replace(_exercise(passage, made, kept, request, player), phrase=phrase)]
    under = next((place for place, one in enumerate(found) if one.recipe == "chunks"), 0)
    found[under] = replace(found[under], beneath=beneath)
    return found


def _numbered(found: list[Exercise], wanted: Sequence[DrillRecipe]) -> list[Exercise]:
    """Numbers over the recipes in the order of the page; the passage itself has none, the rows to join have one."""
    number = 0
    made: list[Exercise] = []
    joins = any(one.name == "join" for one in wanted)
    for one in found:
        if one.recipe == "passage":
            made.append(one)
            continue
        number += 1
        numbered = replace(one, called=str(number))
        if joins and numbered.beneath:
            number += 1
            (_, first), *rest = numbered.beneath
            numbered = replace(numbered, beneath=((f"{number}. Join them", first), *rest))
        made.append(numbered)
    return made


def drill_seconds(exercise: Exercise) -> Fraction:
    """How long a drill takes once at its tempo, in seconds; at 60 where none is known."""
    length = sum((bar.length for bar in exercise.bars), Fraction(0))
    return length / exercise.beat.length * 60 / (exercise.tempo.bpm if exercise.tempo else 60)
