"""One exercise on a screen: never under a readable staff, never wider or higher than the window by estimate."""

import itertools

import pytest

from generator import exercises, player
from generator.errors import RequestError
from generator.pages.screen import SIZES, SMALLEST_STAFF, Screen, lay_out_on

PHRASES = (
    "G major",
    "C-sharp harmonic minor in thirds, full range",
    "long tones on G",
    "E-flat major, 7/8, slurred by the beat",
    "chromatic on C, triplets",
)
# CSS pixels of phones, tablets and laptops, whole windows and what is left beside buttons.
WINDOWS = ((320, 260), (390, 430), (820, 700), (1366, 450))


@pytest.mark.parametrize(("phrase", "window"), [*itertools.product(PHRASES, WINDOWS)])
@pytest.mark.parametrize("size", SIZES)
def test_lines_and_pages_fit_the_window(phrase: str, window: tuple[int, int], size: str) -> None:
    screen = Screen(*window, size)
    exercise = exercises(phrase, player=player("clarinet"))[0]
    laid = lay_out_on(screen, exercise)
    assert laid.staff >= SMALLEST_STAFF
    assert laid.width * laid.staff / 4 == pytest.approx(window[0])
    assert laid.layout.fill <= 1.0 or all(len(line) == 1 for line in laid.layout.lines)
    notes = [note for line in laid.layout.lines for piece in line for note in piece.notes]
    assert notes == [note for bar in exercise.bars for note in bar.notes]
    assert list(laid.turns) == sorted(set(laid.turns))
    assert all(0 < turn < len(laid.layout.lines) for turn in laid.turns)


def test_who_wishes_for_large_print_gets_it() -> None:
    exercise = exercises("G major in thirds", player=player("flute"))[0]
    staves = [lay_out_on(Screen(820, 500, size), exercise).staff for size in SIZES]
    assert staves[0] < staves[1] < min(staves[2:])


@pytest.mark.parametrize(("width", "height"), [(0, 400), (239, 400), (400, 20), (10**6, 400)])
def test_no_window_is_that_small_or_large(width: int, height: int) -> None:
    with pytest.raises(RequestError, match="a screen is 240 to 8000"):
        Screen(width, height)
