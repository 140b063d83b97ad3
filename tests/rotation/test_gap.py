"""The wanted gap after a play, and that it gives weak items more than their fair share."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.rotation.gap import FIRST_GAP, gap_ceiling, next_gap

EXAMPLES = settings.get_profile("rotation")


@pytest.mark.parametrize(
    ("gap", "waited", "rating", "tempo", "goal", "after"),
    [
        # Lost: a quarter of the wait it just had, never longer than before, never under one.
        (7, 12, 1, None, None, 3),
        (2, 12, 1, None, None, 2),
        (7, 1, 1, None, None, 1),
        # Shaky, or under 85 % of the goal however it felt: half the wait.
        (14, 20, 2, None, None, 10),
        (14, 20, 3, 67, 80, 10),
        (14, 20, 4, 67, 80, 10),
        (14, 20, 3, 68, 80, 25),  # exactly 85 %
        # Fine, or easy but under the goal: five quarters of the wait, if that is longer.
        (14, 20, 3, None, None, 25),
        (14, 20, 4, 79, 80, 25),
        (14, 4, 3, None, None, 14),
        # Easy and at tempo: half as long again, at least a day more.
        (14, 20, 4, 80, 80, 30),
        (14, 4, 4, 90, 80, 15),
        (14, 4, 4, None, None, 15),
        (14, 4, 4, 90, None, 15),
        # Never over the ceiling.
        (35, 39, 4, None, None, 40),
    ],
)
def test_next_gap(gap, waited, rating, tempo, goal, after):
    assert next_gap(gap, waited, rating, tempo, goal, 40) == after


numbers = st.integers(1, 400)


@EXAMPLES
@given(numbers, numbers, st.integers(1, 4), st.none() | numbers, st.none() | numbers, st.integers(30, 400))
def test_a_weak_play_never_lengthens_and_a_good_one_never_shortens(gap, waited, rating, tempo, goal, ceiling):
    gap = min(gap, ceiling)
    after = next_gap(gap, waited, rating, tempo, goal, ceiling)
    assert 1 <= after <= ceiling
    slow = tempo is not None and goal is not None and tempo < 0.85 * goal
    if rating <= 2 or slow:
        assert after <= gap
    else:
        assert after >= gap


def test_the_ceiling_is_four_promises_and_at_least_thirty():
    assert gap_ceiling(3) == 30
    assert gap_ceiling(20) == 80


def test_weak_items_get_more_than_their_fair_share(diary, keys_by_figures):
    """An invented player: each exercise has a fixed chance to go well, the hardest quarter a small one."""
    items = keys_by_figures(5)
    chance = random.Random(11)
    skill = {item.id: chance.random() for item in items}
    hardest = set(sorted(skill, key=skill.__getitem__)[: len(items) // 4])
    book = diary(items, 12)

    def rate(item_id: str) -> int:
        return 1 + sum(chance.random() < skill[item_id] for _ in range(3))

    played = [row.item_id for _ in range(150) for row in book.practise(rate).rows]
    share = sum(one in hardest for one in played) / len(played)
    # Fair would be 0.25. The floor alone would let them have 0.125 to 0.625.
    assert share > 0.31


def test_a_new_item_is_wanted_every_seven_practice_days(diary, keys_by_figures):
    assert {row.gap for row in diary(keys_by_figures(1), 6).sheet().rows} == {FIRST_GAP}
