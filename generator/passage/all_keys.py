"""A bar through all keys, by named interval, nearest first, in the octave that fits the player."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exercise.instrument import Compass
from generator.exercise.records import Bar
from generator.passage.cells import cell, held, shortened
from generator.passage.chunks import beat_at, beat_borders
from generator.passage.records import Passage, PassageNote
from generator.theory.interval import Interval
from generator.theory.key import MOST_SIGNS
from generator.theory.pitch import Pitch, spelled

ORDER = (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6)
_NAMES = (
    "as written",
    "a half step",
    "a whole step",
    "a minor third",
    "a major third",
    "a fourth",
    "a tritone",
)
_FARTHEST = 3  # octaves
_MOST_ALTERED = 2  # signs before a note


@dataclass(frozen=True, slots=True)
class InKey:
    """The bars in one key.

    Attributes:
        offset: half steps from the passage, before any octave.
        interval: by which they are transposed, octave included.
        signature: their key signature in fifths.
        bars: the music; the label on the first one.
    """

    offset: int
    interval: Interval
    signature: int
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class EveryKey:
    """What fits, in order, and words about what does not: ``up a fourth (E-flat 7)``."""

    keys: tuple[InKey, ...]
    missing: tuple[str, ...]


def label_of(offset: int) -> str:
    """What a key is called on the page, for its signature and its real key often differ.

    >>> label_of(-1), label_of(6), label_of(0)
    ('down a half step', 'up a tritone', 'as written')
    """
    name = _NAMES[abs(offset)]
    return name if offset == 0 else f"{'up' if offset > 0 else 'down'} {name}"


def signature_after(signature: int, interval: Interval) -> int:
    """The key signature of transposed music, in fifths; may pass seven.

    >>> signature_after(-1, Interval.parse("m2")), signature_after(-1, Interval.parse("A1"))
    (-6, 6)
    """
    return signature + 7 * interval.semitones - 12 * interval.steps


def best_interval(offset: int, signature: int, pitches: Sequence[Pitch]) -> Interval:
    """The named interval of so many half steps: fewest signs, then fewest double accidentals, then flats.

    No half step is no interval: what is written in F sharp stays there, though G flat has as many signs.

    >>> best_interval(1, -1, [Pitch.parse("F4")]).name, best_interval(0, 6, [Pitch.parse("F#4")]).name
    ('m2', 'P1')
    """
    if not offset:
        return Interval(0, 0)

    def cost(interval: Interval) -> tuple[int, int, int]:
        signs = signature_after(signature, interval)
        doubles = sum(abs(interval.above(pitch).alter) > 1 for pitch in pitches)
        return abs(signs), doubles, signs

    near = round(offset * 7 / 12)
    options = [Interval(steps, offset) for steps in range(near - 2, near + 3)]
    readable = [one for one in options if abs(signature_after(signature, one)) <= MOST_SIGNS]
    return min(readable, key=cost)


def through_keys(
    passage: Passage,
    compass: Compass,
    offsets: Sequence[int] = ORDER,
    bring: Callable[[Passage], Passage] | None = None,
) -> EveryKey:
    """A passage, or one bar of it, in each key.

    Args:
        passage: what is transposed.
        compass: the written notes the player may be given.
        offsets: half steps, in order.
        bring: puts transposed music into the notes of a chair that plays together with others; no key is left out then.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:F][M:2/4][L:1/8] FGAc | f4").bars, "1", "1")
    >>> found = through_keys(passage, Compass(Pitch.parse("C4"), Pitch.parse("C7")))
    >>> [(one.signature, *one.bars[0].notes[:2][0].pitch.name) for one in found.keys][:3]
    [(-1, 'F', '4'), (-6, 'G', 'b', '4'), (4, 'E', '4')]
    """
    pitches = [note.pitch for note in passage.attacks if note.pitch is not None]
    pitches += [passage.landing] if passage.landing is not None else []
    found: list[InKey] = []
    missing: list[str] = []
    for offset in offsets:
        interval = best_interval(offset, passage.bars[0].signature, pitches)
        if bring is not None:
            found.append(_in_key(bring(transposed(passage, interval)), offset, interval))
            continue
        fitting, lacking = _fitted(interval, pitches, compass)
        if fitting is None:
            missing.append(f"{label_of(offset)} ({lacking})")
            continue
        found.append(_in_key(transposed(passage, fitting), offset, fitting))
    return EveryKey(tuple(found), tuple(missing))


def _fitted(interval: Interval, pitches: Sequence[Pitch], compass: Compass) -> tuple[Interval | None, str]:
    """The interval in the nearest octave that fits, the lower one first; else None and the note that is missing."""
    for octave in sorted(range(-_FARTHEST, _FARTHEST + 1), key=lambda k: (abs(k), k)):
        moved = Interval(interval.steps + 7 * octave, interval.semitones + 12 * octave)
        if all(compass.holds(moved.above(pitch)) for pitch in pitches):
            return moved, ""
    outside = [one for pitch in pitches if not compass.holds(one := interval.above(pitch))]
    worst = max(outside or [interval.above(pitches[0])], key=lambda one: _distance(one, compass))
    return None, worst.words


def _distance(pitch: Pitch, compass: Compass) -> int:
    return max(pitch.height - compass.high.height, compass.low.height - pitch.height)


def _in_key(moved: Passage, offset: int, interval: Interval) -> InKey:
    signature = moved.bars[0].signature
    bars = []
    borders = beat_borders(moved)
    for number, bar in enumerate(moved.bars):
        notes = _by_bar(moved, number)
        if not notes:  # one note is held all through it, and has been printed
            continue
        last = number == len(moved.bars) - 1
        edges = set(borders)
        if last and moved.landing is not None:
            notes.append(held(moved.landing, bar.end, beat_at(moved, bar.end)))
            edges.add(bar.end)
        made = cell(
            notes, edges, label="" if number else label_of(offset), ends="double" if last else "",
            signature=bar.signature if number == 0 or bar.signature != moved.bars[number - 1].signature else None,
        )  # fmt: skip
        bars.append(made)
    return InKey(offset, interval, signature, tuple(bars))


def _by_bar(passage: Passage, number: int) -> list[PassageNote]:
    """The notes that begin in a bar."""
    bar = passage.bars[number]
    return [note for note in passage.notes if bar.start <= note.onset < bar.end]


def transposed(passage: Passage, interval: Interval) -> Passage:
    """A passage moved by a named interval, signatures too, each to at most seven signs.

    A note that would need three signs is called by its other name.
    """
    bars = tuple(
        replace(bar, signature=_readable(signature_after(bar.signature, interval))) for bar in passage.bars
    )
    notes = tuple(
        replace(
            note,
            pitch=_moved(interval, note.pitch) if note.pitch is not None else None,
            graces=tuple((_moved(interval, pitch), value) for pitch, value in note.graces),
        )
        for note in passage.notes
    )
    landing = _moved(interval, passage.landing) if passage.landing is not None else None
    return Passage(bars, notes, landing)


def _moved(interval: Interval, pitch: Pitch) -> Pitch:
    found = interval.above(pitch)
    if abs(found.alter) <= _MOST_ALTERED:
        return found
    return spelled(found.place + (1 if found.alter > 0 else -1), found.height)


def _readable(signature: int) -> int:
    while abs(signature) > MOST_SIGNS:
        signature -= 12 if signature > 0 else -12
    return signature


def bar_alone(passage: Passage, place: Fraction) -> Passage:
    """The bar of a passage in which a place lies, as a passage of its own.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/8] cdef | gfed | c4").bars)
    >>> alone = bar_alone(passage, Fraction(1, 2))
    >>> print(*[note.pitch for note in alone.attacks], alone.landing)
    G5 F5 E5 D5 C5
    """
    bar = passage.bar_at(place)
    inside = [note for note in passage.notes if bar.start <= note.onset < bar.end]
    if not any(note.pitch is not None for note in inside):
        return passage
    after = [note for note in passage.notes if note.onset >= bar.end]
    landing = after[0].pitch if after and after[0].onset == bar.end else None
    if not after:
        landing = passage.landing
    first = inside[0].onset
    notes = tuple(
        replace(note, onset=note.onset - first, slurred=note.slurred and k > 0)
        for k, note in enumerate(inside)
    )
    length = notes[-1].end
    alone = replace(bar, start=Fraction(0), length=min(length, bar.length))
    if notes[-1].end > alone.length:  # a note that is held into the next bar stops at its end
        notes = (*notes[:-1], shortened(notes[-1], alone.length - notes[-1].onset))
        landing = None
    return Passage((alone,), notes, landing)
