"""Pages for a playing test: one score sheet for a class, and what the marks mean.

Rows of the rubric (pitches, pulse, tone, articulation) and levels told by counts of slips recur in published rubrics:
none, one or two, three or four, more. Octave points follow the Georgia Music Educators Association.
"""

from collections.abc import Sequence

from generator.pages.sheet import Words
from generator.pages.tables import Block, TablePage

ROWS = ("Pitches", "Pulse", "Tone", "Articulation")
BEST = 4
NAMES = 40
# More scales than this share one column.
_MOST_COLUMNS = 6
_COUNTS = ("no slip", "1 or 2 slips", "3 or 4 slips", "more than 4 slips")
_SLIPS = {
    "Pitches": "a wrong note, or the wrong accidental",
    "Pulse": "a stop, a hurried or dragged beat, a wrong note value",
    "Tone": "a note that cracks, chokes or is clearly out of tune",
    "Articulation": "a note not tongued or slurred as printed",
}


def best_total(points: Sequence[int]) -> int:
    """The highest total: octave points of each scale and the rubric's rows.

    >>> best_total([3, 5])
    24
    """
    return sum(points) + BEST * len(ROWS)


def score_sheet(headings: Sequence[str], points: Sequence[int], title: str, footer: str) -> TablePage:
    """One sheet for a class: a line for each candidate, a column for each scale and each row of the rubric.

    Args:
        headings: of the scales.
        points: the octave points of each.
        title: of the test.
        footer: at the foot of the page.
    """
    scales = [f"{n} ({p})" for n, p in enumerate(points, 1)]
    if len(scales) > _MOST_COLUMNS:
        scales = [f"Scales ({sum(points)})"]
    rows = [f"{name} ({BEST})" for name in ROWS]
    head = ("No.", "Name", *scales, *rows, f"Total ({best_total(points)})")
    blank = ("",) * (len(head) - 1)
    body = tuple((str(n), *blank) for n in range(1, NAMES + 1))
    listed = "; ".join(
        f"{n} {heading} ({p})" for n, (heading, p) in enumerate(zip(headings, points, strict=True), 1)
    )
    table = Block(
        text=f"Octave points: {listed}. Marks are explained on the other sheet.",
        widths=(4, 22, *(7,) * len(scales), *(9,) * len(rows), 8),
        rows=(head, *body),
    )
    return TablePage("score-sheet", Words(title, "Score sheet", footer=footer), (table,), "Judge 26|Date 14")


def rubric(headings: Sequence[str], points: Sequence[int], title: str, footer: str) -> TablePage:
    """What the marks mean, to lie beside the score sheet.

    Args:
        headings: of the scales.
        points: the octave points of each.
        title: of the test.
        footer: at the foot of the page.
    """
    marks = tuple(str(BEST - n) for n in range(BEST))
    levels = Block(
        heading="Marks",
        text="Count slips over the whole test, and give one mark for each row.",
        widths=(14, 34, *(13,) * BEST),
        rows=(("", "A slip is", *marks), *((name, _SLIPS[name], *_COUNTS) for name in ROWS)),
        least=4,
    )
    scales = Block(
        heading="Octave points",
        text="One point for each complete octave up without a stop, one for each down, one for an arpeggio. "
        "A scale with its arpeggio gives 3 over one octave, 5 over two, 7 over three.",
        widths=(6, 60, 12),
        rows=(
            ("No.", "Scale", "Points"),
            *((str(n), h, str(p)) for n, (h, p) in enumerate(zip(headings, points, strict=True), 1)),
            ("", "Octave points and marks together", str(best_total(points))),
        ),
    )
    fair = Block(
        heading="The same for everyone",
        text="Call candidates by number. Read the same words to each: when to begin, from memory or not, how fast. "
        "Scales are named as the candidate reads them; the printed key is the written one.",
    )
    return TablePage("rubric", Words(title, "What the marks mean", footer=footer), (levels, scales, fair))
