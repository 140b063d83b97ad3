"""The order of the rows on paper.

The most secure exercise opens the sheet; after it comes, each time, the key farthest round the circle of
fifths from the one before, so that close relatives are not played back to back. Heavy exercises (high or
loud) do not stand side by side where the count of the others allows; where it does not, they are spread into
groups as even as possible.
"""

from collections.abc import Sequence

from generator.rotation.choose import Candidate
from generator.rotation.records import KEYS

NO_KEY_DISTANCE = 3  # half-way between the same key and the far side


def circle_distance(one: int | None, other: int | None) -> int:
    """Fifths between two keys the shorter way round, 0 to 6; 3 where one has no key.

    >>> circle_distance(0, 11), circle_distance(0, 6), circle_distance(0, None)
    (1, 6, 3)
    """
    if one is None or other is None:
        return NO_KEY_DISTANCE
    apart = (one - other) % KEYS
    return min(apart, KEYS - apart)


def playing_order(rows: Sequence[Candidate]) -> list[Candidate]:
    """The same rows in playing order.

    >>> from generator.rotation.choose import Queue
    >>> from generator.rotation.records import Item
    >>> items = [Item("C", key=0), Item("G", key=1), Item("G-flat", key=6)]
    >>> queue = Queue(items=items, ages=[2, 2, 2], gaps=[9, 5, 5], day=4, front=None)
    >>> [row.item.id for row in playing_order([queue.candidate(place) for place in range(3)])]
    ['C', 'G-flat', 'G']
    """
    heavy = sorted(row for row in rows if row.item.heavy)
    light = sorted(row for row in rows if not row.item.heavy)
    ordered: list[Candidate] = []
    group = 0
    while heavy or light:
        pool = _allowed(heavy, light, group)
        chosen = _next_after(ordered[-1] if ordered else None, pool)
        (heavy if chosen.item.heavy else light).remove(chosen)
        group = group + 1 if chosen.item.heavy else 0
        ordered.append(chosen)
    return ordered


def _allowed(heavy: list[Candidate], light: list[Candidate], group: int) -> list[Candidate]:
    """What may come next; `group` is how many heavy rows stand directly before.

    The light rows left cut the heavy ones into at most light + 1 groups; no group gets longer than an even
    share, and a heavy row goes first where waiting would leave too many for the end.
    """
    if not heavy or not light:
        return heavy or light
    share = -(-(len(heavy) + group) // (len(light) + 1))
    if group >= share:
        return light
    if group or len(heavy) > len(light):
        return heavy
    return sorted(heavy + light)


def _next_after(before: Candidate | None, pool: list[Candidate]) -> Candidate:
    """The most secure of an opening, the farthest key afterwards; the longest waiting among equals."""
    if before is None:
        return min(pool, key=lambda row: (-row.gap, row.age, row.tie))
    return min(pool, key=lambda row: (-circle_distance(row.item.key, before.item.key), row.age, row.tie))
