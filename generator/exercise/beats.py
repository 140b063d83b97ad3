"""Bass drum, cymbals and the smaller instruments: beats under the line, and never its sixteenths.

The bass drum has the strong beats, crashed cymbals the first one of every other bar and the end, a triangle the first
beat, a tambourine the off-beats of march and dance, a wood block every beat; all of them come down together on the
last note of the line. Long notes are rolled where the instrument rolls (common practice, no source).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.strokes import LINE, dynamics_at_beats, last_place, on_beats, rolled, strong_beats
from generator.theory.duration import Metre

_Struck = Callable[[int, Metre], Sequence[int]]


def bass_drum(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """The strong beats, with the dynamics of the line.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, sixteenths", player=player("bass drum"))[0]
    >>> [str(note.value) + ("" if note.pitch else " rest") for note in made.bars[0].notes]
    ['4', '4 rest', '4', '4 rest']
    """
    return _beaten(exercise, lambda _, metre: strong_beats(metre), level, rolls=True)


def beaten(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """The strong beats and rolls of a bass drum, for others that play on them.

    >>> from generator import exercises, player
    >>> made = beaten(exercises("C major, a fifth, whole notes", player=player("flute"))[0], "standard")
    >>> [(str(note.value), *note.marks) for note in made[0].notes]
    [('2.', 'roll'), ('4',)]
    """
    return _beaten(exercise, lambda _, metre: strong_beats(metre), level, rolls=True, end=True)


def cymbals(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """The first beat of every other bar, softly, and the last note loud; long notes are rolls that grow and die away.

    >>> from generator import exercises, player
    >>> made = exercises("C major, two octaves, quarters", player=player("cymbals"))[0]
    >>> [sum(note.pitch is not None for note in bar.notes) for bar in made.bars[:4]]
    [1, 0, 1, 0]
    """
    made = _beaten(exercise, lambda bar, _: () if bar % 2 else (0,), level, rolls=True)
    if any(note.dynamic for bar in made for note in bar.notes):
        return made
    if exercise.long:
        # Rolls under long notes stay in the background.
        return tuple(_loud(one, "p" if n == 0 else "", None) for n, one in enumerate(made))
    bar, place = last_place(exercise)
    return tuple(
        _loud(one, "mf" if n == 0 else "", None if n != bar else place) for n, one in enumerate(made)
    )


def triangle(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """The first beat of each bar; long notes are rolled in a corner.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, eighths", player=player("triangle"))[0]
    >>> [sum(note.pitch is not None for note in bar.notes) for bar in made.bars]
    [1, 2]
    """
    return _beaten(exercise, lambda _bar, _metre: (0,), level, rolls=True)


def tambourine(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """The weak beats, shaken where notes are long.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, eighths", player=player("tambourine"))[0]
    >>> [note.pitch is not None for note in made.bars[0].notes]
    [False, True, False, True]
    """
    return _beaten(exercise, lambda _, metre: _weak(metre), level, rolls=True)


def wood_block(exercise: Exercise, level: str) -> tuple[Bar, ...]:
    """Every beat.

    >>> from generator import exercises, player
    >>> made = exercises("C major, one octave, eighths", player=player("wood block"))[0]
    >>> [note.pitch is not None for note in made.bars[0].notes]
    [True, True, True, True]
    """
    return _beaten(exercise, lambda _, metre: range(len(metre.beats)), level, rolls=False)


def _weak(metre: Metre) -> tuple[int, ...]:
    strong = strong_beats(metre)
    return tuple(n for n in range(len(metre.beats)) if n not in strong) or (0,)


def _beaten(
    exercise: Exercise, struck: _Struck, level: str, *, rolls: bool, end: bool = False
) -> tuple[Bar, ...]:
    """Strokes on beats; a bar that one note fills is a roll, and the end comes down with the last note.

    Args:
        exercise: the line.
        struck: which beats of a bar, by its number and metre.
        level: of the player.
        rolls: the instrument rolls.
        end: a last note that fills its bar is a roll as well.
    """
    ends_in, ends_at = last_place(exercise)
    made: list[Bar] = []
    for number, bar in enumerate(exercise.bars):
        held = _filling(bar)
        if bar.incomplete or all(note.pitch is None for note in bar.notes):
            notes = tuple(Note(None, note.value, marks=_held(note)) for note in bar.notes)
        elif held and (exercise.long or "fermata" in held.marks or (end and number == ends_in)):
            # A roll carries the dynamic signs of its note as they are.
            rolling = rolls and level != "first notes"
            single = on_beats(bar.metre, (0,), LINE)
            if _held(held):
                single = (Note(LINE, held.value, marks=_held(held)),)
            notes = _rolling(held) if rolling else _dynamic(single, bar)
        elif number == ends_in:
            notes = _dynamic(_last(bar, struck(number, bar.metre), ends_at), bar)
        else:
            notes = _dynamic(on_beats(bar.metre, struck(number, bar.metre), LINE), bar)
        made.append(replace(bar, notes=notes))
    return tuple(made)


def _filling(bar: Bar) -> Note | None:
    """The note that fills a bar, or None."""
    return bar.notes[0] if len(bar.notes) == 1 and bar.notes[0].pitch is not None else None


def _held(note: Note) -> tuple[str, ...]:
    return tuple(mark for mark in note.marks if mark == "fermata")


def _rolling(note: Note) -> tuple[Note, ...]:
    plain = Note(
        LINE, note.value, tie=note.tie, marks=_held(note), dynamic=note.dynamic, dynamic_end=note.dynamic_end
    )
    (made,) = rolled((plain,)) if not note.tie else ((plain.marked("roll"),),)
    return made


def _last(bar: Bar, struck: Sequence[int], place: Fraction) -> tuple[Note, ...]:
    """The strokes before the last note of the line, and one with it, as long as it takes."""
    starts = bar.metre.beat_starts
    if place not in starts:
        place = max(start for start in starts if start <= place)
    before = [n for n in struck if starts[n] < place]
    return on_beats(bar.metre, (*before, starts.index(place)), LINE)


def _dynamic(notes: Sequence[Note], bar: Bar) -> tuple[Note, ...]:
    """The dynamic signs of the line at the beats they belong to, on a note or a rest."""
    signs = dynamics_at_beats(bar)
    found: list[Note] = []
    place = Fraction(0)
    for note in notes:
        here = tuple(
            s for at, found_signs in signs.items() if place <= at < place + note.length for s in found_signs
        )
        found.append(replace(note, dynamic=here) if here else note)
        place += note.length
    return tuple(found)


def _loud(bar: Bar, begins: str, ends_at: Fraction | None) -> Bar:
    """A bar with a dynamic sign at its first stroke, or a loud last one."""
    notes: list[Note] = []
    place = Fraction(0)
    for note in bar.notes:
        sign = begins if note.pitch else ""
        if ends_at is not None and note.pitch and place >= ends_at:
            sign, ends_at = "f", None
        begins = "" if note.pitch else begins
        notes.append(replace(note, dynamic=(sign,)) if sign else note)
        place += note.length
    return replace(bar, notes=tuple(notes))
