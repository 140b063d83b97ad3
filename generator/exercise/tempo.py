"""Metronome marks: the traditional series, and rows of tempi to tick on the way to a goal.

The 39 marks are those of the mechanical metronome after Maelzel: steps of 2 from 40 to 60, 3 to 72, 4 to 120,
6 to 144, 8 to 208 (six published source files hold exactly this series; 80 to 160 is twice 40 to 80).
"""

from fractions import Fraction

from generator.exercise.records import Tempo
from generator.theory.duration import Metre, Value, value_of

MARKS = (
    *range(40, 60, 2),
    *range(60, 72, 3),
    *range(72, 120, 4),
    *range(120, 144, 6),
    *range(144, 209, 8),
)
_LEAST_CLIMB = 4  # tempi
_QUARTER = Fraction(1, 4)
USUAL = 72
"""Beats a minute where no tempo is asked for (common practice, no source)."""


FIRST_OF_GOAL = (3, 5)
"""Without a start the row of tempi begins at the mark below three fifths of the goal (common practice, no source)."""


def first_mark(goal: int) -> int:
    """Where a row of tempi begins that leads to a goal and has no start of its own.

    >>> first_mark(108)
    63
    """
    part, whole = FIRST_OF_GOAL
    below: list[int] = [mark for mark in MARKS if mark * whole <= goal * part]
    return below[-1] if below else min(goal, MARKS[0])


def row(
    start: int, goal: int, *, most: int = 5, step: int | None = None, climb: bool = False
) -> tuple[int, ...]:
    """Tempi from where the player is to the goal, ends included, evenly spread over the series.

    Args:
        start: beats per minute now.
        goal: beats per minute worked towards.
        most: how many at most.
        step: beats per minute between two tempi instead of the traditional series.
        climb: two up and one down instead of straight on, so that what was just too fast feels easy (teachers' custom).

    >>> row(60, 108)
    (60, 69, 84, 96, 108)
    >>> row(60, 108, climb=True)
    (60, 84, 69, 96, 84, 108)
    """
    if start >= goal:
        return (start,)
    between = range(start + step, goal, step) if step else [m for m in MARKS if start < m < goal]
    ladder = [start, *between, goal]
    last = len(ladder) - 1
    if len(ladder) > most:
        ladder = [ladder[(last * k + (most - 1) // 2) // (most - 1)] for k in range(most)]
    if not climb or len(ladder) < _LEAST_CLIMB:
        return tuple(ladder)
    pairs = [(ladder[place + 2], ladder[place + 1]) for place in range(len(ladder) - 3)]
    return (ladder[0], *(tempo for pair in pairs for tempo in pair), ladder[-1])


def beat_value(metre: Metre) -> Value:
    """The note value a metronome counts in a metre: dotted quarter in 6/8, eighth in 7/8.

    >>> print(*[beat_value(Metre.parse(metre)) for metre in ("4/4", "6/8", "7/8")])
    4 4. 8
    """
    lengths = set(metre.beats)
    if len(lengths) == 1:
        value = value_of(lengths.pop())
        if value is not None:
            return value
    return Value(metre.unit)


def usual_bpm(beat: Value) -> int:
    """Beats a minute where no tempo is asked for: 72, and twice as many where an eighth is counted.

    >>> [usual_bpm(beat) for beat in (Value(4), Value(4, dots=1), Value(8))]
    [72, 72, 144]
    """
    return int(USUAL * max(beat.length, _QUARTER) / beat.length)


def usual_quarters(beat: Value) -> Fraction:
    """Quarter notes a minute where no tempo is asked for.

    >>> [int(usual_quarters(beat)) for beat in (Value(4), Value(4, dots=1), Value(8))]
    [72, 108, 72]
    """
    return usual_bpm(beat) * beat.length / _QUARTER


def in_quarters(tempo: Tempo) -> Fraction:
    """The tempo in quarter notes a minute, for programs that count only those.

    >>> print(in_quarters(Tempo(Value(4, dots=1), 60)))  # dotted quarter = 60
    90
    """
    return tempo.bpm * tempo.unit.length / _QUARTER
