"""Articulations: repeating cells of slurs, tongue strokes and marks.

A cell has one sign group for each note, separated by spaces: ``(`` a slur begins, ``)`` it ends, ``_`` inside a slur,
``.`` tongued plainly; marks follow: ``'`` staccato, ``-`` tenuto, ``>`` accent, ``^`` marcato, ``*`` flam.
So ``( ) .' .'`` is slur two, tongue two. A lead, played once before the cell, shifts it against the beat. Syllables
cycle with the notes.

Rules that hold for every row: a slur never covers a rest or two notes of the same pitch in a row (it ends and the
next note is tongued); a slur cut short by the end of the line ends on the last note; the last note carries no dot.
"""

import re
from dataclasses import dataclass, replace
from typing import Literal

from generator.errors import RequestError
from generator.exercise.instrument import UNPITCHED
from generator.exercise.records import Note, Slur
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


@dataclass(frozen=True, slots=True)
class Sung:
    """One note of the line before articulation: its written pieces, and where it stands.

    Attributes:
        pieces: tied notes, perhaps a rest before them.
        half: rising or falling half of the line.
        turn: it is the shared note between two halves.
        on_beat: it begins a beat.
        slot: its place among the equal notes of its rhythm (a held note takes several), or among the notes of the line.
    """

    pieces: tuple[Note, ...]
    half: Half
    turn: bool = False
    on_beat: bool = False
    slot: int = 0


def articulate(
    line: tuple[Sung, ...], up: Articulation, down: Articulation, per_beat: int = 0
) -> tuple[tuple[Note, ...], ...]:
    """Dress a line.

    Args:
        line: the notes in order.
        up: articulation of the rising half.
        down: of the falling half; the same for one articulation throughout.
        per_beat: equal notes on each beat, 0 when they are not equal.

    Returns:
        For each note its written pieces, with slurs, marks and syllables.

    >>> from generator.theory.duration import Value
    >>> from generator.theory.pitch import Pitch
    >>> line = tuple(
    ...     Sung((Note(Pitch.parse(name), Value(8)),), "up", slot=slot)
    ...     for slot, name in enumerate("C4 D4 E4 F4".split())
    ... )
    >>> row = Articulation("slur two tongue two", parse_strokes("( ) .' .'"))
    >>> [(note.pitch.name, note.slur, *note.marks) for (note,) in articulate(line, row, row)]
    [('C4', 'start'), ('D4', 'stop'), ('E4', None, 'staccato'), ('F4', None)]
    """
    strokes = _strokes(line, up, down, per_beat)
    strokes = _mended(line, strokes)
    strokes = _signed(line, strokes, up, down)
    words = _syllables(line, up, down)
    dressed: list[tuple[Note, ...]] = []
    last = len(line) - 1
    for index, (note, stroke) in enumerate(zip(line, strokes, strict=True)):
        marks = tuple(m for m in stroke.marks if index < last or m not in ("staccato", "tenuto"))
        pieces = _dress(note.pieces, stroke.slur, marks, words[index])
        row = up if note.half == "up" else down
        dressed.append(_shaped(pieces, row, last=index == last))
    return tuple(dressed)


def _strokes(line: tuple[Sung, ...], up: Articulation, down: Articulation, per_beat: int) -> list[Stroke]:
    """A stroke for each note; a cell begins on a beat, and its strokes stand where the rhythm's equal notes would."""
    strokes: list[Stroke] = []
    row, begun = up, 0
    for index, note in enumerate(line):
        wanted = _row_at(line, index, up, down)
        if index == 0:
            row = wanted
        elif wanted != row and (row.uneven or wanted.uneven or _begins(wanted, note, per_beat)):
            row, begun = wanted, note.slot - _into_cell(wanted, note, per_beat)
        if row.by_beat == "slur":
            strokes.append(Stroke("start" if note.on_beat else "inside"))
        elif row.by_beat:
            strokes.append(Stroke(marks=(row.by_beat,) if note.on_beat else ()))
        else:
            strokes.append(_whole(line, index) if row.whole else _stroke(row, note.slot - begun))
    return strokes


def _row_at(line: tuple[Sung, ...], index: int, up: Articulation, down: Articulation) -> Articulation:
    """What a note's half wears; the note that two halves share belongs to the one under a whole slur."""
    note = line[index]
    own, other = (up, down) if note.half == "up" else (down, up)
    turns = note.turn and 0 < index < len(line) - 1
    return other if turns and other.whole and not own.whole else own


def _begins(row: Articulation, note: Sung, per_beat: int) -> bool:
    """Whether a cell may begin on a note: on a beat, of several beats where it would come if it had gone on so far."""
    several = bool(per_beat) and len(row.cell) % per_beat == 0
    return note.on_beat and (not several or note.slot % len(row.cell) == 0)


def _into_cell(row: Articulation, note: Sung, per_beat: int) -> int:
    """How far into its cell a row begins that takes over between two beats."""
    size = len(row.cell)
    fills = bool(per_beat) and (size % per_beat == 0 or per_beat % size == 0)
    return note.slot % size if fills and not row.shifts else 0


def _stroke(row: Articulation, index: int) -> Stroke:
    """The stroke so many notes after the first."""
    if index < len(row.lead):
        return row.lead[index]
    return row.cell[(index - len(row.lead)) % len(row.cell)]


