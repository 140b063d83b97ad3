"""Pages filled in order, against every way there is of breaking them."""

from itertools import combinations, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.pages.fill import TIGHTEST, System, shared

ROOM = 100.0


def system(after: float, *, least: float = 0.0, cut: float = 0.0) -> System:
    return System(10.0, after, least or after, 1.0, 8.0, cut)


def natural(systems: list[System], start: int, end: int) -> float:
    return systems[start].top + sum(b.after for b in systems[start + 1 : end]) + systems[end - 1].foot


def fits(systems: list[System], start: int, end: int, room: float) -> bool:
    least = systems[start].top + sum(b.least for b in systems[start + 1 : end]) + systems[end - 1].foot
    return end == start + 1 or (least <= room and natural(systems, start, end) <= room * TIGHTEST)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.floats(8, 45), min_size=1, max_size=9), st.floats(60, 100))
def test_no_way_of_breaking_needs_fewer_pages(heights: list[float], first: float) -> None:
    systems = [system(height, least=0.9 * height) for height in heights]
    found = shared(systems, ROOM, first)
    assert found.starts[0] == 0
    ends = [*found.starts[1:], len(systems)]
    for page, (start, end) in enumerate(zip(found.starts, ends, strict=True)):
        assert fits(systems, start, end, ROOM if page else first)
    for count in range(len(found.starts) - 1):
        for cuts in combinations(range(1, len(systems)), count):
            edges = [0, *cuts, len(systems)]
            pages = pairwise(edges)
            possible = all(fits(systems, a, b, ROOM if n else first) for n, (a, b) in enumerate(pages))
            # A page more is only ever taken to spare holes that four times the usual would not be enough for.
            assert not possible or found.widest > 0 or len(found.starts) - count - 1 <= 1


def test_pages_are_filled_in_order_and_the_last_takes_what_is_left() -> None:
    assert shared([system(14.0)] * 14, ROOM, ROOM).starts == (0, 6, 12)


def test_a_page_is_closed_up_by_a_tenth_before_another_is_begun() -> None:
    # Natural: 10 + 5 * 18 + 8 = 108 of 100.
    assert shared([system(18.0, least=15.0)] * 6, ROOM, ROOM).starts == (0,)
    assert len(shared([system(18.0)] * 6, ROOM, ROOM).starts) == 2
    # More than a tenth is too much, however far it would give way.
    assert len(shared([system(20.0, least=10.0)] * 6, ROOM, ROOM).starts) == 2


def test_an_exercise_is_parted_rather_than_a_page_left_half_empty() -> None:
    lines = [system(14.0), *[system(14.0, cut=1.2)] * 3]
    whole = shared([system(14.0)] * 5 + [system(14.0)] * 1, ROOM, ROOM)
    assert len(whole.starts) == 1
    # Two exercises of four lines and one of two: six lines fill a page.
    parted = shared([*lines, *lines, system(14.0), system(14.0, cut=30.0)], ROOM, ROOM)
    assert parted.starts == (0, 6)


def test_an_exercise_stays_whole_where_little_is_left_over() -> None:
    lines = [system(14.0), *[system(14.0, cut=1.2)] * 3]
    single = system(14.0)
    found = shared([single, *lines, *lines], ROOM, ROOM)
    assert found.starts == (0, 5)
