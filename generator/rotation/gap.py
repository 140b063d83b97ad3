"""How long an item may wait before it is due again: the wanted gap, in practice days.

The gap is anchored on the wait that was actually lived through. A late play that went well is evidence that
the item can wait that long; a weak one never lengthens the gap; an early easy one adds a day. (Rise by
adding, fall by dividing: the project's own rule. The factors are round figures, not findings.)
"""

FIRST_GAP = 7
LEAST_CEILING = 30
CEILING_IN_PROMISES = 4

LOST, SHAKY, FINE, EASY = 1, 2, 3, 4
SLOW_PERCENT = 85


def gap_ceiling(promise: int) -> int:
    """The longest wanted gap for a list whose promise is `promise` practice days.

    >>> gap_ceiling(5), gap_ceiling(20)
    (30, 80)
    """
    return max(CEILING_IN_PROMISES * promise, LEAST_CEILING)


def next_gap(gap: int, waited: int, rating: int, tempo: int | None, goal: int | None, ceiling: int) -> int:
    """The wanted gap after one play.

    Args:
        gap: wanted gap before it.
        waited: practice days since the play before, at least 1.
        rating: how it felt: 1 lost, 2 shaky, 3 steady, 4 secure.
        tempo: tempo reached; None if it was not noted, and then the rating stands alone.
        goal: goal tempo in the same unit, or None.
        ceiling: see `gap_ceiling`.

    Returns:
        Practice days, from 1 to `ceiling`.

    >>> next_gap(7, 12, rating=EASY, tempo=None, goal=None, ceiling=30)
    18
    >>> next_gap(7, 12, rating=SHAKY, tempo=None, goal=None, ceiling=30)
    6
    >>> next_gap(7, 12, rating=EASY, tempo=60, goal=100, ceiling=30)
    6
    """
    if rating <= LOST:
        return min(gap, waited // 4) or 1
    under = slow = False
    if tempo is not None and goal is not None:
        under, slow = tempo < goal, 100 * tempo < SLOW_PERCENT * goal
    if rating == SHAKY or slow:
        return min(gap, waited // 2) or 1
    if rating == FINE or under:
        return min(max(gap, waited * 5 // 4), ceiling)
    return min(max(gap + 1, waited * 3 // 2), ceiling)
