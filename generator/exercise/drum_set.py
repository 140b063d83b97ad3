"""The drum set: time in the style and metre of an exercise, on five lines.

Straight time is rock: eighths on the hi-hat, bass drum on one and three, snare drum on two and four. Swing has the ride
cymbal's long and two short, the pedal of the hi-hat on two and four and the bass drum felt on one and three; a waltz
the bass drum on one and the pedal on two and three; a march in six eight bass drum and snare drum by turns on its two
beats. Any other metre has the bass drum where its groups begin. The last note of the line is a crash with the bass drum
(common practice, no source).
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from generator.exercise.kit import PARTS
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.strokes import last_place, rests
from generator.theory.duration import Metre, Value, value_of
from generator.theory.pitch import Pitch

_EIGHTH, _QUARTER, _DOTTED = Fraction(1, 8), Fraction(1, 4), Fraction(3, 8)
_RIDE, _HAT, _PEDAL, _BASS, _SNARE, _CRASH = (
    PARTS[name].place
    for name in ("ride cymbal", "hi-hat", "hi-hat pedal", "bass drum", "snare drum", "crash cymbal")
)
_Struck = tuple[Fraction, tuple[Pitch, ...]]


def style(exercise: Exercise) -> str:
    """What the time is called.

    >>> from generator import exercises, player
    >>> drums = player("drum set")
    >>> [style(exercises(f"C major, {words}", player=drums)[0]) for words in ("swing eighths", "in 3/4", "in 6/8")]
    ['Time', 'Waltz', 'March in 6/8']
    """
    metre = exercise.bars[0].metre
    swung = exercise.feel.casefold() == "swing"
    if metre.name == "6/8":
        return "March in 6/8"
    if metre.name in ("3/4", "3/8"):
        return "Jazz waltz" if swung else "Waltz"
    if swung:
        return "Time"  # the word stands over its first bar
    if metre.name in ("9/8", "12/8"):
        return f"Slow {metre.name}"
    if metre.name == "2/4":
        return "March"
    return "Rock, straight eighths" if metre.name in ("4/4", "2/2") else f"Time in {metre.name}"


def time(exercise: Exercise) -> tuple[Bar, ...]:
    """The bars of a drum set.

    >>> from generator import exercises, player
    >>> from generator.exercise.kit import AT
    >>> made = exercises("C major, one octave, sixteenths", player=player("drum set"))[0]
    >>> [[AT[p].name for p in (note.pitch, *note.also)] for note in made.bars[0].notes[:3]]
    [['hi-hat', 'bass drum'], ['hi-hat'], ['hi-hat', 'snare drum']]
    """
    swung = exercise.feel.casefold() == "swing"
    ends_in, ends_at = last_place(exercise)
    ends_at = max(at for at in exercise.bars[ends_in].metre.beat_starts if at <= ends_at)
    if not exercise.pitches:
        return exercise.bars
    made: list[Bar] = []
    for number, bar in enumerate(exercise.bars):
        struck = list(_struck(bar.metre, swung=swung)) if not bar.incomplete else []
        end = bar.metre.length
        if number == ends_in:
            struck = [*((at, parts) for at, parts in struck if at < ends_at), (ends_at, (_CRASH, _BASS))]
        notes = (
            tuple(Note(None, n.value) for n in bar.notes)
            if bar.incomplete
            else _written(struck, end, bar.metre)
        )
        made.append(replace(bar, notes=_held(notes) if _holds(bar) else notes))
    return tuple(made)


def _holds(bar: Bar) -> bool:
    """Whether everybody holds a note for the whole of a bar, and longer."""
    return len(bar.notes) == 1 and "fermata" in bar.notes[0].marks


def _held(notes: tuple[Note, ...]) -> tuple[Note, ...]:
    """One stroke that rings for the whole bar, held with the others."""
    value = value_of(sum((note.length for note in notes), Fraction(0)))
    return (replace(notes[0], value=value, marks=("fermata",)),) if value else notes


def _struck(metre: Metre, *, swung: bool) -> Iterator[_Struck]:
    """What is struck in a bar, and when."""
    lows = _low(metre, swung=swung)
    for at in _cymbal(metre, swung=swung):
        low = lows.get(at, ())
        high = _HAT if _straight(metre) and not swung else _RIDE
        yield at, (high, *low)


def _straight(metre: Metre) -> bool:
    return metre.name in ("4/4", "2/2", "2/4", "12/8", "9/8")


def _cymbal(metre: Metre, *, swung: bool) -> Iterator[Fraction]:
    """When the cymbal is struck: eighths, quarters of a waltz, or the long and two short of swing."""
    for number, (start, beat) in enumerate(zip(metre.beat_starts, metre.beats, strict=True)):
        if metre.name == "6/8":
            yield from (start, start + _QUARTER)
        elif beat == _QUARTER and (swung or metre.name == "3/4"):
            yield start
            if swung and number % 2 and (metre.name != "3/4" or number == 1):
                yield start + _EIGHTH
        elif beat == _EIGHTH or beat % _EIGHTH:
            yield start
        else:
            yield from (start + n * _EIGHTH for n in range(int(beat / _EIGHTH)))


def _low(metre: Metre, *, swung: bool) -> Mapping[Fraction, tuple[Pitch, ...]]:
    """Drums and pedal on the beats of a bar."""
    starts = metre.beat_starts
    found: dict[Fraction, tuple[Pitch, ...]] = {}
    for number, at in enumerate(starts):
        if metre.name in ("3/4", "3/8"):
            found[at] = (_PEDAL,) if number else (_BASS,)
        elif swung:
            found[at] = (_PEDAL,) if number % 2 else (_BASS,)
        elif len(set(metre.beats)) > 1 or len(starts) % 2:
            found[at] = (_SNARE,) if number and number == len(starts) - 1 else (_BASS,)
        else:
            found[at] = (_SNARE,) if number % 2 else (_BASS,)
    return found


def _written(struck: list[_Struck], end: Fraction, metre: Metre) -> tuple[Note, ...]:
    """Strokes as notes: each as long as it is to the next one, at most to the end of its beat."""
    notes: list[Note] = []
    starts = (*metre.beat_starts, end)
    for number, (at, parts) in enumerate(struck):
        following = struck[number + 1][0] if number + 1 < len(struck) else end
        beat = min(start for start in starts if start > at)
        length = min(following, beat) - at
        last = number + 1 == len(struck)
        value = value_of(length) or Value(8)
        notes.append(Note(parts[0], value, also=parts[1:]))
        notes += rests(at + value.length, end if last else following, metre)
    return tuple(notes)


__all__ = ["style", "time"]
