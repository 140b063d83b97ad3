"""Notes of a passage as bars of a page: the passage itself, and the short cells that drills are made of."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from generator.errors import RequestError
from generator.exercise.records import Bar, Note, Slur
from generator.passage.records import Passage, PassageNote, WrittenValue
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of
from generator.theory.pitch import Pitch


def held(pitch: Pitch | None, place: Fraction, length: Fraction) -> PassageNote:
    """A note of its own at a place, without stroke or mark."""
    return PassageNote(pitch, place, _plain(length))


def _plain(length: Fraction) -> tuple[WrittenValue, ...]:
    one = value_of(length)
    if one is not None:
        return (WrittenValue(one),)
    return tuple(WrittenValue(value) for value in split_length(Fraction(0), length, _alone(length)))


def _alone(length: Fraction) -> Metre:
    return Metre(length.numerator, length.denominator, (length,))


def shortened(note: PassageNote, length: Fraction, *, tail: bool = False) -> PassageNote:
    """A longer note that keeps so much of its beginning, or of its end; shorter ones stay as they are.

    >>> note = held(Pitch.parse("C5"), Fraction(0), Fraction(1, 2))
    >>> print(shortened(note, Fraction(1, 4), tail=True).onset)
    1/4
    """
    if note.length <= length:
        return note
    try:
        values = _plain(length)
    except RequestError:  # the rest of a tuplet: left as it is
        return note
    onset = note.end - length if tail else note.onset
    return replace(note, onset=onset, values=values)


def cell(
    notes: Sequence[PassageNote],
    borders: Collection[Fraction],
    *,
    label: str = "",
    ends: str = "",
    signature: int | None = None,
    graces: bool = False,
) -> Bar:
    """Notes that follow one another as one bar, which is as long as they are.

    Args:
        notes: without gaps, at their places in the passage.
        borders: places at which a beat begins; notes are beamed between them.
        label: words over the first note.
        ends: the barline after it, see `Bar`.
        signature: its key signature, where it differs from the one before.
        graces: small notes and ornaments are printed.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/16] cdef gabc'").bars)
    >>> bar = cell(passage.notes[:4], {Fraction(0)}, label="1")
    >>> bar.metre.name, [note.beam for note in bar.notes]
    ('1/4', ['[', None, None, ']'])
    """
    start, end = notes[0].onset, notes[-1].end
    inner = sorted(border for border in borders if start < border < end)
    edges = [start, *inner, end]
    beats = tuple(after - before for before, after in pairwise(edges))
    length = end - start
    unit = max(length.denominator, 4, *(beat.denominator for beat in beats))
    # A cell that begins within a triplet is no whole number of any note; it is an incomplete bar of quarters.
    broken = any((one.denominator & (one.denominator - 1)) != 0 for one in (length, *beats))
    metre = _quarters(length) if broken else Metre(int(length * unit), unit, beats)
    made = [note for pieces in _pieces(notes, graces=graces) for note in pieces]
    incomplete = broken and length < metre.length
    notated = _beamed(_bracketed(made), edges)
    return Bar(metre, notated, label=label, ends=ends, signature=signature, incomplete=incomplete)


def _quarters(length: Fraction) -> Metre:
    count = -(-length * 4 // 1)
    return Metre(int(count), 4, (Fraction(1, 4),) * int(count))


def _pieces(notes: Sequence[PassageNote], *, graces: bool) -> Iterator[list[Note]]:
    for number, note in enumerate(notes):
        slurred = note.slurred and number > 0
        goes_on = number + 1 < len(notes) and notes[number + 1].slurred
        marks = note.marks if graces else tuple(m for m in note.marks if m not in ORNAMENTS)
        pieces = []
        last = len(note.values) - 1
        for place, one in enumerate(note.values):
            slur: Slur | None = None
            if slurred or goes_on:
                slur = "inside"
                if place == 0 and not slurred:
                    slur = "start"
                elif place == last and not goes_on:
                    slur = "stop"
            here = tuple(m for m in marks if place == (last if m in _AT_END else 0))
            pieces.append(
                Note(
                    note.pitch,
                    one.value,
                    tie=note.pitch is not None and place < last,
                    slur=slur,
                    marks=here,
                    tuplet_start=one.starts,
                    tuplet_stop=one.stops,
                )
            )
        if graces and note.graces:
            small = [Note(pitch, value, grace=True) for pitch, value in note.graces]
            pieces = small + pieces
        yield pieces


ORNAMENTS = frozenset({"trill", "turn", "mordent", "inverted mordent"})
_AT_END = frozenset({"fermata", "breath"})


def _bracketed(notes: Sequence[Note]) -> list[Note]:
    """Brackets of tuplets made whole again where a cell begins or ends within one."""
    found: list[Note] = []
    begun: int | None = None
    for note in notes:
        tuplet = note.value.tuplet
        if begun is not None and (tuplet is None or note.tuplet_start or found[begun].value.tuplet != tuplet):
            _close(found, begun)
            begun = None
        starts = tuplet is not None and begun is None
        if starts:
            begun = len(found)
        found.append(replace(note, tuplet_start=starts, tuplet_stop=False) if tuplet else note)
        if begun is not None and note.tuplet_stop:
            _close(found, begun)
            begun = None
    if begun is not None:
        _close(found, begun)
    return found


def _close(found: list[Note], begun: int) -> None:
    """End a bracket at the last note; half a sextuplet is a triplet."""
    found[-1] = replace(found[-1], tuplet_stop=True)
    tuplet = found[begun].value.tuplet
    if tuplet is None or len(found) - begun != 3 or tuplet != Tuplet(6, 4):
        return
    for place in range(begun, len(found)):
        value = found[place].value
        found[place] = replace(found[place], value=Value(value.base, value.dots, Tuplet(3, 2)))


def _beamed(notes: Sequence[Note], edges: Sequence[Fraction]) -> tuple[Note, ...]:
    """Beams over what lies in one beat."""
    found = list(notes)
    place = edges[0]
    run: list[int] = []

    def flush() -> None:
        if len(run) > 1:
            found[run[0]] = replace(found[run[0]], beam="[")
            found[run[-1]] = replace(found[run[-1]], beam="]")
        run.clear()

    for number, note in enumerate(notes):
        if note.grace:
            continue
        if place in edges or note.pitch is None or note.value.base < 8:
            flush()
        if note.pitch is not None and note.value.base >= 8:
            run.append(number)
        place += note.length
    flush()
    return tuple(found)


def whole_bars(passage: Passage, numbers: dict[Fraction, str] | None = None) -> tuple[Bar, ...]:
    """The passage as it is printed, bar by bar, ornaments and small notes too.

    Args:
        passage: the music.
        numbers: numbers in circles, by the place of the note they stand over.
    """
    numbers = numbers or {}
    made: list[list[Note]] = [[] for _ in passage.bars]
    place = Fraction(0)
    at = 0
    for note, pieces in zip(passage.notes, _pieces(passage.notes, graces=True), strict=True):
        for number, piece in enumerate(pieces):
            while place >= passage.bars[at].end:
                at += 1
            circled = numbers.get(note.onset, "") if number == len(note.graces) else ""
            made[at].append(replace(piece, place=circled) if circled else piece)
            place += piece.length
    bars = []
    for number, (bar, notes) in enumerate(zip(passage.bars, made, strict=True)):
        before = passage.bars[number - 1] if number else bar
        bars.append(
            Bar(
                bar.metre,
                tuple(notes),
                incomplete=bar.length < bar.metre.length,
                signature=bar.signature if bar.signature != before.signature else None,
            )
        )
    return tuple(bars)
