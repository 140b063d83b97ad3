"""The rows of a day's sheet for a section: what all can play of each, and the page of every chair.

What is kept is in concert keys. The span is that of the chairs who set the line, as in a handout.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from generator.documents.section import Section
from generator.errors import DoesNotFitError
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.exercise.span import OVER_THE_BREAK, Span
from generator.passage.named import is_drill
from generator.phrase import expand
from generator.phrase.write import canonical
from generator.section.chorale_turns import any_turn
from generator.section.ensemble import OR_ALONE, Seat
from generator.section.rehearsal import Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.together import seated
from generator.theory.written_key import written_key

_PLAN = RehearsalPlan(())


def span_of_all(request: Request, seats: Sequence[Seat]) -> Span:
    """How far a section goes with one exercise.

    Args:
        request: one concert key, one form.
        seats: who plays, see `rehearsal.seats_of`.

    Raises:
        DoesNotFitError: it is not for a section, or nothing of it can be played by those who set the line.
    """
    if isinstance(request.form, Routine) and is_drill(request.form.name):
        raise DoesNotFitError(
            f'a passage is no exercise of a band\'s plan; hand it out with: scalewright handout "{request.form.name}"'
        )
    if isinstance(request.form, Routine):
        raise DoesNotFitError(
            f"{request.form.name} differ from instrument to instrument; keep them in each player's own plan"
        )
    if request.register == OVER_THE_BREAK:
        raise DoesNotFitError(
            f"{canonical(request)}: the break lies elsewhere on each instrument; keep it in a player's own plan"
        )
    recipe = expand.recipe(replace(request, concert=True))
    tonic = recipe.request.keys[0]
    readers = [
        replace(seat, tonic=written_key(tonic, recipe.form, seat.player.instrument.sounds, _PLAN.keys))
        for seat in seats
    ]
    try:
        return seated(recipe, readers, _PLAN.together)[0].fitted.span
    except DoesNotFitError as error:
        raise DoesNotFitError(str(error).replace(OR_ALONE, "")) from None


def day_rehearsal(section: Section, requests: Iterable[Request]) -> Rehearsal:
    """The page of every chair.

    Args:
        section: who plays.
        requests: each exercise in its concert key, dressed.

    Raises:
        DoesNotFitError: one cannot be played.
    """
    seats = seats_of(section)
    turns = [any_turn(expand.recipe(replace(one, concert=True)), seats, _PLAN) for one in requests]
    return rehearse(section, _PLAN, turns)
