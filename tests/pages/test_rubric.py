"""Playing tests: octave points, marks and totals."""

from collections.abc import Callable

import pytest

from generator.pages.rubric import NAMES, ROWS, MarkedScale, best_total, rubric, score_sheet
from generator.section.rehearsal import Rehearsal


# Georgia Music Educators Association, all-state audition form, middle school: one point for each octave up, one for
# each octave down, one for the arpeggio, so that a scale gives 3, 5 or 7 points over one, two or three octaves.
@pytest.mark.parametrize(("span", "names", "total"), [
    ("one octave", "clarinet, flute", 3), ("two octaves", "clarinet, flute", 5), ("three octaves", "flute", 7),
])  # fmt: skip
def test_octave_points_as_the_georgia_form_gives_them(
    pages: Callable[..., Rehearsal], span: str, names: str, total: int
) -> None:
    level = "extended"
    rehearsal = pages(names, f"concert C major, {span}", f"concert C major arpeggio, {span}", level=level)
    assert [e.span for e in rehearsal.parts[0].exercises] == [span, span]
    assert sum(turn.points for turn in rehearsal.turns) == total


def test_only_complete_octaves_and_played_halves_count(pages: Callable[..., Rehearsal]) -> None:
    def points(phrase: str) -> int:
        return pages("flute, clarinet", phrase).turns[0].points

    assert points("concert C major, a twelfth") == 2
    assert points("concert C major, a fifth") == 0
    assert points("concert C major, two octaves, up") == 2


def test_the_totals_of_the_sheets_add_up() -> None:
    scales = [
        MarkedScale(1, "Concert F major", 4),
        MarkedScale(2, "Concert F major arpeggio", 1),
        MarkedScale(4, "Concert C major", 2),
    ]
    assert best_total([s.points for s in scales]) == 7 + 4 * len(ROWS) == 23
    table = score_sheet(scales, "Test", "").blocks[0]
    head, *body = table.rows
    # The number in brackets after each column but the last adds up to the last.
    most = [int(cell[cell.index("(") + 1 : -1]) for cell in head if "(" in cell]
    assert sum(most[:-1]) == most[-1] == 23
    assert [cell[0] for cell in head[2:5]] == ["1", "2", "4"]
    assert len(body) == NAMES == 40
    assert [row[0] for row in body] == [str(n) for n in range(1, 41)]
    assert {len(row) for row in table.rows} == {len(table.widths)}
    points = rubric(scales, "Test", "").blocks[1]
    assert points.rows[-1][-1] == "23"
    assert sum(int(row[-1]) for row in points.rows[1:-1]) == 7


def test_many_scales_share_a_column_with_their_sum() -> None:
    scales = [MarkedScale(n, f"Scale {n}", 3) for n in range(1, 8)]
    head = score_sheet(scales, "Test", "").blocks[0].rows[0]
    assert "Scales (21)" in head
    assert head[-1] == f"Total ({21 + 16})"


def test_marks_are_told_by_counts_of_slips_without_a_gap() -> None:
    # Published rubrics count none, one or two, three or four, more than four (see generator/pages/rubric.py).
    levels = rubric([MarkedScale(1, "C", 2)], "Test", "").blocks[0]
    assert [row[0] for row in levels.rows[1:]] == ["Pitches", "Pulse", "Tone", "Articulation"]
    assert levels.rows[0][2:] == ("4", "3", "2", "1")
    assert levels.rows[1][2:] == ("no slip", "1 or 2 slips", "3 or 4 slips", "more than 4 slips")
