"""Fitting a line into a player's written compass.

Nothing outside the compass, compared by height. The lowest home note from which the span fits is used unless a
register is asked for; a span that does not fit anywhere gives way to the widest smaller one that does.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from generator.errors import DoesNotFitError
from generator.exercise.figure import Direction, Figure
from generator.exercise.instrument import Compass
from generator.exercise.laying import Extent, Group, lay
from generator.exercise.span import Register, Span
from generator.theory.form import Form, Ladder, Way

_NO_CLOSE = "the closing notes do not lie"


@dataclass(frozen=True, slots=True)
class FitRequest:
    """What is to be fitted.

    Attributes:
        ladder: the form on its written tonic.
        figure: the figure.
        span: the span asked for.
        direction: which halves and in which order.
        degree: home degree within the form, 0 = its root.
        register: where it should lie.
        inside: no group beyond home and top.
        exact: refuse rather than take a smaller span.
        region: stay inside these notes, on both sides of the break between two registers.
    """

    ladder: Ladder
    figure: Figure
    span: Span
    direction: Direction = "up and down"
    degree: int = 0
    register: Register = "lowest octave"
    inside: bool = False
    exact: bool = False
    region: Compass | None = None


@dataclass(frozen=True, slots=True)
class Fitted:
    """A line that lies in range.

    Attributes:
        groups: what is played.
        extent: home, top and floor in degrees of the ladder.
        span: the span that fitted.
        shape: the line as it is for all, where `groups` is that line folded into a narrow compass; else empty.
    """

    groups: tuple[Group, ...]
    extent: Extent
    span: Span
    shape: tuple[Group, ...] = ()


def fit(request: FitRequest, compass: Compass, narrower: Sequence[Span]) -> Fitted:
    """Fit a line into a compass.

    Args:
        request: the line.
        compass: written limits.
        narrower: all spans from wide to narrow; those below the one asked for are tried in this order.

    Raises:
        DoesNotFitError: no span fits, or not the one asked for when ``exact``.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.pitch import NoteName, Pitch
    >>> names = shared_catalogue()
    >>> ladder = Ladder(names.forms.find("major"), NoteName.parse("Bb"))
    >>> request = FitRequest(ladder, names.figures.find("straight"), names.spans.find("two octaves"))
    >>> for highest in ("C6", "F5"):
    ...     found = fit(request, Compass(Pitch.parse("E3"), Pitch.parse(highest)), names.spans.rows)
    ...     print(found.span.name, "from", ladder.pitch(found.extent.home), "to", ladder.pitch(found.extent.top))
    two octaves from Bb3 to Bb5
    a twelfth from Bb3 to F5
    """
    ladder, form = request.ladder, request.ladder.form
    request.figure.sized(ladder.size)
    if request.region is not None:
        compass = _inside(request.region, compass)
        if request.figure.kind != "outward":
            extent = _full(request, compass)
            return Fitted(_laid(request, extent, compass), extent, request.span)
    if request.span.full:
        extent = _full(request, compass)
        if request.figure.kind == "outward":
            home = _middle(request, compass)
            extent = Extent(home, home + extent.top - (extent.floor or 0))
        return Fitted(_laid(request, extent, compass), extent, request.span)
    width = request.span.degrees(form)
    if width is None:
        raise DoesNotFitError(
            f"{form.name} has no note {request.span.name} above its first; "
            f"ask for {_list_spans(s.name for s in narrower if s.full or s.degrees(form) is not None)}"
        )
    spans = (
        [request.span] if request.exact else [request.span, *_smaller(request.span, width, narrower, form)]
    )
    if request.figure.kind == "outward":
        home = _middle(request, compass)
        extent = Extent(home, home + width)
        return Fitted(_laid(request, extent, compass), extent, request.span)
    refusal: DoesNotFitError | None = None
    for span in spans:
        degrees = span.degrees(form)
        homes = _homes(request, compass, degrees) if degrees is not None else []
        if not homes or degrees is None:
            continue
        home = _choose(homes, request.register, compass, ladder, degrees)
        extent = Extent(home, home + degrees)
        try:
            return Fitted(_laid(request, extent, compass), extent, span)
        except DoesNotFitError as error:
            refusal = refusal or error
    raise refusal or DoesNotFitError(_why(request, compass, spans))


def _laid(request: FitRequest, extent: Extent, compass: Compass) -> tuple[Group, ...]:
    ladder = request.ladder
    # A form's pitches rise with its degrees, so what is in range is one stretch of degrees each way.
    rising, falling = (
        ladder.degrees_between(compass.low.height, compass.high.height, way) for way in ("up", "down")
    )
    try:
        return _line(
            request.figure,
            ladder.size,
            extent,
            request.direction,
            request.inside,
            rising,
            falling,
            ladder.form.differs,
        )
    except DoesNotFitError as error:
        where = "in" if str(error) == _NO_CLOSE else "between"
        raise DoesNotFitError(f"{_title(request)}: {error} {where} {compass.words}") from None


@lru_cache(maxsize=512)
def _line(
    figure: Figure,
    size: int,
    extent: Extent,
    direction: Direction,
    inside: bool,
    rising: range,
    falling: range,
    differs: frozenset[int],
) -> tuple[Group, ...]:
    """A figure laid out; the same for every key and instrument with the same degrees in range."""

    def playable(degree: int, way: Way) -> bool:
        return degree in (rising if way == "up" else falling)

    groups = lay(figure, size, extent, direction, playable, inside=inside, differs=differs)
    if not all(playable(d, g.way) for g in groups for d in g.degrees):
        raise DoesNotFitError(_NO_CLOSE)
    return groups


def _full(request: FitRequest, compass: Compass) -> Extent:
    """From the lowest tonic up to the highest note in range, and down to the lowest: what full range means."""
    ladder = request.ladder
    rising = ladder.degrees_between(compass.low.height, compass.high.height, "up")
    falling = ladder.degrees_between(compass.low.height, compass.high.height, "down")
    both = range(max(rising.start, falling.start), min(rising.stop, falling.stop))
    homes = [d for d in both if d % ladder.size == request.degree]
    if request.region is not None and not homes:
        homes = list(both)[:1]  # where the tonic lies outside, the line starts on the lowest note
    if not homes or len(both) < 2:
        raise DoesNotFitError(f"{_title(request)}: its tonic does not lie in {compass.words}")
    lowest = homes[0]
    if request.register == "top octave":
        lowest = homes[-1]
    elif request.register == "middle octave":
        lowest = homes[(len(homes) - 1) // 2]
    elif request.register == "second octave" and len(homes) > 1:
        lowest = homes[1]
    return Extent(lowest, max(rising[-1], both[-1]), min(falling[0], both[0]))


def _inside(region: Compass, compass: Compass) -> Compass:
    """The part of a region that a player has.

    Raises:
        DoesNotFitError: it does not reach to both sides of the break.
    """
    if compass.low.height > region.low.height or compass.high.height < region.high.height:
        raise DoesNotFitError(f"{compass.words} does not go over the break, which takes {region.words}")
    return region


def _homes(request: FitRequest, compass: Compass, degrees: int) -> list[int]:
    """Home degrees, from the lowest, from which the span fits."""
    ladder = request.ladder
    rising = ladder.degrees_between(compass.low.height, compass.high.height, "up")
    falling = ladder.degrees_between(compass.low.height, compass.high.height, "down")
    both = range(max(rising.start, falling.start), min(rising.stop, falling.stop))
    return [d for d in both if d % ladder.size == request.degree and d + degrees in both]


def _middle(request: FitRequest, compass: Compass) -> int:
    """The home note nearest to the middle of the compass, from which a line goes outward both ways.

    A little low rather than high: long tones begin where the sound is easiest.
    """
    ladder = request.ladder
    inside = ladder.degrees_between(compass.low.height, compass.high.height)
    homes = [d for d in inside if d % ladder.size == request.degree]
    if not homes:
        raise DoesNotFitError(f"{_title(request)}: its first note does not lie in {compass.words}")
    if request.register in ("second octave", "top octave"):
        return homes[-1] if request.register == "top octave" else homes[min(1, len(homes) - 1)]
    centre = compass.low.height + compass.high.height - 6
    return min(homes, key=lambda d: abs(2 * ladder.pitch(d).height - centre))


def _choose(homes: list[int], register: Register, compass: Compass, ladder: Ladder, degrees: int) -> int:
    if register == "top octave":
        return homes[-1]
    if register == "second octave":
        return homes[min(1, len(homes) - 1)]
    if register == "middle octave":
        centre = compass.low.height + compass.high.height
        return min(
            homes, key=lambda h: abs(ladder.pitch(h).height + ladder.pitch(h + degrees).height - centre)
        )
    return homes[0]


def _smaller(asked: Span, width: int, spans: Sequence[Span], form: Form) -> list[Span]:
    """Spans below the one asked for that end on another note, widest first."""
    found: list[Span] = []
    seen = {width}
    for span in spans:
        degrees = None if span.named else span.degrees(form)
        if span != asked and degrees is not None and degrees < width and degrees not in seen:
            seen.add(degrees)
            found.append(span)
    return found


def _title(request: FitRequest) -> str:
    figure = "" if request.figure.name == "straight" else f" in {request.figure.name}"
    return f"{request.ladder.tonic.words} {request.ladder.form.name}{figure}"


def _why(request: FitRequest, compass: Compass, spans: Sequence[Span]) -> str:
    if request.exact:
        return f"{_title(request)} over {request.span.name} does not fit between {compass.words}"
    return (
        f"{_title(request)} does not fit between {compass.words}, not even {spans[-1].name}; "
        f"ask for full range or a wider level"
    )


def _list_spans(names: Iterable[str]) -> str:
    return ", ".join(names)
