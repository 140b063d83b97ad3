"""Chunks of a passage, and bursts that grow by a note: each stops on a beat.

A chunk is what lies between two beats on which a note begins, and the first note of the next beat after it (overlapping
chunks: feralflute, Flute Talk). Where a beat holds more than six notes its half serves as a beat.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from generator.exercise.records import Bar
from generator.passage.cells import cell, held, shortened
from generator.passage.records import Passage, PassageNote
from generator.theory.pitch import Pitch

MOST_IN_BEAT, LEAST_IN_CHUNK = 6, 3
LEAST_BURST, LONGEST_BURST = 2, 9
_MOST_NUMBERS = 8  # in a row of numbers to join


@dataclass(frozen=True)
class PassageChunk:
    """A piece of a passage.

    Attributes:
        start: where it begins, from the beginning of the passage.
        end: where the next begins.
        notes: what is played, without rests at its ends.
        landing: the note it stops on, or None.
    """

    start: Fraction
    end: Fraction
    notes: tuple[PassageNote, ...]
    landing: PassageNote | None

    @cached_property
    def sound(self) -> tuple[object, ...]:
        """What is played, wherever it stands: equal chunks sound equal."""
        every = (*self.notes, *((self.landing,) if self.landing else ()))
        first = every[0].onset
        return tuple((n.pitch, n.onset - first, n.values, n.slurred, n.marks, n.graces) for n in every)


def units(passage: Passage) -> tuple[tuple[Fraction, Fraction], ...]:
    """Begin and end of each unit: the beats, or their halves where a beat holds more than six notes."""
    found: list[tuple[Fraction, Fraction]] = []
    onsets = [note.onset for note in passage.attacks]
    for begin, end in passage.beats():
        middle = (begin + end) / 2
        many = _count(onsets, (begin, end)) > MOST_IN_BEAT
        found += [(begin, middle), (middle, end)] if many else [(begin, end)]
    return tuple(found)


def segments(passage: Passage) -> tuple[tuple[Fraction, Fraction], ...]:
    """Where chunks begin and end: together they are the passage from its first note on.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:3/4][L:1/16] cdef g4 gfed | c12").bars)
    >>> [(str(begin), str(end)) for begin, end in segments(passage)]
    [('0', '1/2'), ('1/2', '3/2')]
    """
    attacks = passage.attacks
    onsets = sorted(note.onset for note in attacks)
    inside = set(onsets)
    starts = sorted({onsets[0]} | {begin for begin, _ in units(passage) if begin in inside})
    edges = [*starts, passage.end]
    spans = list(pairwise(edges))
    if all(_count(onsets, span) < LEAST_IN_CHUNK for span in spans):
        spans = _gathered(onsets, spans)
    found: list[tuple[Fraction, Fraction]] = []
    carried: Fraction | None = None
    for begin, end in spans:
        span = (begin if carried is None else carried, end)  # the first joins the next
        carried = None
        if _count(onsets, span) >= LEAST_IN_CHUNK:
            found.append(span)
        elif found:
            found[-1] = (found[-1][0], end)
        else:
            carried = span[0]
    return tuple(found) if carried is None else ((carried, passage.end),)


def _count(onsets: Sequence[Fraction], span: tuple[Fraction, Fraction]) -> int:
    return bisect_left(onsets, span[1]) - bisect_left(onsets, span[0])


def _gathered(
    onsets: Sequence[Fraction], spans: Sequence[tuple[Fraction, Fraction]]
) -> list[tuple[Fraction, Fraction]]:
    """Units of slow notes, none of which is a chunk: as many together as make one, and not the whole passage."""
    found: list[tuple[Fraction, Fraction]] = []
    begin = spans[0][0]
    for _, end in spans:
        if _count(onsets, (begin, end)) >= LEAST_IN_CHUNK or end == spans[-1][1]:
            found.append((begin, end))
            begin = end
    return found


def chunks(passage: Passage) -> tuple[PassageChunk, ...]:
    """The chunks of a passage, in order.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/16] (cdef) gfed | c8").bars, "1", "1")
    >>> for chunk in chunks(passage):
    ...     print(*[note.pitch for note in chunk.notes], "|", chunk.landing.pitch)
    C5 D5 E5 F5 | G5
    G5 F5 E5 D5 | C5
    """
    spans = segments(passage)
    found = []
    for number, (begin, end) in enumerate(spans):
        notes = _kept([note for note in passage.notes if begin <= note.onset < end], passage)
        last = number == len(spans) - 1
        landing = passage.landing if last else _at(passage, end)
        place = notes[-1].end
        length = beat_at(passage, end)
        found.append(
            PassageChunk(begin, end, notes, held(landing, place, length) if landing is not None else None)
        )
    return tuple(found)


def _at(passage: Passage, place: Fraction) -> Pitch | None:
    return next(note.pitch for note in passage.attacks if note.onset == place)


def beat_at(passage: Passage, place: Fraction) -> Fraction:
    """Length of the whole beat that begins, or goes on, at a place; after the passage that of its last beat."""
    bar = passage.bar_at(place)
    inside = min(place - bar.start, bar.length) + bar.shift
    for start, length in zip(bar.metre.beat_starts, bar.metre.beats, strict=True):
        if start <= inside < start + length:
            return length
    return bar.metre.beats[0]


def _kept(notes: list[PassageNote], passage: Passage) -> tuple[PassageNote, ...]:
    """A chunk's notes without the rests at its ends and what stands before a rest of a beat; long ends keep a beat."""
    while notes[-1].pitch is None:
        notes = notes[:-1]
    begin = silence = 0
    for place, note in enumerate(notes):
        if note.pitch is not None:
            # Rests that follow one another are one silence.
            rests = notes[silence:place]
            if rests and note.onset - rests[0].onset >= beat_at(passage, rests[0].onset):
                begin = place
            silence = place + 1
    notes = notes[begin:]
    while notes[0].pitch is None:
        notes = notes[1:]
    first = shortened(notes[0], beat_at(passage, notes[0].onset), tail=True)
    if len(notes) == 1:
        return (replace(first, slurred=False),)
    last = shortened(notes[-1], beat_at(passage, notes[-1].onset))
    return (replace(first, slurred=False), *notes[1:-1], last)


