"""What a player asks of every sheet."""

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from generator.errors import RequestError
from generator.rotation.rest import rest_minutes
from generator.rotation.theme import Theme


@dataclass(frozen=True, slots=True)
class Terms:
    """What a player asks of every sheet.

    Attributes:
        minutes: of this sheet, rest included.
        rest: minutes of rest.
        playing: minutes left for exercises.
        usual_rest: minutes of rest on a usual day.
        usual: minutes left for exercises on a usual day.
        share: share of these for the floor.
        wished: longest gap wished for the whole list, practice days, or None.
        theme: what key runs through the sheet.
        gently: begin what is new a little at a time.
        brass: the lips rest about as long as they played.
        upkeep: ids of which one at least is to come.
        aims: ids of what is to be ready soon.
    """

    minutes: int
    rest: int
    playing: int
    usual_rest: int
    usual: int
    share: Fraction
    wished: int | None
    theme: Theme
    gently: bool
    brass: bool
    upkeep: frozenset[str]
    aims: frozenset[str] = frozenset()


def checked_terms(
    minutes: int,
    usual: int | None,
    rest: int | None,
    share: Fraction,
    wished: int | None,
    theme: Theme,
    *,
    gently: bool,
    brass: bool,
    upkeep: Collection[str],
    aims: Collection[str] = (),
) -> Terms:
    """The terms of one call; see `plan_sheet` for the arguments.

    Raises:
        RequestError: an impossible number.

    >>> terms = checked_terms(
    ...     30, 20, None, Fraction(1, 2), None, Theme.DAY, gently=True, brass=False, upkeep=()
    ... )
    >>> terms.playing, terms.usual
    (25, 16)
    """
    usual_rest = rest_minutes(usual or minutes, brass=brass) if rest is None else rest
    rest = rest_minutes(minutes, brass=brass) if rest is None else rest
    if min(minutes, usual or minutes) < 1 or not 0 <= rest < minutes or usual_rest >= (usual or minutes):
        raise RequestError(
            f"{minutes} minutes with {rest} of rest leave nothing to play; at least 1 is needed."
        )
    if not 0 < share <= 1:
        raise RequestError(f"The share of the longest waiting is {share}; it must be over 0 and at most 1.")
    if wished is not None and wished < 1:
        raise RequestError(f"A longest gap of {wished} practice days cannot be; at least 1 is needed.")
    return Terms(
        minutes=minutes,
        rest=rest,
        playing=minutes - rest,
        usual_rest=usual_rest,
        usual=(usual or minutes) - usual_rest,
        share=share,
        wished=wished,
        theme=theme,
        gently=gently,
        brass=brass,
        upkeep=frozenset(upkeep),
        aims=frozenset(aims),
    )
