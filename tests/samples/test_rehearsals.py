"""A short season of bands that rehearse in rotation: what each sheet said is kept, and all play the same bars."""

import datetime as dt
import random
from dataclasses import replace

import pytest

from tests.benchmarks.rehearsals import BANDS, Season, live, parted


@pytest.mark.parametrize(("band", "rehearsals"), [(1, 16), (2, 9)])
def test_a_band_keeps_its_promise_and_plays_together(band, rehearsals, tmp_path):
    found = live(BANDS[band], 0, rehearsals, tmp_path)
    assert found.late == []
    assert found.apart == []
    assert found.sheets == rehearsals
    assert found.noted > rehearsals // 2


def test_what_is_counted_would_find_a_promise_that_is_too_short(tmp_path):
    season = Season(BANDS[1], tmp_path, random.Random(1))
    for number in range(6):
        season.rehearse(number)
        season.day += dt.timedelta(days=2)
    assert list(season.late()) == []
    season.pages = [(replace(page, promise=1), sheet) for page, sheet in season.pages]
    assert list(season.late()) != []


def test_what_is_looked_at_would_find_a_part_of_its_own(pages):
    made = pages("flute, tuba", "concert F major, one octave", "concert G major, one octave")
    assert list(parted(made)) == []
    first, second = made.parts
    swapped = replace(second, exercises=second.exercises[::-1])
    assert list(parted(replace(made, parts=(first, swapped)))) != []