def _whole(line: tuple[Sung, ...], index: int) -> Stroke:
    """Slurs over whole halves; the turning note ends one and begins the next."""
    first, last = index == 0, index == len(line) - 1
    here = line[index]
    if here.turn and not first and not last:
        return Stroke("stop start")
    if first or (line[index - 1].half != here.half and not line[index - 1].turn):
        return Stroke("start")
    parts_after = not last and line[index + 1].half != here.half and not line[index + 1].turn
    return Stroke("stop" if last or parts_after else "inside")


def _mended(line: tuple[Sung, ...], strokes: list[Stroke]) -> list[Stroke]:
    """Break slurs at rests and repeated pitches; close or drop what the end of the line cuts off."""
    opened = [s.slur in ("start", "stop start") for s in strokes]
    goes_on = [s.slur in ("inside", "stop", "stop start") for s in strokes]
    linked = [False] * len(line)
    for index in range(1, len(line)):
        before, here = line[index - 1].pieces, line[index].pieces
        same = (
            before[-1].pitch is not None
            and here[-1].pitch is not None
            and (before[-1].pitch.height == here[-1].pitch.height)
        )
        rest = any(n.pitch is None for n in here)
        linked[index] = goes_on[index] and (linked[index - 1] or opened[index - 1]) and not same and not rest
        if goes_on[index] and not linked[index] and strokes[index].slur != "stop":
            opened[index] = True
    mended: list[Stroke] = []
    for index, stroke in enumerate(strokes):
        on = index + 1 < len(line) and linked[index + 1]
        slur: Slur | None = None
        if linked[index]:
            slur = "stop" if not on else "stop start" if stroke.slur == "stop start" else "inside"
        elif on:
            slur = "start"
        mended.append(stroke if stroke.slur == slur else Stroke(slur, stroke.marks))
    return mended


def _signed(
    line: tuple[Sung, ...], strokes: list[Stroke], up: Articulation, down: Articulation
) -> list[Stroke]:
    """The way of the bow over the first strokes; what follows goes on in turn."""
    signed = list(strokes)
    given = 0
    for index, (note, stroke) in enumerate(zip(line, strokes, strict=True)):
        ways = (up if note.half == "up" else down).ways
        if given >= 2 or not ways:
            break
        if stroke.slur in (None, "start"):
            signed[index] = Stroke(stroke.slur, (f"{ways[given % len(ways)]}-stroke", *stroke.marks))
            given += 1
    return signed


def _syllables(line: tuple[Sung, ...], up: Articulation, down: Articulation) -> list[str | None]:
    words: list[str | None] = []
    count = 0
    for index, note in enumerate(line):
        row = up if note.half == "up" else down
        if not row.syllables:
            words.append(None)
            count = 0
            continue
        if note.on_beat and not row.runs:
            # The cycle starts anew on every beat, so that no beat is played with the back of the tongue.
            count = 0
        if row.placed:
            count = note.slot
        last = index == len(line) - 1 and not row.runs
        words.append(row.syllables[0] if last else row.syllables[count % len(row.syllables)])
        count += 1
    return words


def _dress(
    pieces: tuple[Note, ...], slur: Slur | None, marks: tuple[str, ...], word: str | None
) -> tuple[Note, ...]:
    """Marks and syllable on the first sounding piece; a slur starts there and stops on the last piece."""
    sounding = [i for i, n in enumerate(pieces) if n.pitch is not None]
    dressed = list(pieces)
    first, last = sounding[0], sounding[-1]
    if first == last or slur is None:
        if marks or word or slur:
            dressed[first] = replace(
                dressed[first], marks=(*dressed[first].marks, *marks), syllable=word, slur=slur
            )
        return tuple(dressed)
    if marks or word:
        dressed[first] = replace(dressed[first].marked(*marks), syllable=word)
    ends: tuple[Slur, Slur] = {
        "start": ("start", "inside"),
        "stop": ("inside", "stop"),
        "inside": ("inside", "inside"),
        "stop start": ("inside", "stop start"),
    }[slur]  # type: ignore[assignment]
    dressed[first] = replace(dressed[first], slur=ends[0])
    dressed[last] = replace(dressed[last], slur=ends[1])
    for middle in sounding[1:-1]:
        dressed[middle] = replace(dressed[middle], slur="inside")
    return tuple(dressed)


def _shaped(pieces: tuple[Note, ...], row: Articulation, *, last: bool) -> tuple[Note, ...]:
    """Swells, fermatas and breaths that belong to each note."""
    if not row.each and not row.close:
        return pieces
    sounding = [i for i, n in enumerate(pieces) if n.pitch is not None]
    shaped = list(pieces)
    if row.each and len(sounding) > 1:
        # p < on the first half, f > on the second, p where it ends.
        middle = sounding[len(sounding) // 2]
        first, end = row.each[:2], row.each[2:4]
        shaped[sounding[0]] = replace(shaped[sounding[0]], dynamic=first)
        shaped[middle] = replace(shaped[middle], dynamic=end, dynamic_end=row.each[4:])
    for mark in row.close:
        if mark == "breath" and last:
            continue
        place = sounding[0] if mark == "fermata" else sounding[-1]
        shaped[place] = shaped[place].marked(mark)
    return tuple(shaped)
