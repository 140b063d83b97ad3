"""Help for the hand on the page, where a player asked for it, and what is told about notes without any.

Charts and their code are loaded only then: no page without help waits for them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from generator.catalogue.tables import shared_catalogue
from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise

if TYPE_CHECKING:
    from generator.exercise.fingering import Hint

_BREAK = "/"
_MOST_TOLD = 8


@dataclass(frozen=True, slots=True)
class HandHelp:
    """What help is wanted.

    Attributes:
        charts: the program's own charts.
        hints: the player's own, which win.
    """

    charts: bool = True
    hints: "tuple[Hint, ...]" = ()


def help_code(wanted: HandHelp | None) -> list[str]:
    """What tells a page with help from others, for its code; nothing for a page without."""
    return [f"{wanted.charts} {wanted.hints!r}"] if wanted else []


def helped(
    exercises: Sequence[Exercise], instrument: Instrument, wanted: HandHelp | None, *, first: int = 1
) -> tuple[tuple[Exercise, ...], tuple[str, ...]]:
    """Exercises with the help that was asked for, and lines for the person about what is not covered.

    Args:
        exercises: in order.
        instrument: whose.
        wanted: which help; None for none.
        first: number of the first exercise.

    Raises:
        BadFileError: the file of the charts is broken.
    """
    if wanted is None:
        return tuple(exercises), ()
    made = tuple(_helped(one, instrument, wanted) for one in exercises)
    return made, tuple(_told(made, instrument, wanted, first))


def _helped(exercise: Exercise, instrument: Instrument, wanted: HandHelp) -> Exercise:
    # Imports stand here on purpose; see the top of this file.
    from generator.catalogue.fingerings import chart_for  # noqa: PLC0415
    from generator.exercise.fingering import with_fingers  # noqa: PLC0415

    keyboard = instrument.wind == "keyboard"
    side = "below" if instrument.name == "piano left hand" else "above"
    chart = chart_for(instrument, shared_catalogue()) if wanted.charts else None
    made = with_fingers(exercise, chart, wanted.hints, digits=side if keyboard else "")
    if exercise.left is not None:
        lower = chart_for(instrument, shared_catalogue(), left=True) if wanted.charts else None
        made = replace(made, left=with_fingers(exercise.left, lower, (), digits="below"))
    if instrument.family == "clarinets" and any(_BREAK in finger for finger in _fingers(made)):
        made = replace(made, notes=(*made.notes, "L and R: little fingers; a stroke: over the break"))
    return made


def _fingers(exercise: Exercise) -> list[str]:
    return [note.finger for bar in exercise.bars for note in bar.notes if note.finger]


def _told(made: Sequence[Exercise], instrument: Instrument, wanted: HandHelp, first: int) -> list[str]:
    from generator.catalogue.fingerings import COVERS, chart_for  # noqa: PLC0415

    bare = [str(number) for number, one in enumerate(made, first) if not _fingers(one)]
    if not bare:
        return []
    if wanted.charts and chart_for(instrument, shared_catalogue()) is None:
        return [f"no fingerings for the {instrument.name}; there are some for {COVERS}"]
    more = f" and {len(bare) - _MOST_TOLD} more" if len(bare) > _MOST_TOLD else ""
    which = f"exercise{'s' if len(bare) > 1 else ''} {', '.join(bare[:_MOST_TOLD])}{more}"
    return [f"no fingerings for the {instrument.name} in {which}; there are some for {COVERS}"]
