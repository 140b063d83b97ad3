"""What tells a passage from other exercises by its name alone, so that days without one load nothing more of it."""

from collections.abc import Sequence

WORD = "drill"
MINUTES = 3
"""What a passage takes on a sheet, unless its row says otherwise."""


def is_drill(phrase: str) -> bool:
    """Whether a phrase is about a passage of the player's own.

    >>> is_drill("drill scherzo, chunks"), is_drill("drilling")
    (True, False)
    """
    head = phrase.lstrip()[: len(WORD) + 1].casefold()
    return head.strip() == WORD and (len(head) > len(WORD) or len(phrase.strip()) == len(WORD))


def apart(names: Sequence[str]) -> list[int]:
    """An order in which no two passages are neighbours, as far as there are others to stand between them.

    >>> apart(["drill a", "drill b", "G major", "F major"])
    [0, 2, 1, 3]
    """
    order = list(range(len(names)))
    for place in range(1, len(order)):
        if is_drill(names[order[place]]) and is_drill(names[order[place - 1]]):
            later = next((k for k in range(place + 1, len(order)) if not is_drill(names[order[k]])), None)
            if later is not None:
                order.insert(place, order.pop(later))
    return order
