"""Sharing out evenly, against every way there is."""

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from generator.pages.partition import evenly


def every_way(total: int, count: int) -> list[list[int]]:
    cuts = [(0, *inner, total) for inner in combinations(range(1, total), count - 1)]
    return [[b - a for a, b in pairwise(cut)] for cut in cuts]


def fills(sizes: list[float], counts: list[int], first: float, later: float) -> list[float]:
    found, at = [], 0
    for place, count in enumerate(counts):
        found.append(sum(sizes[at : at + count]) / (later if place else first))
        at += count
    return found


@given(
    st.lists(st.floats(1, 30), min_size=1, max_size=8),
    st.integers(1, 5),
    st.floats(20, 60),
    st.floats(20, 60),
)
def test_no_other_way_is_more_even(sizes: list[float], count: int, first: float, later: float) -> None:
    mean = sum(sizes) / (first + later * (count - 1))
    fitting = {}
    for counts in every_way(len(sizes), count) if count <= len(sizes) else []:
        full = fills(sizes, counts, first, later)
        if all(f <= 1.0 or n == 1 for f, n in zip(full, counts, strict=True)):
            fitting[tuple(counts)] = sum((f - mean) ** 2 for f in full)
    found = evenly(sizes, count, first, later, 1.0)
    if found is None:
        assert not fitting
    else:
        assert fitting[tuple(found)] <= min(fitting.values()) + 1e-9


def test_a_light_end_is_preferred_where_both_are_equally_even() -> None:
    assert evenly([1, 1, 1], 2, 2, 2, 1.0, light_end=True) == [2, 1]
