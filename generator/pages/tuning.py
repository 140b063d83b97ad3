"""A tuning page laid out: the notes in lines, and under each line rows to read and to write in. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generator.exercise.build import Player
from generator.exercise.tuning import Reading, clef_of, drone_of, fingering_row, tuning_notes
from generator.pages.paper import Paper
from generator.pages.sheet import Words
from generator.theory.pitch import Pitch

PAIRS = 2  # fingerings a note has room for
_CELL, _BEFORE = 7.6, 19.0  # staff spaces: a note with a line to write on; names of the rows and the clef
HOW = (
    "Hold each note against a drone on the concert note beneath it until it is steady, then look at a tuner: "
    "write how many cents sharp (+) or flat (-) it was, and with what."
)
_NOTE_IT = 'note it with: scalewright tuning "G4 +12" "G4 -5 other fingering"'


@dataclass(frozen=True, slots=True)
class TuningRow:
    """A row under the notes.

    Attributes:
        label: at the left.
        cells: under each note; "" for nothing.
        blank: where there is nothing, a line to write on.
    """

    label: str
    cells: tuple[str, ...]
    blank: bool = False


@dataclass(frozen=True, slots=True)
class TuningLayout:
    """Everything the page template needs.

    Attributes:
        words: title and the like.
        paper: page and staff size.
        notes: in order.
        clefs: of each note.
        rows: under the notes, from the top.
        per_line: notes on each line.
    """

    words: Words
    paper: Paper
    notes: tuple[Pitch, ...]
    clefs: tuple[str, ...]
    rows: tuple[TuningRow, ...]
    per_line: int


def lay_out_tuning(
    player: Player, readings: Mapping[int, Sequence[Reading]], words: Words, paper: Paper
) -> TuningLayout:
    """Lay the page out.

    Args:
        player: whose notes.
        readings: what was noted last time, by the height of the written note.
        words: title and the like.
        paper: paper and print size.
    """
    notes = tuning_notes(player)
    most = max(2, int((paper.line - _BEFORE) / _CELL))
    lines = -(-len(notes) // most)
    rows = [TuningRow("drone", tuple(drone_of(note, player).words for note in notes))]
    for pair in range(PAIRS):
        known = [_nth(readings.get(note.height, ()), pair) for note in notes]
        name = fingering_row(player)
        rows.append(TuningRow(name, tuple(one.fingering if one else "" for one in known), blank=True))
        if any(known):
            rows.append(TuningRow("last time", tuple(one.words if one else "" for one in known)))
        rows.append(TuningRow("cents", ("",) * len(notes), blank=True))
    return TuningLayout(words, paper, notes, clef_of(notes, player), tuple(rows), -(-len(notes) // lines))


def _nth(readings: Sequence[Reading], place: int) -> Reading | None:
    return readings[place] if place < len(readings) else None


def tuning_words(player: Player, whose: str, date: str, caution: str) -> Words:
    """The words round the notes."""
    return Words(
        title="Tuning page",
        instrument=player.instrument.label,
        subtitle=whose,
        date=date,
        remark=f"{HOW} {caution}".strip(),
        footer=_NOTE_IT,
    )
