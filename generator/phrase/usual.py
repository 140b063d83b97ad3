"""What goes without saying where a teacher asks for a page: a span, a rhythm and a tempo."""

from typing import Any

from generator.catalogue.tables import Catalogue
from generator.exercise.articulation import Articulation
from generator.exercise.routine import Routine
from generator.exercise.suiting import suits
from generator.phrase.ways import Ways

_UNSAID = "sixteenths"
"""The rhythm of a figure that has none of its own."""


def with_usual(found: dict[str, Any], catalogue: Catalogue, ways: Ways) -> dict[str, Any]:
    """What a part settles, with what goes without saying.

    Args:
        found: what was named, by kind.
        catalogue: the names.
        ways: what is taken where nothing is said; nothing at all in most of them.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> ways = Ways(span=names.spans.find("one octave"), rhythms=(names.rhythms.find("eighths"),), tempo=80)
    >>> told = with_usual({"form": names.forms.find("major")}, names, ways)
    >>> told["span"].name, told["rhythm"].name, told["tempo"]
    ('one octave', 'eighths', 80)
    """
    figure = found.get("figure") or catalogue.straight
    own = figure.rhythm is not None and figure.rhythm.name != _UNSAID
    usual: dict[str, Any] = {}
    if ways.tempo:
        usual["tempo"] = ways.slow_tempo if own or isinstance(found.get("form"), Routine) else ways.tempo
    if isinstance(found.get("form"), Routine):
        return {**usual, **found}
    if ways.span is not None and figure.span is None and figure.kind == "moving" and "register" not in found:
        usual["span"] = ways.span
    if not own:
        worn = [found[kind] for kind in ("articulation", "articulation_down") if found.get(kind) is not None]
        single = [row for row in worn if isinstance(row, Articulation)]
        # A set of articulations, one with a rhythm of its own, and fast tongues are for the figure's rhythm.
        if len(single) == len(worn) and not any(row.rhythm or row.syllables for row in single):
            fitting = [
                rhythm for rhythm in ways.rhythms if all(_fits(row, rhythm.per_beat) for row in single)
            ]
            usual |= {"rhythm": fitting[0]} if fitting else {}
    return {**usual, **found}


def _fits(row: Articulation, per_beat: int) -> bool:
    whom = row.winds[0] if row.winds else "reed"
    return suits(row, per_beat, whom) or not (row.group or row.slurs or row.bar or row.each or row.close)
