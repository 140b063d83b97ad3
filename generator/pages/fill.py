"""Sharing systems out over pages: filled in order, spread down to the foot, closed up by at most a tenth. Pure.

A system is a line of music with what stands over it. Between two systems of one page lies a distance that gives way: it
has a natural length, a least one, and a share of what is left over. LilyPond spreads a page by the same figures
(`templates/house.ily`), so what is chosen here is what is printed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

# More than a tenth of its height a page is not closed up.
TIGHTEST = 1.1
# What it costs to need one more page, against a page whose exercises are drawn apart by twelve millimetres each.
_PAGE = 6.0
_TIGHT = 0.15
# Heights are estimates: a page closed up to its last staff space would often have to be engraved again.
_CARE = 2.5
# Whatever stands on the last page could have stood before it.
_LATE = 0.1
_NEVER = 1000.0


@dataclass(frozen=True, slots=True)
class System:
    """A line of music that is not parted, in staff spaces.

    Attributes:
        top: from the top of a page to the middle of its staff, where it stands first.
        after: from the middle of the staff before it, at its natural length.
        least: the same, closed up.
        give: its share of what is left over.
        foot: from the middle of its staff to the foot of the page, where it stands last.
        cut: what it costs to begin a page with it.
    """

    top: float
    after: float
    least: float
    give: float
    foot: float
    cut: float = 0.0


@dataclass(frozen=True, slots=True)
class Pages:
    """Systems shared out.

    Attributes:
        starts: the system that begins each page.
        full: how full the last page is at its natural length.
        widest: by how much the exercises of a page are drawn apart at the most, the last page aside.
    """

    starts: tuple[int, ...]
    full: float
    widest: float = 0.0


def shared(systems: Sequence[System], room: float, first: float, apart: float = 8.0) -> Pages:
    """Share systems out over pages.

    Args:
        systems: in order; at least one.
        room: height of a page.
        first: height of the first page, where a title takes some of it.
        apart: exercises that are drawn apart by so much begin to look lost.

    >>> lines = [System(top=10, after=20, least=18, give=1, foot=10)] * 12
    >>> shared(lines, 100, 100).starts
    (0, 5, 10)
    """
    count = len(systems)
    # For each system that may begin a page: the least cost of all pages before it, and where the last of them began.
    best: list[tuple[float, int]] = [(0.0, 0)] + [(float("inf"), 0)] * count
    for start in range(count):
        if best[start][0] == float("inf"):
            continue
        space = room if start else first
        natural = least = systems[start].top
        give = 0.0
        for end in range(start + 1, count + 1):
            last = systems[end - 1]
            if end - 1 > start:
                natural, least, give = natural + last.after, least + last.least, give + last.give
            if end - 1 > start and (
                least + last.foot > space - _CARE or natural + last.foot > space * TIGHTEST
            ):
                break
            cut = 0.0 if end == count else systems[end].cut
            cost = best[start][0] + _PAGE + cut
            cost += _cost(
                space - natural - last.foot, natural - least, give * apart, space, last=end == count
            )
            if cost < best[end][0]:
                best[end] = (cost, start)
    starts: list[int] = []
    end = count
    while end:
        end = best[end][1]
        starts.insert(0, end)
    return _told(systems, starts, room, first)


def _cost(slack: float, closes: float, give: float, room: float, *, last: bool) -> float:
    if slack < 0:
        return (_TIGHT * (slack / closes) ** 2 if closes > 0 else _TIGHT) + (_LATE if last else 0.0)
    if last:
        return _LATE * (1 - slack / room)
    return (slack / give) ** 2 if give else _NEVER


def _told(systems: Sequence[System], starts: Sequence[int], room: float, first: float) -> Pages:
    widest, full = 0.0, 0.0
    for page, start in enumerate(starts):
        end = starts[page + 1] if page + 1 < len(starts) else len(systems)
        here = systems[start:end]
        space = room if page else first
        height = here[0].top + sum(one.after for one in here[1:]) + here[-1].foot
        full = height / space
        give = sum(one.give for one in here[1:])
        if end < len(systems) and give:
            widest = max(widest, (space - height) / give)
    return Pages(tuple(starts), full, widest)
