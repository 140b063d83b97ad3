"""Score sheets, and what the marks mean."""

import pytest

from generator.pages.rubric import (
    DRUM_ROWS,
    ROWS,
    Column,
    RubricRow,
    ScoreLine,
    ScoreTable,
    rubric,
    score_sheets,
    secret_list,
    wide,
)

SCALES = (
    Column(1, "Concert F major", 4),
    Column(2, "Concert F major arpeggio", 1),
    Column(4, "Concert C major", 2),
)
MARKED = tuple(Column(0, row.name, row.best, row) for row in ROWS)


def table(count: int, scales: tuple[Column, ...] = SCALES) -> ScoreTable:
    columns = (*scales, *MARKED)
    most = tuple(column.best for column in columns)
    return ScoreTable(columns, tuple(ScoreLine(f"P{n}", "1st Flute", "Flute", most) for n in range(count)))


def test_the_totals_of_the_sheets_add_up() -> None:
    made = table(3)
    assert made.total == 7 + 4 * len(ROWS) == 23
    (block,) = score_sheets([made], "Test", "", numbered=False).blocks
    head, *body = block.rows
    # The number in brackets at each column but the last adds up to the last.
    most = [int(cell[cell.index("(") + 1 : -1]) for cell in head if "(" in cell]
    assert sum(most[:-1]) == most[-1] == 23
    assert [cell[0] for cell in head[2:5]] == ["1", "2", "4"]
    assert {len(row) for row in block.rows} == {len(block.widths)}
    points = next(b for b in rubric([made], [], "Test", "", ["As agreed."]).blocks if b.heading == "Points")
    assert sum(int(row[-1]) for row in points.rows[1:]) == 7
    assert points.text == "As agreed."
    assert len(body) == 3


@pytest.mark.parametrize("count", [1, 31, 32, 60, 131])
def test_there_are_as_many_lines_as_candidates(count: int) -> None:
    page = score_sheets([table(count)], "Test", "", numbered=False)
    names = [row[0] for block in page.blocks for row in block.rows[1:]]
    assert names == [f"P{n}" for n in range(count)]
    assert len({block.rows[0] for block in page.blocks}) == 1


def test_own_points_stand_in_the_cell_and_what_is_not_asked_is_struck() -> None:
    made = table(1)
    own = ScoreLine("Ada", "3rd Clarinet", "Clarinet", (2, None, 2, 4, 4, 4, 4))
    (block,) = score_sheets([ScoreTable(made.columns, (*made.lines, own))], "Test", "", numbered=False).blocks
    assert block.rows[2] == ("Ada", "3rd Clarinet", "/2", "–", "", "", "", "", "", "/20")
    assert block.rows[1][2:] == ("",) * 8
    assert "per cent" in block.text


def test_very_many_scales_share_a_column_with_their_sum() -> None:
    scales = tuple(Column(n, f"Scale {n}", 3) for n in range(1, 21))
    (block,) = score_sheets([table(2, scales)], "Test", "", numbered=False).blocks
    assert block.rows[0][2] == "Scales 1 to 20 (60)"
    assert block.rows[0][-1] == f"Total ({60 + 16})"
    assert wide([table(1, scales[:7])])
    assert not wide([table(1, scales[:6])])


def test_marks_are_told_by_counts_of_slips_without_a_gap() -> None:
    # Published rubrics count none, one or two, three or four, more than four (see generator/pages/rubric.py).
    levels = rubric([table(1)], [], "Test", "", []).blocks[0]
    assert [row[0] for row in levels.rows[1:]] == ["Pitches", "Pulse", "Tone", "Articulation"]
    assert levels.rows[0][2:] == ("4", "3", "2", "1")
    assert levels.rows[1][2:] == ("no slip", "1 or 2 slips", "3 or 4 slips", "more than 4 slips")


def test_rows_with_marks_of_their_own_stand_in_a_table_of_their_own() -> None:
    own = RubricRow("Posture", "a hint was needed", ("none", "one", "more"), (2, 1, 0))
    columns = (*MARKED, Column(0, "Posture", 2, own))
    blocks = rubric([ScoreTable(columns, ())], [], "Test", "", []).blocks
    assert blocks[1].rows == (
        ("", "A slip is", "2", "1", "0"),
        ("Posture", "a hint was needed", "none", "one", "more"),
    )


def test_drums_are_not_marked_for_pitches_or_tone() -> None:
    assert not {"Pitches", "Tone", "Articulation"} & {row.name for row in DRUM_ROWS}


def test_the_list_of_numbers_says_to_be_kept_apart() -> None:
    page = secret_list([("1", "Ada", "1st Flute", "Flute")], "Test", "Dealt with --seed 3.")
    assert page.words.subtitle == "Keep this page apart"
    assert page.blocks[0].rows[1] == ("1", "Ada", "1st Flute", "Flute")
