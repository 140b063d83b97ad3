"""A line dressed in an articulation: slurs, marks and syllables over its notes.

A slur never covers a rest or two notes of the same pitch in a row (it ends and the next note is tongued); a slur cut
short by the end of the line ends on the last note; the last note carries no dot.
"""

from dataclasses import dataclass, replace

from generator.exercise.articulation import Articulation, Half, Stroke
from generator.exercise.records import Note, Slur


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

    >>> from generator.exercise.articulation import parse_strokes
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