def chunk_bars(passage: Passage, model: Passage | None = None) -> tuple[Bar, ...]:
    """A bar for each chunk, equal ones once, with their numbers: ``5, 6, 7``.

    Args:
        passage: the music.
        model: the music of all, where a section reads it in several octaves: what is equal in it is printed once.
    """
    found = chunks(passage)
    numbers: dict[tuple[object, ...], list[int]] = {}
    for number, one in enumerate(chunks(model) if model else found, 1):
        numbers.setdefault(one.sound, []).append(number)
    borders = beat_borders(passage)
    bars = []
    for own in numbers.values():
        one = found[own[0] - 1]
        notes = (*one.notes, *((one.landing,) if one.landing else ()))
        edges = borders | ({one.landing.onset} if one.landing else set())
        bars.append(cell(notes, edges, label=", ".join(map(str, own)), ends="repeat"))
    return tuple(bars)


def beat_borders(passage: Passage) -> set[Fraction]:
    """Where its beats begin."""
    return {begin for begin, _ in passage.beats()}


def chunk_numbers(passage: Passage) -> dict[Fraction, str]:
    """Where in the passage each chunk begins, with its number."""
    onsets = [note.onset for note in passage.attacks]
    return {
        next(onset for onset in onsets if onset >= begin): str(number)
        for number, (begin, _) in enumerate(segments(passage), 1)
    }


def join_rows(passage: Passage) -> tuple[str, ...]:
    """Two rows of numbers to tick: forward from the first chunk, then to the end from the last.

    Forward first: the one experiment at the keyboard found that it helps more (Ash and Holding 1990).

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/16] cdef gfed | cdec dedf").bars)
    >>> join_rows(passage)
    ('From 1, stop on the first note of:|2|3|4|end', 'To the end, start at:|4|3|2|1')
    """
    count = len(segments(passage))
    step = -(-count // _MOST_NUMBERS)
    starts = [str(number) for number in range(1, count + 1, step)]
    return (
        "|".join(["From 1, stop on the first note of:", *starts[1:], "end"]),
        "|".join(["To the end, start at:", *reversed(starts)]),
    )


def bursts(passage: Passage, spot: Fraction) -> tuple[Bar, ...]:
    """From a place on, two notes, three, and so on to nine, each time so that the last one falls on a beat.

    Args:
        passage: the music.
        spot: where the hard place begins.
    """
    run: list[PassageNote] = []
    for note in passage.notes:
        if note.onset >= spot:
            if note.pitch is None:
                if run:
                    break
                continue
            run.append(note)
    bars = []
    for count in range(LEAST_BURST, min(LONGEST_BURST, len(run)) + 1):
        notes = list(_burst(run[:count], beat_at(passage, spot)))
        beat = beat_at(passage, spot)
        landing = notes[-1].onset
        borders = {landing - beat * k for k in range(20)}
        bars.append(cell(notes, borders, label=str(count), ends="repeat"))
    return tuple(bars)


def _burst(notes: Iterable[PassageNote], beat: Fraction) -> Iterator[PassageNote]:
    every = list(notes)
    for number, note in enumerate(every[:-1]):
        yield replace(note, slurred=note.slurred and number > 0)
    last = every[-1]
    yield replace(held(last.pitch, last.onset, beat), slurred=last.slurred)
