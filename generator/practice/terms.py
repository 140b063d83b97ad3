"""What a plan asks of every sheet, for the rotation."""

from typing import Any

from generator.practice.player_session import PlayerSession


def is_brass(session: PlayerSession) -> bool:
    """Whether lips are what has to rest."""
    return session.player.instrument.wind == "brass"


def terms_of(session: PlayerSession) -> dict[str, Any]:
    """The plan's terms, by the names `plan_sheet` has for them."""
    plan = session.plan
    return {
        "share": plan.share,
        "lists": session.repertoire.lists(),
        "wished": plan.longest_wait,
        "usual": plan.minutes,
        "theme": plan.theme,
        "gently": True,
        "brass": is_brass(session),
    }
