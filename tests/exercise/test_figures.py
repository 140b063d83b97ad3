"""Figures degree by degree in one octave, as players write them: 1 is home, 8 the top, a comma goes below, 9 above."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.catalogue.tables import Catalogue, load
from generator.errors import DoesNotFitError
from generator.exercise.figure import Direction, Figure
from generator.exercise.laying import Extent, Group, lay
from generator.files.resources import data_folder
from generator.theory.form import Way

FIGURES = load(data_folder("shared")).figures.rows
MOVING = [f for f in FIGURES if f.kind == "moving"]
OCTAVE = Extent(0, 7)


def everything(_degree: int, _way: Way) -> bool:
    return True


def spoken(groups: tuple[Group, ...]) -> str:
    """Groups in the notation of the table: 13 24 ... 27, 1; degrees from ten on in square brackets."""

    def digit(degree: int) -> str:
        if degree < 0:
            return f"{degree + 8},"
        return str(degree + 1) if degree < 9 else f"[{degree + 1}]"

    return " ".join("".join(digit(d) for d in g.degrees) for g in groups)


# Source: a moving cell starts on 1 to 7 rising and, mirrored, on 8 to 2 falling, and closes on 1, written out by hand;
# thirds, fourths, triads and groups of three and four in just this order are common practice in method books.
TABLE = {
    "thirds": "13 24 35 46 57 68 79 86 75 64 53 42 31 27, 1",
    "fourths": "14 25 36 47 58 69 7[10] 85 74 63 52 41 37, 26, 1",
    "fifths": "15 26 37 48 59 6[10] 7[11] 84 73 62 51 47, 36, 25, 1",
    "sixths": "16 27 38 49 5[10] 6[11] 7[12] 83 72 61 57, 46, 35, 24, 1",
    "sevenths": "17 28 39 4[10] 5[11] 6[12] 7[13] 82 71 67, 56, 45, 34, 23, 1",
    "octaves": "18 29 3[10] 4[11] 5[12] 6[13] 7[14] 81 77, 66, 55, 44, 33, 22, 1",
    "rising thirds": "13 24 35 46 57 68 79 68 57 46 35 24 13 7,2 1",
    "rising fourths": "14 25 36 47 58 69 7[10] 58 47 36 25 14 7,3 6,2 1",
    "rising fifths": "15 26 37 48 59 6[10] 7[11] 48 37 26 15 7,4 6,3 5,2 1",
    "alternating thirds": "13 42 35 64 57 86 79 86 57 64 35 42 13 27, 1",
    "alternating fourths": "14 52 36 74 58 96 7[10] 85 47 63 25 41 7,3 26, 1",
    "triads": "135 246 357 468 579 68[10] 79[11] 864 753 642 531 427, 316, 27,5, 1",
    "triads up and down": "1353 2464 3575 4686 5797 68[10]8 79[11]9 8646 7535 6424 5313 427,2 316,1 27,5,7, 1",
    "seventh chords": "1357 2468 3579 468[10] 579[11] 68[10][12] 79[11][13] "
    "8642 7531 6427, 5316, 427,5, 316,4, 27,5,3, 1",
    "groups of three": "123 234 345 456 567 678 789 876 765 654 543 432 321 217, 1",
    "groups of four": "1234 2345 3456 4567 5678 6789 789[10] 8765 7654 6543 5432 4321 3217, 217,6, 1",
    "groups of five": "12345 23456 34567 45678 56789 6789[10] 789[10][11] "
    "87654 76543 65432 54321 43217, 3217,6, 217,6,5, 1",
    "returning turns": "1231 2342 3453 4564 5675 6786 7897 8768 7657 6546 5435 4324 3213 217,2 1",
    "interlocking": "1324 2435 3546 4657 5768 6879 798[10] 8675 7564 6453 5342 4231 3127, 27,16, 1",
    "five-note patterns": "123454321 234565432 345676543 456787654 567898765 6789[10]9876 789[10][11][10]987 "
    "876545678 765434567 654323456 543212345 43217,1234 3217,6,7,123 217,6,5,6,7,12 1",
    "octave leaps": "181 292 3[10]3 4[11]4 5[12]5 6[13]6 7[14]7 818 77,7 66,6 55,5 44,4 33,3 22,2 1",
    "leaps from the tonic": "12 13 14 15 16 17 18 17 16 15 14 13 12 1",
    # Home, a half step below, a half step above, each time one further (The Instrumentalist, 2009).
    "long tones outward": "1 7, 2 6, 3 5, 4 4, 5 3, 6 2, 7 1, 8",
    "straight": "1 2 3 4 5 6 7 8 7 6 5 4 3 2 1",
    "straight with a dip": "1 2 3 4 5 6 7 8 7 6 5 4 3 2 17,1",
}


@pytest.mark.parametrize("name", sorted(TABLE))
def test_figure_degree_by_degree(name: str, names: Catalogue) -> None:
    groups = lay(names.figures.find(name), 7, OCTAVE, "up and down", everything)
    assert spoken(groups) == TABLE[name]


@pytest.mark.parametrize("figure", [f for f in FIGURES if f.interval], ids=lambda f: f.name)
def test_two_note_figures_have_twenty_nine_notes_in_an_octave(figure: Figure) -> None:
    # Source: 7 + 7 pairs and the last note: 28 sixteenths and a quarter, the two bars of the boards' layout.
    groups = lay(figure, 7, OCTAVE, "up and down", everything)
    assert [len(g.degrees) for g in groups] == [2] * 14 + [1]


@pytest.mark.parametrize(
    ("name", "inside"),
    # Source: groups that leave the octave are left out; no pair comes twice in a row at the turn, and a last group that
    # ends on home is held there, not struck again (by hand).
    [
        ("thirds", "13 24 35 46 57 68 75 64 53 42 31"),
        ("rising thirds", "13 24 35 46 57 68 57 46 35 24 13 1"),
        ("alternating thirds", "13 42 35 64 57 86 57 64 35 42 13 1"),
        ("triads", "135 246 357 468 753 642 531"),
        ("groups of four", "1234 2345 3456 4567 5678 7654 6543 5432 4321"),
        ("octaves", "18 1"),
    ],
)
def test_staying_inside_the_octave(name: str, inside: str, names: Catalogue) -> None:
    groups = lay(names.figures.find(name), 7, OCTAVE, "up and down", everything, inside=True)
    assert spoken(groups) == inside


@pytest.mark.parametrize(
    ("name", "lowest", "line"),
    # Source: what was climbed comes down, a group shared at the turn; a last group that ends on home is held; by hand.
    # An instrument whose lowest note is home, and one that has the note below it.
    [
        ("octaves", 0, "18 29 3[10] 4[11] 5[12] 6[13] 7[14] [13]6 [12]5 [11]4 [10]3 92 81"),
        ("octaves", -1, "18 29 3[10] 4[11] 5[12] 6[13] 7[14] [13]6 [12]5 [11]4 [10]3 92 81"),
        ("fourths", 0, "14 25 36 47 58 69 7[10] 96 85 74 63 52 41"),
        ("fourths", -1, "14 25 36 47 58 69 7[10] 85 74 63 52 41 37, 1"),
        ("rising fifths", 0, "15 26 37 48 59 6[10] 7[11] 6[10] 59 48 37 26 15 1"),
        ("thirds", 0, "13 24 35 46 57 68 79 86 75 64 53 42 31"),
    ],
)
def test_what_was_climbed_comes_down(name: str, lowest: int, line: str, names: Catalogue) -> None:
    groups = lay(names.figures.find(name), 7, OCTAVE, "up and down", lambda degree, _: degree >= lowest)
    assert spoken(groups) == line


def test_full_range_takes_the_groups_below_the_tonic_where_none_fits_above() -> None:
    # Source: sevenths from the second degree below home to the fifth above it, all that is in range (by hand).
    (sevenths,) = [f for f in FIGURES if f.name == "sevenths"]
    groups = lay(sevenths, 7, Extent(0, 4, -3), "up and down", lambda degree, _: -3 <= degree <= 4)
    assert [g.degrees for g in groups] == [(0,), (-3, 3), (-2, 4), (3, -3), (0,)]


@pytest.mark.parametrize(
    ("direction", "line"),
    [
        ("up", "13 24 35 46 57 68 79 8"),
        ("down", "86 75 64 53 42 31 27, 1"),
        ("up and down", TABLE["thirds"]),
        ("down first", "86 75 64 53 42 31 27, 13 24 35 46 57 68 79 8"),
    ],
)
def test_directions(direction: Direction, line: str, names: Catalogue) -> None:
    # Source: the table above, its halves by themselves.
    assert spoken(lay(names.figures.find("thirds"), 7, OCTAVE, direction, everything)) == line


@pytest.mark.parametrize(
    ("figure", "size", "line"),
    [
        # Source: on a six-note scale the octave is the seventh degree; thirds of the whole-tone scale are major thirds.
        ("thirds", 6, "13 24 35 46 57 68 75 64 53 42 31 2_ 1"),
        # Groups of three on a chord of three are its inversions: C E G, E G C, G C E.
        ("groups of three", 3, "123 234 345 432 321 21_ 1"),
        # Octaves on a four-note chord: each note with its own octave.
        ("octaves", 4, "15 26 37 48 51 4_ 3_ 2_ 1"),
    ],
)
def test_figures_on_smaller_forms(figure: str, size: int, line: str, names: Catalogue) -> None:
    groups = lay(names.figures.find(figure), size, Extent(0, size), "up and down", everything)
    shown = " ".join("".join(str(d + 1) if d >= 0 else "_" for d in g.degrees) for g in groups)
    assert shown == line


@pytest.mark.parametrize(
    ("name", "size"),
    [("sevenths", 6), ("thirds", 2), ("sixths", 5), ("fourths", 3), ("alternating fifths", 4)],
)
def test_an_interval_as_wide_as_the_octave_is_refused(name: str, size: int, names: Catalogue) -> None:
    with pytest.raises(DoesNotFitError, match=f"need more than {size} notes"):
        lay(names.figures.find(name), size, Extent(0, size), "up and down", everything)


@st.composite
def settings_of_lines(draw: st.DrawFn) -> tuple[Figure, int, Extent, int, int, Direction, bool]:
    size = draw(st.sampled_from([3, 4, 5, 6, 7, 8, 12]))
    low = draw(st.integers(-2 * size, 0))
    high = draw(st.integers(1, 4 * size))
    figure = draw(st.sampled_from(FIGURES))
    direction: Direction = draw(st.sampled_from(["up and down", "up", "down", "down first"]))
    full = draw(st.booleans())
    extent = Extent(0, high, low) if full else Extent(0, draw(st.integers(1, high)))
    return figure, size, extent, low, high, direction, draw(st.booleans())


@given(settings_of_lines())
def test_every_line_is_whole_in_range_and_never_repeats_a_group_at_a_turn(
    setting: tuple[Figure, int, Extent, int, int, Direction, bool],
) -> None:
    figure, size, extent, low, high, direction, inside = setting
    try:
        groups = lay(
            figure, size, extent, direction, lambda degree, _way: low <= degree <= high, inside=inside
        )
    except DoesNotFitError:
        return
    for group in groups[:-1]:
        assert all(low <= d <= high for d in group.degrees)
        if figure.kind == "moving":
            shape = tuple(d - group.degrees[0] for d in group.degrees)
            cells = figure.sized(size)[0 if group.way == "up" else 1]
            assert shape in {tuple(o - cell[0] for o in cell) for cell in cells}
        elif figure.kind == "pedal":
            assert group.degrees[0] == 0
        if inside and extent.floor is None and figure.kind != "outward":
            assert all(0 <= d <= extent.top for d in group.degrees)
    for before, after in itertools.pairwise(groups):
        assert before.degrees != after.degrees
        assert len(after.degrees) == 1 or set(before.degrees) != set(after.degrees)
    if figure.kind == "moving":
        to_the_top = direction == "up" or (direction == "down first" and extent.floor is None)
        assert groups[-1].degrees[-1] == (extent.top if to_the_top else extent.home)


@given(st.integers(1, 30), st.integers(0, 12), st.sampled_from([5, 6, 7, 8, 12]))
def test_straight_lines_play_every_degree_and_the_top_once(top: int, below: int, size: int) -> None:
    straight = next(f for f in FIGURES if f.name == "straight")
    plain = [d for g in lay(straight, size, Extent(0, top), "up and down", everything) for d in g.degrees]
    assert plain == [*range(top), *range(top, -1, -1)]
    full = [
        d
        for g in lay(straight, size, Extent(0, top, -below), "up and down", lambda d, _w: -below <= d <= top)
        for d in g.degrees
    ]
    assert full == [*range(top), *range(top, -below, -1), *range(-below, 1)][: len(full)]
    assert full.count(top) == 1
    assert full[-1] == 0
    assert set(full) == set(range(-below, top + 1))
