"""The order of the rows on paper, as a body wants it.

What is fit to warm up with opens the sheet, else what is most secure; what is hard (new, or lately shaky) stands in
the middle; the last row is easy. Between these comes, each time, the key farthest round the circle of fifths from the
one before, so that close relatives are not played back to back; on a sheet with a thread its rows stand together, in
the order of the plan. Heavy exercises (high or loud) do not stand side by side where the count of the others allows;
where it does not, they are spread into groups as even as possible.

(Warm-up first, middle and low before high: five band directors, The Instrumentalist, October 2009. Hard passages in
the middle: BAPAM, "Ten top health tips". An easy end: common practice, no source.)
"""

from collections.abc import Collection, Sequence

from generator.rotation.choose import Candidate
from generator.rotation.records import KEYS

NO_KEY_DISTANCE = 3  # half-way between the same key and the far side
SHAKY_GAP = 2  # practice days; wanted again so soon, an exercise went badly
MOST_WARM = 2  # rows to warm up with; further ones stand where they fall


def circle_distance(one: int | None, other: int | None) -> int:
    """Fifths between two keys the shorter way round, 0 to 6; 3 where one has no key.

    >>> circle_distance(0, 11), circle_distance(0, 6), circle_distance(0, None)
    (1, 6, 3)
    """
    if one is None or other is None:
        return NO_KEY_DISTANCE
    apart = (one - other) % KEYS
    return min(apart, KEYS - apart)


def playing_order(
    rows: Sequence[Candidate], thread: int | None = None, new: Collection[str] = ()
) -> list[Candidate]:
    """The same rows in playing order.

    Args:
        rows: the rows of a sheet.
        thread: the key that runs through it, or None.
        new: ids of what was never played.

    >>> from generator.rotation.choose import Queue
    >>> from generator.rotation.records import Item
    >>> items = [Item("C", key=0), Item("G", key=1), Item("G-flat", key=6)]
    >>> queue = Queue(items=items, ages=[2, 2, 2], gaps=[9, 5, 1], day=4, front=None)
    >>> [row.item.id for row in playing_order([queue.candidate(place) for place in range(3)])]
    ['C', 'G-flat', 'G']
    """
    warm = sorted(row for row in rows if row.item.warm and not row.item.heavy)[:MOST_WARM]
    left = [row for row in rows if row not in warm]
    heavy = sum(row.item.heavy for row in left)
    if warm and 2 * heavy > len(left) + 1:
        warm, left = [], list(rows)  # needed between what is heavy
    ends = 1 if warm else 2
    first: list[Candidate] = []
    last: list[Candidate] = []
    if heavy < len(left) - heavy + bool(warm) and len(left) > ends:
        easy = sorted((row for row in left if not row.item.heavy), key=lambda row: _ease(row, new))
        # What opens a sheet with a thread is in its key, where something easy is.
        opening = sorted(
            easy, key=lambda row: (thread is not None and row.item.key != thread, _ease(row, new))
        )
        first = [] if warm else opening[:1]
        closing = sorted(
            easy, key=lambda row: (thread is not None and row.item.key == thread, _ease(row, new))
        )
        last = [row for row in closing if row not in first][:1]
        left = [row for row in left if row not in (*first, *last)]
    return [*warm, *first, *_middle(left, [*warm, *first], thread, new), *last]


def _ease(row: Candidate, new: Collection[str]) -> tuple[bool, int, int, tuple[int, int, str]]:
    """The most secure first; of equals the longest waiting."""
    return row.item.id in new, -row.gap, row.age, row.tie


def _is_hard(row: Candidate, new: Collection[str]) -> bool:
    return row.item.id in new or row.gap <= SHAKY_GAP


def _middle(
    rows: list[Candidate], before: Sequence[Candidate], thread: int | None, new: Collection[str]
) -> list[Candidate]:
    """The rows between the ends: half of what is not hard, what is hard, the other half."""
    heavy = [row for row in rows if row.item.heavy]
    light = [row for row in rows if not row.item.heavy]
    easy = sum(not _is_hard(row, new) for row in rows)
    ordered: list[Candidate] = []
    group, done = 0, 0
    while heavy or light:
        pool = _allowed(sorted(heavy), sorted(light), group)
        hard = [row for row in pool if _is_hard(row, new)]
        soft = [row for row in pool if not _is_hard(row, new)]
        now = (soft or hard) if 2 * done < easy or not hard else hard
        chosen = _next_after(ordered[-1] if ordered else before[-1] if before else None, now, thread)
        (heavy if chosen.item.heavy else light).remove(chosen)
        group = group + 1 if chosen.item.heavy else 0
        done += not _is_hard(chosen, new)
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


def _next_after(before: Candidate | None, pool: list[Candidate], thread: int | None) -> Candidate:
    """In the key of the sheet the next of the plan, else the farthest key; the longest waiting among equals."""
    threaded = [row for row in pool if thread is not None and row.item.key == thread]
    if threaded:
        return min(threaded, key=lambda row: (row.item.rank, row.age, row.tie))
    if before is None:
        return min(pool, key=lambda row: (-row.gap, row.age, row.tie))
    return min(pool, key=lambda row: (-circle_distance(row.item.key, before.item.key), row.age, row.tie))
