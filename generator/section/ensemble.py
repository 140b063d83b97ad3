"""A section playing together: how wide all can go, and in which octave each one lies.

Every chair plays the same degrees at the same moment, so that bars line up and only octaves differ. The span is the
widest that all can play, from two octaves down to a fifth. Each chair lies as near the middle of its own compass as
the others allow; who is by nature higher does not sound below who is by nature lower.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from generator.errors import DoesNotFitError
from generator.exercise.build import Player, Recipe
from generator.exercise.clef import ledger_lines
from generator.exercise.fit import Fitted
from generator.exercise.instrument import Compass
from generator.exercise.laying import Extent, Group, lay
from generator.exercise.span import Span
from generator.theory.form import Form, Ladder
from generator.theory.pitch import NoteName

Groups = tuple[Group, ...]
# Together, "full range" means as far as all can go, which starts here.
_WIDEST_TOGETHER = "two octaves"
# What it costs to sound an octave below someone who is by nature lower: more than any walk from the middle.
_OUT_OF_ORDER = 10_000.0
_LEDGER_LINE = 0.2
OR_ALONE = ", or let each play their own range (--own-range)"
"""What a handout can do besides where nothing is common to all."""


@dataclass(frozen=True, slots=True)
class Seat:
    """One way of reading and playing in a section; chairs that share it read the same page.

    Attributes:
        name: what messages call it.
        player: instrument, level and written compass.
        tonic: the tonic it reads.
        voice: which voice of a chorale it has, from 0, the highest; -1 where there is none.
    """

    name: str
    player: Player
    tonic: NoteName
    voice: int = -1

    @property
    def register(self) -> tuple[float, float]:
        """Sounding middle of the instrument at its standard level, then of this seat's own compass."""
        usual, own = self.player.instrument.level("standard"), self.player.compass
        sounds = self.player.instrument.sounds.semitones
        return _middle(usual) + sounds, _middle(own) + sounds

    @property
    def sounding(self) -> tuple[int, int]:
        """Sounding heights of the compass."""
        sounds, own = self.player.instrument.sounds.semitones, self.player.compass
        return own.low.height + sounds, own.high.height + sounds


@dataclass(frozen=True, slots=True)
class Agreed:
    """What a section agreed on.

    Attributes:
        span: the span of all.
        fitted: for each seat, in order, where its line lies; degrees of its own written ladder.
    """

    span: Span
    fitted: tuple[Fitted, ...]


def agree(recipe: Recipe, seats: Sequence[Seat], *, concert: bool = True) -> Agreed:
    """Find the widest line that every seat can play, and a place for it in each compass.

    Args:
        recipe: one key, one figure; its span is the widest tried (full range means two octaves).
        seats: who plays.
        concert: all sound the same key, so octaves are weighed by what is heard; else all read the same notes.

    Raises:
        DoesNotFitError: nothing is common; says who cannot, and what would help.
    """
    spans = _spans(recipe)
    refusal: DoesNotFitError | None = None
    for span in spans:
        try:
            lines = _lines(recipe, span)
        except DoesNotFitError as error:
            refusal = refusal or error
            continue
        places = [_places(lines, seat, recipe.form) for seat in seats]
        if all(places):
            shifts = _settled(places, lines[-1], seats, recipe, concert=concert)
            return Agreed(span, _fitted(recipe, span, seats, shifts))
    raise (
        _explained(recipe, spans, seats)
        or refusal
        or DoesNotFitError(f"{recipe.phrase}: no span fits this form")
    )


