"""Sharing things out over lines or pages in order, so that all are about equally full."""

from collections.abc import Sequence

# A last page that is fuller than the others looks worse than one that is emptier.
LAST_FULLER = 0.02


def evenly(
    sizes: Sequence[float],
    count: int,
    first: float,
    later: float,
    fullest: float,
    *,
    light_end: bool = False,
    cuts: Sequence[float] = (),
) -> list[int] | None:
    """How many things go into each of ``count`` places.

    Args:
        sizes: what each thing takes, in order.
        count: places.
        first: room of the first place.
        later: room of each further one.
        fullest: how full a place may be, 1 being its room; a single thing may be larger.
        light_end: rather a light last place than a full one.
        cuts: what it costs, in squares of fill, that a place begins with each thing; nothing when left out.

    Returns:
        Counts that add up to all things, with the smallest sum of squared differences in fill and costs of cuts,
        or None when they do not fit.
    """
    total = len(sizes)
    if count > total:
        return None
    sums = [0.0]
    for size in sizes:
        sums.append(sums[-1] + size)
    mean = sums[-1] / (first + later * (count - 1))
    # For each number of things placed so far: the least cost, and where the last place began.
    best: list[dict[int, tuple[float, int]]] = [{0: (0.0, 0)}]
    for place in range(count):
        room = later if place else first
        left = count - place - 1
        row: dict[int, tuple[float, int]] = {}
        for start, (cost, _) in best[-1].items():
            for end in range(start + 1, total - left + 1):
                fill = (sums[end] - sums[start]) / room
                if fill > fullest and end > start + 1:
                    break
                offer = cost + (fill - mean) ** 2 + (cuts[start] if cuts else 0.0)
                if light_end and not left and fill > mean:
                    offer += LAST_FULLER
                if end not in row or offer < row[end][0]:
                    row[end] = (offer, start)
        best.append(row)
    return _counts(best, total) if total in best[-1] else None


def _counts(best: Sequence[dict[int, tuple[float, int]]], end: int) -> list[int]:
    counts: list[int] = []
    for row in reversed(best[1:]):
        start = row[end][1]
        counts.insert(0, end - start)
        end = start
    return counts
