"""Mixed levels together: who sets the span, who changes octave, who leaves notes out, and why.

The chairs at the standard level or above set the line. Whoever has all of it plays all of it; whoever has not brings it
by octaves into their own notes, as long as that changes octave no more than there and back, or leaves out what lies
beyond them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from generator.catalogue.players import level_named
from generator.catalogue.rows import LEVELS
from generator.errors import DoesNotFitError
from generator.exercise.build import Player, Recipe
from generator.exercise.fit import Fitted
from generator.exercise.instrument import Compass
from generator.section.ensemble import Agreed, Groups, Seat, agree, can_rest, held_back, moved, shifts_of
from generator.section.fold import fold as folded_line
from generator.theory.form import Ladder

Together = Literal["fold", "narrow", "leave out"]
TOGETHER: tuple[Together, ...] = ("fold", "narrow", "leave out")
Way = Literal["whole", "folded", "rests"]
FOLDED = "Where the line leaves your notes it changes octave"
RESTS = "Where the line leaves your notes you rest"
TACET = "The pedals cannot follow this line: you rest"
# Down and up again: a line that changes octave more often is no scale any more.
_MOST_CHANGES = 2
# Groups leap anyway; two more each way are heard as one more leap.
_MOST_IN_GROUPS = 6
_MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class SeatPlace:
    """Where one seat's line lies.

    Attributes:
        fitted: degrees of its own written ladder.
        way: whether it has the whole line, folds it, or rests where it ends.
    """

    fitted: Fitted
    way: Way = "whole"


def seated(
    recipe: Recipe, seats: Sequence[Seat], together: Together, levels: Sequence[str] = ()
) -> tuple[SeatPlace, ...]:
    """A place for every seat.

    Args:
        recipe: one key, one figure.
        seats: who plays.
        together: what becomes of those who have not all of the line.
        levels: where the page is printed at several levels, the widest of them sets the line.

    Raises:
        DoesNotFitError: nothing is common to those who set the line.
    """
    core = list(seats) if recipe.exact or (together == "narrow" and not levels) else _core(seats, levels)
    agreed = agree(recipe, core, concert=recipe.request.concert)
    found = {seat: SeatPlace(place) for seat, place in zip(core, agreed.fitted, strict=True)}
    model = agreed.fitted[0]
    line = moved(model.groups, -_octave(model, recipe) * recipe.form.size)
    beside = {s.player.instrument: _octave(f, recipe) for s, f in zip(core, agreed.fitted, strict=True)}
    for seat in seats:
        if seat not in found:
            near = beside.get(seat.player.instrument)
            # A page that is asked for at several levels is folded however often that takes.
            found[seat] = _placed(line, seat, model, recipe, together, near, always=bool(levels))
    return tuple(found[seat] for seat in seats)


def explained(
    recipe: Recipe,
    seats: Sequence[Seat],
    places: Sequence[SeatPlace],
    together: Together,
    levels: Sequence[str] = (),
) -> tuple[str, ...]:
    """What is to be said: who narrowed the span, and who does not play all of it; one sentence each."""
    span = places[0].fitted.span
    told: list[str] = []
    core = [s for s, p in zip(seats, places, strict=True) if p.way == "whole"]
    asked = "" if recipe.span.full else recipe.span.name
    below_an_octave = span.interval is not None and span.interval.semitones < 12
    if (asked and asked != span.name) or (not asked and below_an_octave):
        names = [limits(seat) for seat in held_back(recipe, span, core)]
        who = f", because of {listed(names)}" if names else ""
        choice = (
            "; --together fold lets them change octave"
            if names and together == "narrow" and not levels
            else ""
        )
        told.append(f"{asked or 'an octave'} will not fit everyone; {span.name} will{who}{choice}")
    if levels:
        return tuple(told)
    ways = {
        way: [s for s, p in zip(seats, places, strict=True) if p.way == way] for way in ("folded", "rests")
    }
    words = [
        f"{verb}: {listed([limits(seat) for seat in found])}"
        for way, verb in (("folded", "changing octave"), ("rests", "resting in part"))
        if (found := ways[way])
    ]
    if words:
        told.append(f"{'; '.join(words)}; {_choices(recipe, seats, ways)}")
    return tuple(told)


def stretched(player: Player, groups: Groups, ladder: Ladder) -> Player:
    """The same player with room for a whole line, whose notes are looked through afterwards."""
    pitches = sorted((ladder.pitch(d, g.way) for g in groups for d in g.degrees), key=lambda p: p.height)
    own = player.compass
    low = min(own.low, pitches[0].octaves_up(-1), key=lambda p: p.height)
    high = max(own.high, pitches[-1].octaves_up(1), key=lambda p: p.height)
    return Player(player.instrument, player.level, Compass(low, high, own.source, own.drums))


def _core(seats: Sequence[Seat], levels: Sequence[str]) -> list[Seat]:
    """Who sets the line."""
    if levels:
        widest = max((level_named(name) for name in levels), key=list(LEVELS).index)
        own = [s for s in seats if s.player.compass == s.player.instrument.level(widest)]
    else:
        own = [s for s in seats if s.player.level in ("standard", "extended")]
    return own or list(seats)


def _octave(fitted: Fitted, recipe: Recipe) -> int:
    """By how many octaves a line was moved from where it is laid."""
    return (fitted.extent.home - int(recipe.request.degree)) // recipe.form.size


def _placed(
    line: Groups,
    seat: Seat,
    model: Fitted,
    recipe: Recipe,
    together: Together,
    beside: int | None,
    *,
    always: bool,
) -> SeatPlace:
    ladder, compass, size = Ladder(recipe.form, seat.tonic), seat.player.compass, recipe.form.size
    whole = [s for s in shifts_of(line, ladder, compass) if can_rest(line, ladder, compass, s)]
    if whole:
        shift = beside if beside in whole else min(whole, key=lambda s: _off(line, ladder, compass, s))
        return SeatPlace(replace(model, groups=moved(line, (shift or 0) * size)))
    if together != "leave out":
        try:
            folded = folded_line(line, ladder, compass, int(recipe.request.degree))
        except DoesNotFitError:
            folded = ()
        most = _MOST_CHANGES if all(len(g.degrees) == 1 for g in line) else _MOST_IN_GROUPS
        if folded and can_rest(folded, ladder, compass, 0) and (always or _changes(line, folded) <= most):
            return SeatPlace(replace(model, groups=folded, shape=line), "folded")
    heights = [ladder.pitch(d, g.way).height for g in line for d in g.degrees]
    low, high = compass.low.height, compass.high.height
    shifts = range((low - max(heights)) // 12, (high - min(heights)) // 12 + 2)
    best = max(
        shifts,
        key=lambda s: (
            sum(low <= h + 12 * s <= high for h in heights),
            s == beside,
            -_off(line, ladder, compass, s),
        ),
    )
    return SeatPlace(replace(model, groups=moved(line, best * size)), "rests")


def _off(line: Groups, ladder: Ladder, compass: Compass, shift: int) -> float:
    """How far a line lies from the middle of a compass, a trifle in favour of the lower octave."""
    heights = [ladder.pitch(d, g.way).height for g in line for d in g.degrees]
    middle = (min(heights) + max(heights)) / 2 + 12 * shift
    return abs(middle + 0.05 - (compass.low.height + compass.high.height) / 2)


def _changes(line: Groups, folded: Groups) -> int:
    """How often a folded line changes octave."""
    wide, own = ([d for g in groups for d in g.degrees] for groups in (line, folded))
    moves = [a - b for a, b in zip(own, wide, strict=True)]
    return sum(a != b for a, b in pairwise(moves))


def limits(seat: Seat) -> str:
    """Who it is, and how far their notes go."""
    name, level = seat.name, f" ({seat.player.level})"
    words = seat.player.compass.words
    return (
        f"{name.removesuffix(level)} ({seat.player.level}, {words})"
        if name.endswith(level)
        else f"{name} ({words})"
    )


def listed(names: Sequence[str]) -> str:
    """Names in a sentence, the first few of them."""
    unique = list(dict.fromkeys(names))
    told, more = unique[:_MOST_NAMED], len(unique) - _MOST_NAMED
    if more > 0:
        return f"{', '.join(told)} and {more} more"
    return " and ".join(filter(None, (", ".join(told[:-1]), told[-1]))) if told else ""


def _choices(recipe: Recipe, seats: Sequence[Seat], ways: dict[str, list[Seat]]) -> str:
    try:
        narrow: Agreed | None = agree(recipe, seats, concert=recipe.request.concert)
    except DoesNotFitError:
        narrow = None
    gives = f"--together narrow gives everyone {narrow.span.name}" if narrow else "nothing narrower fits all"
    return f"{gives}, 'leave out' has them rest" if ways["folded"] else gives
