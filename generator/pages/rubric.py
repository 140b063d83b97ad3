"""Pages for a playing test: one score sheet for a class, and what the marks mean.

Rows of the rubric (pitches, pulse, tone, articulation) and levels told by counts of slips recur in published rubrics:
none, one or two, three or four, more. Octave points follow the Georgia Music Educators Association.
"""

from collections.abc import Sequence
from dataclasses import dataclass

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
    "Articulation": "a slur, a mark or the start of a note not as printed",
}


def best_total(points: Sequence[int]) -> int:
    """The highest total: octave points of each scale and the rubric's rows.

    >>> best_total([3, 5])
    24
    """
    return sum(points) + BEST * len(ROWS)


@dataclass(frozen=True, slots=True)
class MarkedScale:
    """One scale of a test.

    Attributes:
        number: as on the candidates' sheets.
        heading: in concert terms.
        points: octave points it can give.
    """

    number: int
    heading: str
    points: int


def score_sheet(scales: Sequence[MarkedScale], title: str, footer: str) -> TablePage:
    """One sheet for a class: a line for each candidate, a column for each scale and each row of the rubric.

    Args:
        scales: in order.
        title: of the test.
        footer: at the foot of the page.
    """
    points = [scale.points for scale in scales]
    columns = [f"{scale.number} ({scale.points})" for scale in scales]
    if len(columns) > _MOST_COLUMNS:
        columns = [f"Scales ({sum(points)})"]
    rows = [f"{name} ({BEST})" for name in ROWS]
    head = ("No.", "Name, filled in later", *columns, *rows, f"Total ({best_total(points)})")
    blank = ("",) * (len(head) - 1)
    body = tuple((str(n), *blank) for n in range(1, NAMES + 1))
    listed = "; ".join(f"{scale.number}: {scale.heading} ({scale.points})" for scale in scales)
    table = Block(
        text=f"Octave points: {listed}.",
        widths=(4, 24, *(7,) * len(columns), *(9, 8, 8, 12), 9),
        rows=(head, *body),
        least=3.4,
    )
    return TablePage("score-sheet", Words(title, "Score sheet", footer=footer), (table,), "Judge 26|Date 14")


def rubric(scales: Sequence[MarkedScale], title: str, footer: str) -> TablePage:
    """What the marks mean, to lie beside the score sheet.

    Args:
        scales: in order.
        title: of the test.
        footer: at the foot of the page.
    """
    marks = tuple(str(BEST - n) for n in range(BEST))
    levels = Block(
        heading="Marks",
        text="Count slips over the whole test, and give one mark for each row.",
        widths=(13, 33, 9, 12, 12, 18),
        rows=(("", "A slip is", *marks), *((name, _SLIPS[name], *_COUNTS) for name in ROWS)),
        least=4.0,
    )
    total = best_total([scale.points for scale in scales])
    points = Block(
        heading="Octave points",
        text="One point for each complete octave up without a stop, one for each down, one for an arpeggio. "
        "A scale with its arpeggio gives 3 over one octave, 5 over two, 7 over three.",
        widths=(6, 60, 12),
        rows=(
            ("No.", "Scale", "Points"),
            *((str(scale.number), scale.heading, str(scale.points)) for scale in scales),
            ("", "Octave points and marks together", str(total)),
        ),
    )
    fair = Block(
        heading="The same for everyone",
        text="Call candidates by number. Read the same words to each: when to begin, from memory or not, how fast. "
        "Name scales as the candidate reads them: the printed key is the written one.",
    )
    return TablePage("rubric", Words(title, "What the marks mean", footer=footer), (levels, points, fair))