def held_back(recipe: Recipe, span: Span, seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """Who has no place for the next wider span than the one agreed on; none where nothing wider was tried."""
    spans = _spans(replace(recipe, exact=False))
    at = next((n for n, one in enumerate(spans) if one.name == span.name), 0)
    for wider in reversed(spans[:at]):
        try:
            lines = _lines(recipe, wider)
        except DoesNotFitError:
            continue
        if found := tuple(s for s in seats if not _places(lines, s, recipe.form)):
            return found
    return ()


def home_and_top(recipe: Recipe, span: Span) -> Extent:
    """Home and top of a span in octave 0 of a ladder.

    Raises:
        DoesNotFitError: the form has no such note.
    """
    width = span.degrees(recipe.form)
    if width is None:
        raise DoesNotFitError(f"{recipe.form.name} has no note {span.name} above its first")
    home = int(recipe.request.degree)
    return Extent(home, home + width)


def shifts_of(groups: Groups, ladder: Ladder, compass: Compass) -> range:
    """By how many octaves groups, as laid in octave 0, may be moved to lie in a compass."""
    heights = [ladder.pitch(d, g.way).height for g in groups for d in g.degrees]
    first = -((min(heights) - compass.low.height) // 12)
    return range(first, (compass.high.height - max(heights)) // 12 + 1)


def moved(groups: Groups, degrees: int) -> Groups:
    """Groups with every degree raised."""
    return tuple(Group(tuple(d + degrees for d in g.degrees), g.way) for g in groups)


def _spans(recipe: Recipe) -> list[Span]:
    """The spans to try, widest first, each ending on another note of the form."""
    names = [s.name for s in recipe.spans]
    first = names.index(_WIDEST_TOGETHER if recipe.span.full else recipe.span.name)
    if recipe.exact:
        return [recipe.spans[first]]
    found: dict[int, Span] = {}
    for span in recipe.spans[first:]:
        degrees = None if span.named and span != recipe.span else span.degrees(recipe.form)
        if degrees is not None:
            found.setdefault(degrees, span)
    return [found[d] for d in sorted(found, reverse=True)] or [recipe.span]


def _lines(recipe: Recipe, span: Span) -> list[Groups]:
    """The line with all that belongs to it; then without notes below home; then between home and top."""
    extent, request, size = home_and_top(recipe, span), recipe.request, recipe.form.size

    def laid(lowest: int | None, *, inside: bool) -> Groups:
        return lay(
            recipe.figure,
            size,
            extent,
            request.direction,
            lambda degree, _w: lowest is None or degree >= lowest,
            inside=inside,
            differs=recipe.form.differs,
        )

    lines: list[Groups] = []
    refusal: DoesNotFitError | None = None
    ways: list[tuple[int | None, bool]] = [(None, False), (extent.home, False)] if not request.inside else []
    for lowest, inside in (*ways, (None, True)):
        try:
            lines.append(laid(lowest, inside=inside))
        except DoesNotFitError as error:
            refusal = error
    if not lines:
        raise refusal or DoesNotFitError(f"not one whole group of {recipe.figure.name} fits")
    return list(dict.fromkeys(lines))


def _places(lines: Sequence[Groups], seat: Seat, form: Form) -> tuple[int, ...]:
    """Octaves in which a seat can play the fullest of these lines that it can play at all."""
    ladder, compass = Ladder(form, seat.tonic), seat.player.compass
    for line in lines:
        found = tuple(s for s in shifts_of(line, ladder, compass) if can_rest(line, ladder, compass, s))
        if found:
            return found
    return ()


def can_rest(line: Groups, ladder: Ladder, compass: Compass, shift: int) -> bool:
    """Whether a chord that comes to rest on another note than it began on has that note, here or an octave lower."""
    resolves = ladder.form.resolves
    if not resolves.steps:
        return True
    last = ladder.pitch(line[-1].degrees[-1], line[-1].way).octaves_up(shift)
    rest = resolves.above(last)
    return compass.holds(rest) or compass.holds(rest.octaves_up(-1))


def _settled(
    places: Sequence[Sequence[int]], line: Groups, seats: Sequence[Seat], recipe: Recipe, *, concert: bool
) -> list[int]:
    """One octave for each seat."""
    ladders = [Ladder(recipe.form, seat.tonic) for seat in seats]
    middles = [_line_middle(line, ladder) for ladder in ladders]
    costs = [
        {s: _cost(s, middle, offers, seat, recipe) + _to_read(line, ladder, s, seat) for s in offers}
        for offers, middle, ladder, seat in zip(places, middles, ladders, seats, strict=True)
    ]
    if concert:
        return in_order(costs, middles, seats)
    return _alike(costs, seats)


def _cost(shift: int, middle: float, offers: Sequence[int], seat: Seat, recipe: Recipe) -> float:
    register = recipe.request.register
    if register == "top octave":
        return float((offers[-1] - shift) ** 2)
    if register == "second octave":
        return float((offers[min(1, len(offers) - 1)] - shift) ** 2)
    # A trifle in favour of the lower of two octaves that are equally far from the middle.
    off = (middle + 12 * shift + 0.05 - _middle(seat.player.compass)) / 12
    return off * off


def _to_read(line: Groups, ladder: Ladder, shift: int, seat: Seat) -> float:
    """What ledger lines cost: enough to decide between octaves that are about equally far from the middle."""
    pitches = sorted((ladder.pitch(d, g.way) for g in line for d in g.degrees), key=lambda p: p.height)
    clef = seat.player.instrument.clefs[0]
    return _LEDGER_LINE * sum(ledger_lines(p.octaves_up(shift), clef) for p in (pitches[0], pitches[-1]))


def in_order(costs: Sequence[dict[int, float]], middles: Sequence[float], seats: Sequence[Seat]) -> list[int]:
    """The cheapest octaves by which, from the lowest register up, nobody sounds below the one before.

    Args:
        costs: for each seat what each octave costs it.
        middles: for each seat the written height of the middle of its line, before any octave.
        seats: who plays.

    Seats with the same sounding compass, such as treble-clef and bass-clef euphonium, go together.
    """
    order = sorted(range(len(seats)), key=lambda i: seats[i].register)
    groups = [list(same) for _, same in groupby(order, key=lambda i: seats[i].sounding)]
    best: dict[int, tuple[float, tuple[int, ...]]] = {}
    for group in groups:
        row: dict[int, tuple[float, tuple[int, ...]]] = {}
        for height, cost in _heard_costs(group, costs, middles, seats).items():
            offers = [
                (total + _OUT_OF_ORDER * max(0, before - height) / 12, path)
                for before, (total, path) in best.items()
            ] or [(0.0, ())]
            total, path = min(offers)
            row[height] = (total + cost, (*path, height))
        best = row
    found: dict[int, int] = {}
    for group, height in zip(groups, min(best.values())[1], strict=True):
        for index in group:
            found[index] = round(
                (height - middles[index] - seats[index].player.instrument.sounds.semitones) / 12
            )
    return [found[i] for i in range(len(seats))]


def _heard_costs(
    group: Sequence[int], costs: Sequence[dict[int, float]], middles: Sequence[float], seats: Sequence[Seat]
) -> dict[int, float]:
    """Mean cost, by the height of the line's middle as it is heard."""
    found: dict[int, float] = {}
    for index in group:
        sounds = seats[index].player.instrument.sounds.semitones
        for shift, cost in costs[index].items():
            height = int(middles[index] + 12 * shift + sounds)
            found[height] = found.get(height, 0.0) + cost / len(group)
    return found


def _alike(costs: Sequence[dict[int, float]], seats: Sequence[Seat]) -> list[int]:
    """Who reads one clef reads one octave, as far as there is one for all of them."""
    found: list[int] = []
    for own, seat in zip(costs, seats, strict=True):
        clef = seat.player.instrument.clefs[0]
        same = [c for c, other in zip(costs, seats, strict=True) if other.player.instrument.clefs[0] == clef]
        shared = [s for s in own if all(s in c for c in same)]
        found.append(
            min(shared, key=lambda s: (sum(c[s] for c in same), s))
            if shared
            else min(own, key=lambda s: own[s])
        )
    return found


def _fitted(recipe: Recipe, span: Span, seats: Sequence[Seat], shifts: Sequence[int]) -> tuple[Fitted, ...]:
    """The line of all: groups that run over the top or below home are kept while everyone has their notes."""
    size, extent = recipe.form.size, home_and_top(recipe, span)
    ladders = [Ladder(recipe.form, seat.tonic) for seat in seats]

    def playable(degree: int, way: Literal["up", "down"]) -> bool:
        return all(
            seat.player.compass.holds(ladder.pitch(degree + shift * size, way))
            for seat, ladder, shift in zip(seats, ladders, shifts, strict=True)
        )

    request = recipe.request
    groups = lay(
        recipe.figure,
        size,
        extent,
        request.direction,
        playable,
        inside=request.inside,
        differs=recipe.form.differs,
    )
    return tuple(
        Fitted(moved(groups, s * size), Extent(extent.home + s * size, extent.top + s * size), span)
        for s in shifts
    )


def _explained(recipe: Recipe, spans: Sequence[Span], seats: Sequence[Seat]) -> DoesNotFitError | None:
    """Who has no place even for the narrowest span that can be laid, and what would help them."""
    for span in reversed(spans):
        try:
            lines = _lines(recipe, span)
        except DoesNotFitError:
            continue
        left_out = [s for s in seats if not _places(lines, s, recipe.form)]
        if not left_out:
            continue
        names = "; ".join(f"{s.name} has only {s.player.compass.words}" for s in left_out[:4])
        more = f" and {len(left_out) - 4} more" if len(left_out) > 4 else ""
        verdict = f"{span.name} cannot be played" if recipe.exact else f"not even {span.name} can be played"
        return DoesNotFitError(
            f"{recipe.phrase}: {verdict} by all together: {names}{more}; {_help(lines, left_out[0], recipe)}"
        )
    return None


def _help(lines: Sequence[Groups], seat: Seat, recipe: Recipe) -> str:
    for level, compass in seat.player.instrument.levels:
        wider = Seat(seat.name, Player(seat.player.instrument, level, compass), seat.tonic)
        if _places(lines, wider, recipe.form):
            return f"it would fit at the {level} level{OR_ALONE}"
    return f"ask for another key or a smaller figure{OR_ALONE}"


def _line_middle(line: Groups, ladder: Ladder) -> float:
    """The middle of a line; of an octave from its lowest note for one that is shorter.

    So a fifth lies where the scale of an octave does, and not in its upper half.
    """
    heights = [ladder.pitch(d, g.way).height for g in line for d in g.degrees]
    return (min(heights) + max(*heights, min(heights) + 12)) / 2


def _middle(compass: Compass) -> float:
    return (compass.low.height + compass.high.height) / 2
