"""What a director leaves unsaid: one octave, eighths, a tempo; quarters where beginners play.

The tempi: Reykjavik city asks trumpets for crotchets at 60 and 80 in the first two grades, an all-state list of
Maryland for a scale at 72; eighths at 80, and 60 for what is held, are common practice.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.exercise.partials import FIRST_NOTES
from generator.phrase.ways import Ways
from generator.section.rehearsal_plan import RehearsalPlan

TEMPO, FIRST_TEMPO, SLOW_TEMPO = 80, 60, 60
_SPAN, _RHYTHMS, _FIRST_RHYTHMS = "one octave", ("eighths",), ("quarters", "eighths")


def with_defaults(plan: RehearsalPlan, section: Section) -> RehearsalPlan:
    """The plan with what goes without saying for a section.

    Args:
        plan: what is to be rehearsed; where each plays their own range, nothing goes without saying but a tempo.
        section: who plays; levels of the plan count in place of theirs.
    """
    levels: Sequence[str] = plan.levels or [
        chair.player.level for chair in section.chairs if not chair.unpitched
    ]
    names, beginners = shared_catalogue(), FIRST_NOTES in levels
    rhythms = tuple(names.rhythms.find(name) for name in (_FIRST_RHYTHMS if beginners else _RHYTHMS))
    ways = Ways(tempo=FIRST_TEMPO if beginners else TEMPO, slow_tempo=SLOW_TEMPO)
    if not plan.own_range:
        ways = replace(ways, span=names.spans.find(_SPAN), rhythms=rhythms)
    return replace(plan, ways=ways)
