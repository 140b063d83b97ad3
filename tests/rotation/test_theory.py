"""Published facts of pinwheel scheduling and bamboo trimming, checked on small cases.

They are why the rotation promises one common ceiling and not each item its own gap.
"""

import itertools
from fractions import Fraction

import pytest


def schedulable(gaps: tuple[int, ...]) -> bool:
    """Whether one task a day can see each task in every window of its own gap, for ever.

    By exhaustion: a state is how many days each task can still wait; those with no way on are taken away.
    """
    alive = set(itertools.product(*(range(1, gap + 1) for gap in gaps)))
    while True:
        stay = {state for state in alive if any(step in alive for step in days_from(state, gaps))}
        if stay == alive:
            return bool(alive)
        alive = stay


def days_from(state, gaps):
    for served in range(len(gaps)):
        after = tuple(gaps[one] if one == served else left - 1 for one, left in enumerate(state))
        if min(after) > 0:
            yield after


@pytest.mark.parametrize("third", [3, 4, 5, 6, 9, 12])
def test_gaps_of_two_three_and_anything_can_never_be_kept(third):
    # Fishburn & Lagarias, Algorithmica 34 (2002) 14-38: (2, 3, m) is never schedulable,
    # although its density is only 5/6 + 1/m.
    assert not schedulable((2, 3, third))


@pytest.mark.parametrize(
    "gaps",
    [gaps for size in (1, 2, 3) for gaps in itertools.combinations_with_replacement(range(2, 10), size)],
    ids=str,
)
def test_density_decides_where_the_theorems_say_so(gaps):
    density = sum(Fraction(1, gap) for gap in gaps)
    if density > 1:
        # Holte, Mok, Rosier, Tulchinsky & Varvel 1989: density at most 1 is necessary.
        assert not schedulable(gaps)
    # The same paper: density at most 1/2 suffices. Kawamura, STOC 2024: at most 5/6 suffices.
    # Holte et al., Theor. Comput. Sci. 1992: with two distinct gaps density at most 1 suffices.
    if density <= Fraction(5, 6) or (density <= 1 and len(set(gaps)) <= 2):
        assert schedulable(gaps)


def test_five_sixths_is_the_best_constant():
    # Fishburn & Lagarias 2002, as above: (2, 3, m) comes as close to 5/6 as one likes.
    assert not schedulable((2, 3, 30))
    assert schedulable((2, 3))


GAPS = (2, *[100] * 50)


def longest_waits(choose, days=2000):
    """Serve one task a day; the longest wait of the task with gap 2 and of those with gap 100."""
    last = [0] * len(GAPS)
    longest = [0] * len(GAPS)
    for day in range(1, days + 1):
        served = choose(day, last)
        for one, since in enumerate(last):
            longest[one] = max(longest[one], day - since)
        if served is not None:
            last[served] = day
    return longest[0], max(longest[1:])


def earliest_due(day, last):
    return min(range(len(GAPS)), key=lambda one: (last[one] + GAPS[one], one))


def deadline_driven(day, last):
    ready = [one for one, since in enumerate(last) if day - since >= GAPS[one]]
    return min(ready, key=lambda one: last[one] + 2 * GAPS[one], default=None)


def test_earliest_due_first_breaks_gaps_even_at_density_one():
    # Own counter-example: 1/2 + 50/100 = 1. Early plays let the fifty bunch together.
    assert sum(Fraction(1, gap) for gap in GAPS) == 1
    assert longest_waits(earliest_due) == (51, 149)


def test_deadline_driven_keeps_everything_within_twice_its_gap():
    # Kuszmaul, "Bamboo trimming revisited", arXiv 2201.07350 (2022): at most twice the gap at density 1.
    short, long = longest_waits(deadline_driven)
    assert (short, long) == (2, 199)
    assert short <= 2 * 2
    assert long <= 2 * 100


def test_no_trimming_keeps_the_tallest_bamboo_below_the_sum_of_growths():
    # Gasieniec et al., SOFSEM 2017: the tallest is at least H, by averaging; cutting the tallest each day
    # stays under 9 H (Bilo et al., FUN 2020).
    growth = [Fraction(1, gap) for gap in GAPS]
    height = [Fraction(0)] * len(GAPS)
    tallest = Fraction(0)
    for _ in range(600):
        height = [tall + more for tall, more in zip(height, growth, strict=True)]
        tallest = max(tallest, *height)
        height[max(range(len(height)), key=height.__getitem__)] = Fraction(0)
    assert sum(growth) <= tallest <= 9 * sum(growth)
