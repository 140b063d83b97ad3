"""Articulations: repeating cells of slurs, tongue strokes and marks.

A cell has one sign group for each note, separated by spaces: ``(`` a slur begins, ``)`` it ends, ``_`` inside a slur,
``.`` tongued plainly; marks follow: ``'`` staccato, ``-`` tenuto, ``>`` accent, ``^`` marcato, ``*`` flam.
So ``( ) .' .'`` is slur two, tongue two. A lead, played once before the cell, shifts it against the beat. Syllables
cycle with the notes.

How a line is dressed in them: `articulate`.
"""

import re
from dataclasses import dataclass
from typing import Literal

from generator.errors import RequestError
from generator.exercise.instrument import UNPITCHED
from generator.exercise.records import Slur
from generator.exercise.rhythm import Rhythm

Half = Literal["up", "down"]
TONGUED = frozenset({"flute", "reed", "brass"})
"""How an instrument is sounded whose player tongues."""
UNSLURRED = frozenset({"mallet", "harp", UNPITCHED})
"""How an instrument is sounded that has no slur over a few notes: each is struck or plucked for itself."""
STICKS = frozenset("RL")
"""Letters of the hands."""
UNSAID = ""
"""In place of how an instrument is sounded: a page that says nothing of strokes, such as a bass drum's."""
SEVERAL = "several"
"""In place of how one instrument is sounded: a page for instruments that are sounded differently."""
_SIGN = re.compile(r"([(._)]|\)\()(['>^*-]*)")
_LIKE = {"harp": "plucked"}
_MARKS = {"'": "staccato", "-": "tenuto", ">": "accent", "^": "marcato", "*": "flam"}


@dataclass(frozen=True, slots=True)
class Stroke:
    """What one note of a cell does."""

    slur: Slur | None = None
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rudiment:
    """What a drum plays in place of slurs.

    Attributes:
        name: what a page says: the rudiment by its standard name, or where the accents fall; "" for nothing.
        cell: strokes, repeating.
        lead: strokes before the first cell.
        hands: letters of the hands, repeating; empty for hand to hand.
        by_beat: "accent" for an accent on each beat.
    """

    name: str
    cell: tuple[Stroke, ...]
    lead: tuple[Stroke, ...] = ()
    hands: tuple[str, ...] = ()
    by_beat: str = ""


@dataclass(frozen=True, slots=True)
class Articulation:
    """A row of shared/articulations.toml.

    Attributes:
        name: the trade's name ("slur two tongue two").
        cell: strokes, repeating.
        lead: strokes before the first cell.
        whole: one slur over each half of the line, sharing the top note.
        repeats: equal notes on each note of the line (repeated-note tonguing).
        syllables: tonguing syllables or letters of hands and fingers, repeating.
        runs: they go on from beat to beat; else they begin anew on each.
        placed: each stands where it would if all notes were equal, as the strokes of a rudiment do.
        ways: of the bow or plectrum, in turn: down, up; shown over the first strokes.
        swell: a crescendo (``<``) or diminuendo (``>``) over the rising and the falling half.
        by_beat: ``slur`` over each beat, or ``accent`` on each beat.
        bar: every note is repeated until it fills a bar (pulses on a long note).
        each: dynamics over each note: ``p < f > p`` swells.
        close: marks on every note after which the player breathes or waits: breath, fermata.
        group: the cell needs beats that divide by this many notes; 0 any.
        shifts: the cell is meant to move against the beat.
        rhythm: the rhythm it is printed in when none is asked for.
        winds: how the instrument must be sounded; empty for all.
        said: what a page says in place of the name, by how the instrument is sounded; see `words_for`.
        drum: what drums make of it, which have no slur: strokes, hands in turn, and the rudiment's name.
        catalogue: its number among the articulations; never reused or changed.
        listed: under which heading it stands in a list.
    """

    name: str
    cell: tuple[Stroke, ...] = (Stroke(),)
    lead: tuple[Stroke, ...] = ()
    whole: bool = False
    repeats: int = 1
    syllables: tuple[str, ...] = ()
    runs: bool = False
    placed: bool = False
    ways: tuple[str, ...] = ()
    swell: tuple[str, ...] = ()
    by_beat: str = ""
    bar: bool = False
    each: tuple[str, ...] = ()
    close: tuple[str, ...] = ()
    group: int = 0
    shifts: bool = False
    rhythm: Rhythm | None = None
    winds: tuple[str, ...] = ()
    said: tuple[tuple[str, str], ...] = ()
    drum: "Rudiment | None" = None
    aliases: tuple[str, ...] = ()
    catalogue: int = 0
    listed: str = ""

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)

    @property
    def uneven(self) -> bool:
        """Whether its strokes do not come from a cell that repeats."""
        return self.whole or bool(self.by_beat)

    def words_for(self, wind: str) -> str:
        """What a page says, so that nobody is told to do what their instrument has no word for; "" for nothing.

        Args:
            wind: how the reader's instrument is sounded, or `SEVERAL` for a page that several read.

        >>> row = Articulation("all tongued", said=(("string", "separate bows"), ("unpitched", "")))
        >>> row.words_for("reed"), row.words_for("string"), row.words_for("unpitched")
        ('all tongued', 'separate bows', '')
        """
        if wind == UNSAID:
            return ""
        if wind == UNPITCHED and self.drum:
            return self.drum.name
        if wind in UNSLURRED and self.slurs:
            return ""
        said = dict(self.said)
        return said.get(wind, said.get(_LIKE.get(wind, ""), self.name))

    @property
    def slurs(self) -> bool:
        """Whether it joins notes.

        >>> Articulation("slurred pairs", parse_strokes("( )")).slurs, Articulation("staccato").slurs
        (True, False)
        """
        return self.whole or self.by_beat == "slur" or any(one.slur for one in (*self.lead, *self.cell))

    def played_on(self, wind: str) -> "Articulation":
        """The row, or a plain one with as many notes where the instrument has no slur.

        >>> pairs = Articulation("slurred pairs", parse_strokes("( )"))
        >>> pairs.played_on("mallet").slurs, pairs.played_on("string").slurs
        (False, True)
        """
        if wind == UNPITCHED and self.drum:
            drum = self.drum
            return Articulation(
                "", drum.cell, drum.lead, repeats=self.repeats, syllables=drum.hands, runs=True,
                placed=True, by_beat=drum.by_beat, shifts=self.shifts,
            )  # fmt: skip
        if wind in UNSLURRED and self.slurs:
            return Articulation("", repeats=self.repeats, bar=self.bar)
        return self


def parse_strokes(text: str) -> tuple[Stroke, ...]:
    """Read a cell.

    Raises:
        RequestError: the cell cannot be read.

    >>> [s.slur for s in parse_strokes("( ) . .")]
    ['start', 'stop', None, None]
    """
    slurs: dict[str, Slur | None] = {"(": "start", ")": "stop", "_": "inside", ".": None, ")(": "stop start"}
    strokes: list[Stroke] = []
    for word in text.split():
        match = _SIGN.fullmatch(word)
        if match is None:
            raise RequestError(
                f"{word!r} in the articulation cell {text!r} is unknown; write ( ) _ . with ' - > ^"
            )
        strokes.append(Stroke(slurs[match[1]], tuple(_MARKS[m] for m in match[2])))
    return tuple(strokes)
