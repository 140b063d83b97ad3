"""A few sober cautions, printed only where a page asks for work that can hurt; which, is data (shared/cautions.toml).

Nothing here diagnoses; it defers to a teacher or clinician.
"""

from collections.abc import Collection, Sequence

from generator.exercise.build import Player
from generator.exercise.caution import Caution, When, asks_for
from generator.exercise.records import Exercise

_PAIN = "it hurts"


def caution(
    exercises: Sequence[Exercise], player: Player, rows: Sequence[Caution], *, also: Collection[When] = ()
) -> str:
    """The cautions for a page in a few sentences, or "".

    Args:
        exercises: what the page asks for.
        player: for whom.
        rows: the cautions there are, in order.
        also: what the page asks for besides, such as a drone.
    """
    asked = frozenset(also).union(*(asks_for(one, player) for one in exercises))
    due = [row for row in rows if row.when in asked and row.concerns(player)]
    if not due:
        return ""
    works: dict[str, list[str]] = {}
    for row in due:
        works.setdefault(row.advice, []).append(row.work)
    told = [f"{_listed(some)}: {advice}." for advice, some in works.items()]
    stop = max((row.stop for row in due), key=len) or _PAIN
    return " ".join([*told, f"Stop when {stop}, and ask a teacher or clinician."])


def _listed(works: Sequence[str]) -> str:
    """``Loud work, high work and overtones``."""
    names = list(dict.fromkeys(works))
    told = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return told[0].upper() + told[1:]
