"""Chance: the only place where the program draws a seed; everything else is handed the drawn numbers."""

from random import Random, SystemRandom

_SEEDS = 10_000


def chance_of(seed: int | None) -> tuple[Random, int]:
    """A source of chance and the seed that makes it again.

    Args:
        seed: the one to use; None draws one, short enough to be told to others.
    """
    seed = SystemRandom().randrange(_SEEDS) if seed is None else seed
    return Random(seed), seed  # noqa: S311  # a draw of scales, not a secret
