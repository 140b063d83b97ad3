"""What a plan asks of every sheet, for the rotation."""

from typing import Any

from generator.practice.player_session import PlayerSession


def is_brass(session: PlayerSession) -> bool:
    """Whether lips are what has to rest; in a band they do while others are spoken to."""
    return session.band is None and session.player.instrument.wind == "brass"


def usual_minutes(session: PlayerSession, asked: int | None = None) -> int:
    """Minutes of a usual day: the plan's; of who has no plan, what is asked for."""
    return asked if asked and session.path is None else session.plan.minutes


def terms_of(session: PlayerSession, asked: int | None = None) -> dict[str, Any]:
    """The plan's terms, by the names `plan_sheet` has for them.

    Args:
        session: the player.
        asked: minutes asked for today, or None.
    """
    plan = session.plan
    return {
        "share": plan.share,
        "lists": session.repertoire.lists(),
        "wished": plan.longest_wait,
        "usual": usual_minutes(session, asked),
        "theme": plan.theme,
        "gently": True,
        "brass": is_brass(session),
    }
