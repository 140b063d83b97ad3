"""Where a required scale lies: inside the notes a list allows, said as a register, which every phrase can say."""

from dataclasses import replace

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.exercise.span import Register
from generator.phrase import expand
from generator.theory.pitch import Pitch

_REGISTERS: tuple[Register, ...] = ("lowest octave", "second octave", "middle octave", "top octave")


def within(
    request: Request, low: Pitch | None, high: Pitch | None, player: Player, *, complete: bool = False
) -> Request:
    """The request in the first register in which it lies between two written notes.

    Args:
        request: for one key.
        low: lowest written note a list allows, or None.
        high: highest, or None.
        player: the player.
        complete: one octave will do where the octaves asked for do not lie between.

    Returns:
        The request as it is where it lies nowhere between, so that the list still asks for it.

    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.read import parse
    >>> from generator.phrase.write import canonical
    >>> names, trombone = shared_catalogue(), player_named("trombone", "extended")
    >>> asked = parse("C major, one octave", names)
    >>> canonical(within(asked, Pitch.parse("G2"), Pitch.parse("C4"), trombone))
    'C major, one octave, from the second octave'
    """
    if isinstance(request.form, Routine) or (low is None and high is None):
        return request
    spans = [request.span, *([shared_catalogue().spans.find("one octave")] if complete else [])]
    for span in spans:
        for register in _REGISTERS:
            wanted = replace(request, span=span, register=register)
            if _lies_between(wanted, low, high, player):
                return wanted
    return request


def _lies_between(request: Request, low: Pitch | None, high: Pitch | None, player: Player) -> bool:
    try:
        heights = [pitch.height for pitch in expand.build_single(request, player, exact=True).pitches]
    except DoesNotFitError:
        return False
    return (low is None or min(heights) >= low.height) and (high is None or max(heights) <= high.height)
