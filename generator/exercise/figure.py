"""Figures: the order in which the degrees of a line are played.

Most figures are a cell of degree offsets that moves step by step; how it is laid along a line: `laying`.
"""

import re
from dataclasses import dataclass
from typing import Literal

from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation
from generator.exercise.rhythm import Rhythm
from generator.exercise.span import Span
from generator.theory.form import Form

BROKEN = ("major arpeggio", "minor arpeggio")
"""Arpeggios whose name a broken chord takes over: "C major broken chord"."""
Direction = Literal["up and down", "up", "down", "down first"]
OCTAVE_SIGN = "8ve"
_OCTAVES = re.compile(rf"(-?){OCTAVE_SIGN}([+-]\d+)?")


@dataclass(frozen=True, slots=True)
class Figure:
    """A row of shared/figures.toml.

    Attributes:
        name: the trade's name ("thirds").
        cells: rising cells of offsets, used by turns; ``8ve`` stands for the size of the form, ``8ve+2`` for two more.
        down_cells: falling cells; empty means the rising ones mirrored.
        kind: ``moving`` cells; ``pedal``: each degree against the home note; ``held``: the home note alone;
            ``outward``: by turns below and above the home note; ``blocks``: each cell from home, up and back;
            ``chords``: each cell is a chord of several voices, of which one player has one.
        step: degrees between the starts of two groups.
        peak: the falling half starts on the highest note reached and dips to the note below home.
        close: degrees, from home, that end the line.
        drone: a concert note is named to play against.
        chord: it is played on the arpeggio of a scale, and is named in its place: "C major broken chord".
        interval: the cell is one interval, which must be smaller than the form's octave.
        rhythm: the rhythm it is printed in when none is asked for.
        articulation: the articulation likewise.
        span: the span likewise, where another than the full range.
        form: the form likewise.
        heading: how a heading adds it after the form, with ``{figure}`` for its name; one with ``{key}`` says it all.
        said: how a phrase adds it after the form.
        apart: several enter one after the other: notes of a canon, or quarters of a chord, between two entrances.
        catalogue: its number, by which the rotation breaks ties; never reused or changed.
        listed: under which heading it stands in a list.
    """

    name: str
    cells: tuple[tuple[int | str, ...], ...] = ((0,),)
    down_cells: tuple[tuple[int | str, ...], ...] = ()
    kind: Literal["moving", "pedal", "outward", "held", "blocks", "chords"] = "moving"
    step: int = 1
    peak: bool = False
    close: tuple[int, ...] = (0,)
    drone: bool = False
    chord: bool = False
    interval: bool = False
    rhythm: Rhythm | None = None
    articulation: Articulation | None = None
    span: Span | None = None
    form: Form | None = None
    apart: int = 0
    heading: str = "in {figure}"
    said: str = " in {figure}"
    aliases: tuple[str, ...] = ()
    catalogue: int = 0
    listed: str = ""

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)

    def sized(self, size: int) -> tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, ...], ...]]:
        """Rising and falling cells as numbers for a form of ``size`` notes.

        Raises:
            DoesNotFitError: the interval is no smaller than the form's octave.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> figures = shared_catalogue().figures
        >>> figures.find("thirds").sized(7)
        (((0, 2),), ((0, -2),))
        >>> figures.find("octave leaps").sized(6)  # in a whole-tone scale
        (((0, 6, 0),), ((0, -6, 0),))
        """
        up = tuple(tuple(_steps(o, size) for o in cell) for cell in self.cells)
        widest = max(abs(o) for cell in up for o in cell)
        octaves = any(isinstance(o, str) for cell in self.cells for o in cell)
        if self.interval and widest >= size and not octaves:
            raise DoesNotFitError(
                f"{self.name} need more than {size} notes to the octave; "
                f"for this form ask for a smaller interval or for octaves"
            )
        if not self.down_cells:
            return up, tuple(tuple(-o for o in cell) for cell in up)
        return up, tuple(tuple(_steps(o, size) for o in cell) for cell in self.down_cells)


def is_octave(text: str) -> bool:
    """Whether an offset of a cell counts from the octave: ``8ve``, ``-8ve``, ``8ve+2``.

    >>> is_octave("8ve+2"), is_octave("2")
    (True, False)
    """
    return _OCTAVES.fullmatch(text) is not None


def _steps(offset: int | str, size: int) -> int:
    """An offset in degrees of a form that has so many notes to the octave."""
    if isinstance(offset, int):
        return offset
    sign, more = _OCTAVES.fullmatch(offset).groups()  # type: ignore[union-attr]
    return (-size if sign else size) + int(more or 0)
