"""Rhythms, articulations and the skeleton of a passage."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.articulate import Sung, articulate
from generator.exercise.articulation import UNSLURRED
from generator.exercise.records import Bar, Note
from generator.passage.cells import cell, held
from generator.passage.chunks import beat_at, beat_borders
from generator.passage.recipe_rows import DrillRows, RhythmRow, StrokeRow
from generator.passage.records import Passage, PassageNote, WrittenValue
from generator.theory.duration import Metre, Value, split_length, value_of
from generator.theory.pitch import Pitch

_GROUPS = 2  # of a run, at the least; and of a bar that shows how a rhythm goes


@dataclass(frozen=True, slots=True)
class EqualRun:
    """The longest run of equal notes of a passage, from its first beat on.

    Attributes:
        notes: in order, no rest among them.
        per_beat: so many fill a beat.
        after: the note after the last one, or None.
    """

    notes: tuple[PassageNote, ...]
    per_beat: int
    after: Pitch | None

    @property
    def short(self) -> Value:
        """The written value of each, tuplet aside."""
        value = self.notes[0].values[0].value
        return Value(value.base, value.dots)


def longest_run(passage: Passage) -> EqualRun | None:
    """The longest run of equal notes that begins on a beat, or None where there is none.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> run = longest_run(cut_out(read_abc("[K:C][M:2/4][L:1/16] c4 cdef | gfed c4 |").bars))
    >>> len(run.notes), run.per_beat, run.after.name
    (8, 4, 'C5')
    """
    borders = beat_borders(passage)
    notes = passage.notes
    best: tuple[int, int] = (0, 0)
    begin = 0
    for place in range(len(notes) + 1):
        whole = place == len(notes) or notes[place].pitch is None or len(notes[place].values) > 1
        if whole or (place > begin and notes[place].values[0].value != notes[begin].values[0].value):
            start = next((k for k in range(begin, place) if notes[k].onset in borders), place)
            if place - start > best[1] - best[0]:
                best = (start, place)
            begin = place + 1 if whole else place
    start, end = best
    if end <= start:
        return None
    per_beat = beat_at(passage, notes[start].onset) / notes[start].length
    after = notes[end].pitch if end < len(notes) else passage.landing
    return EqualRun(notes[start:end], int(per_beat) if per_beat.denominator == 1 else 0, after)


def rhythm_bars(passage: Passage, rows: DrillRows, *, written_out: bool = False) -> tuple[Bar, ...]:
    """A bar of each rhythm that suits, with the note it lands on; nothing where no run is long enough.

    Args:
        passage: the music.
        rows: the rhythms.
        written_out: each rhythm to the end of the run, and not its first bar alone.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.recipe_rows import drill_rows
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/16] cdef gfed | c8").bars)
    >>> first = rhythm_bars(passage, drill_rows())[0]
    >>> first.label, *[f"{note.pitch}:{note.value}" for note in first.notes][:5]
    ('long first', 'C5:8.', 'D5:16', 'E5:16', 'F5:16', 'G5:8.')
    """
    run = longest_run(passage)
    if run is None:
        return ()
    found: list[Bar] = []
    for row in rows.rhythms:
        if run.per_beat in row.per_beat and len(run.notes) >= _GROUPS * row.group:
            found += _in_rhythm(run, row, written_out=written_out)
    return tuple(found)


def _in_rhythm(run: EqualRun, row: RhythmRow, *, written_out: bool) -> Iterator[Bar]:
    in_bar = _GROUPS * row.group
    groups = len(run.notes) // row.group if written_out else _GROUPS
    pitches = [note.pitch for note in run.notes[: groups * row.group]]
    following = run.notes[len(pitches)].pitch if len(pitches) < len(run.notes) else run.after
    unit = run.short.length
    beat = unit * sum(row.lengths)
    place = Fraction(0)
    for begin in range(0, len(pitches), in_bar):
        notes: list[PassageNote] = []
        start = place
        for number, pitch in enumerate(pitches[begin : begin + in_bar]):
            notes.append(held(pitch, place, unit * row.lengths[number % row.group]))
            place = notes[-1].end
        last = begin + in_bar >= len(pitches)
        if last and following is not None:
            notes.append(held(following, place, beat if value_of(beat) else unit))
        borders = {start + beat * k for k in range(_GROUPS + 1)}
        yield cell(notes, borders, label="" if begin else row.label, ends="double" if last else "")


def stroke_bars(passage: Passage, rows: DrillRows, wind: str = "", *, every: bool = False) -> tuple[Bar, ...]:
    """The first whole bar in each articulation that suits, with the note it lands on.

    Args:
        passage: the music.
        rows: the articulations.
        wind: how the player's instrument is sounded, or "".
        every: a bar too for what an instrument without slurs has not, because others play it meanwhile.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.recipe_rows import drill_rows
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/16] cdef gfed | c8").bars)
    >>> print(*[bar.label for bar in stroke_bars(passage, drill_rows())], sep="; ")
    slurred; tongued; slur 2, tongue 2; slurs moved by one
    """
    bar = next((one for one in passage.bars if one.length == one.metre.length), passage.bars[0])
    notes = [note for note in passage.notes if bar.start <= note.onset < bar.end]
    after = next((note.pitch for note in passage.notes if note.onset >= bar.end), passage.landing)
    notes = [replace(note, slurred=False, marks=(), graces=()) for note in notes]
    while notes and notes[0].pitch is None:
        notes = notes[1:]
    attacks = [note for note in notes if note.pitch is not None]
    if len(attacks) < 3:
        return ()
    run = longest_run(passage)
    per_beat = run.per_beat if run else 1
    lands = after is not None and notes[-1].end == bar.end and notes[-1].pitch is not None
    if lands:
        notes.append(held(after, notes[-1].end, beat_at(passage, bar.end)))
    borders = beat_borders(passage)
    strokes = [row for row in rows.strokes if per_beat in row.per_beat]
    own = [row for row in strokes if every or wind not in UNSLURRED or not row.articulation.slurs]
    return tuple(_stroked(notes, borders, row, wind, lands=lands) for row in own)


def _stroked(
    notes: Sequence[PassageNote], borders: set[Fraction], row: StrokeRow, wind: str, *, lands: bool
) -> Bar:
    """The notes in an articulation; the one they land on is begun anew, as in a chunk."""
    plain = cell(notes, borders, label=row.label_for(wind), ends="double")
    stroke = row.articulation.played_on(wind)
    played: list[list[Note]] = []
    for note in plain.notes:
        if played and played[-1][-1].tie:
            played[-1].append(note)
        else:
            played.append([note])
    made: list[Note] = []
    stretch: list[list[Note]] = []
    landing = played.pop() if lands else []
    for pieces in [*played, None]:
        if pieces is not None and pieces[0].pitch is not None:
            stretch.append(pieces)
            continue
        if stretch:
            line = tuple(Sung(tuple(one), "up", slot=number) for number, one in enumerate(stretch))
            made += [note for one in articulate(line, stroke, stroke) for note in one]
            stretch = []
        made += pieces or []
    return replace(plain, notes=(*made, *landing))


def skeleton_bars(passage: Passage) -> tuple[Bar, ...]:
    """The note that sounds at each beat, bar by bar; one that sounds on over a beat is tied.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:3/4][L:1/16] cdef g4 gfed | c12").bars, "1", "1")
    >>> print(*[f"{note.pitch}:{note.value}" for note in skeleton_bars(passage)[0].notes])
    C5:4 G5:4 G5:4
    """
    bars = []
    for number, bar in enumerate(passage.bars):
        beats = list(bar.beats())
        sounding = [_sounding(passage, begin) for begin, _ in beats]
        notes: list[Note] = []
        for place, (begin, end) in enumerate(beats):
            note = sounding[place]
            goes_on = place + 1 < len(beats) and note.pitch is not None and sounding[place + 1] is note
            notes += _lasting(note.pitch, end - begin, tied=goes_on)
        before = passage.bars[number - 1] if number else bar
        bars.append(
            Bar(
                bar.metre, tuple(notes), incomplete=bar.length < bar.metre.length,
                signature=bar.signature if bar.signature != before.signature else None,
            )
        )  # fmt: skip
    return tuple(bars)


def _sounding(passage: Passage, place: Fraction) -> PassageNote:
    return next(note for note in passage.notes if note.onset <= place < note.end)


def _lasting(pitch: Pitch | None, length: Fraction, *, tied: bool) -> list[Note]:
    one = value_of(length)
    values = (
        (one,)
        if one
        else split_length(Fraction(0), length, Metre(length.numerator, length.denominator, (length,)))
    )
    last = len(values) - 1
    return [
        Note(pitch, value, tie=pitch is not None and (place < last or tied))
        for place, value in enumerate(values)
    ]


__all__ = ["EqualRun", "WrittenValue", "longest_run", "rhythm_bars", "skeleton_bars", "stroke_bars"]
