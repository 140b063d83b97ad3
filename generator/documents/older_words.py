"""Phrases of a plan that are read in the words of before, and would mean something else in today's."""

from dataclasses import dataclass, replace

from generator.catalogue.tables import Catalogue
from generator.documents.plan import Plan
from generator.errors import RequestError
from generator.phrase.read import parse_all
from generator.phrase.ways import USUAL
from generator.phrase.write import canonical


@dataclass(frozen=True, slots=True)
class OlderPhrase:
    """A phrase whose meaning depends on when it was written.

    Attributes:
        line: line of the file.
        phrase: as written.
        meant: what it is read as, in today's words.
    """

    line: int
    phrase: str
    meant: str


def older_phrases(plan: Plan, catalogue: Catalogue) -> tuple[OlderPhrase, ...]:
    """What of a plan means something else when it is typed today.

    Args:
        plan: with its rows.
        catalogue: the names.
    """
    now = replace(plan.ways, words=USUAL.words)
    if plan.ways == now:
        return ()
    found: dict[str, OlderPhrase] = {}
    for keep in plan.keeps:
        try:
            meant = parse_all(keep.phrase, catalogue, plan.ways)
            same = meant == parse_all(keep.phrase, catalogue, now)
        except RequestError:
            continue
        if not same:
            words = "; ".join(map(canonical, meant))
            found.setdefault(keep.phrase, OlderPhrase(keep.line, keep.phrase, words))
    return tuple(found.values())
