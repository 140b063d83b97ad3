"""The names a page offers for choosing, and how a phrase that is being typed may go on."""

from functools import lru_cache
from typing import Any

from generator.api.desk import Desk
from generator.api.stand_day import FELT
from generator.catalogue.explained import explained
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.engraving.render import signs
from generator.pages.screen import SIZES
from generator.phrase.complete import completions
from generator.practice.player_ways import player_ways
from generator.progress.report import CIRCLE
from generator.theory.key import usual_name

_KINDS = ("forms", "figures", "spans", "rhythms", "articulations")


@lru_cache(maxsize=1)
def names_view() -> dict[str, Any]:
    """Every name a page offers, in the order of the catalogue, each with what it means."""
    catalogue = shared_catalogue()
    keys = [usual_name(place, 0) for place in CIRCLE]
    return {
        "instruments": [
            {
                "name": row.name,
                "label": row.label,
                "family": row.family,
                "pitched": not row.unpitched,
                "aliases": list(row.aliases),
            }
            for row in catalogue.instruments.rows
        ],
        "levels": list(LEVELS),
        "keys": [{"name": key.words, "label": signs(key.words)} for key in keys],
        "sizes": list(SIZES),
        "felt": list(FELT),
        **{
            kind: [
                {"name": one.name, "means": one.about, "group": one.group, "example": one.example}
                for one in explained(kind, catalogue)
            ]
            for kind in _KINDS
        },
    }


def complete_view(desk: Desk, phrase: str) -> dict[str, Any]:
    """How a phrase may go on.

    Args:
        desk: the desk.
        phrase: typed so far, up to the cursor.
    """
    found = completions(phrase, shared_catalogue(), player_ways(desk.folder, desk.here))
    return {"offers": [{"text": signs(one), "phrase": one} for one in found]}
