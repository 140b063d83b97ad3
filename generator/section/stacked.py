"""Exercises for a whole section that no single player has: stacked entrances of a scale, and tuning notes.

Stacked entrances: the scale in whole notes, up and down; the lowest third of the section begins, the next enters when
the first has reached the third, the last when the second has. So from the fifth bar on every step is a triad, but for
the three bars round the top where groups cross, and when the first group comes home the three rest on the tonic triad.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar, in_one_clef
from generator.exercise.instrument import Compass
from generator.exercise.records import Bar, Exercise, Note
from generator.section.ensemble import Seat
from generator.theory.duration import Metre, Value
from generator.theory.pitch import NoteName, Pitch

_FOUR_FOUR = Metre.parse("4/4")
_APART = 2  # bars between two entrances: a third
_GROUPS = 3


def entrances(seats: Sequence[Seat]) -> tuple[int, ...]:
    """Which of three groups each seat belongs to, 0 the lowest, which enters first.

    Args:
        seats: who plays.
    """
    order = sorted(range(len(seats)), key=lambda i: seats[i].register)
    groups = min(_GROUPS, len(seats))
    found = {seat: place * groups // len(seats) for place, seat in enumerate(order)}
    return tuple(found[i] for i in range(len(seats)))


def stacked(exercise: Exercise, group: int) -> Exercise:
    """A scale in whole notes, one a bar, as one group of the stack plays it.

    Args:
        exercise: the whole scale.
        group: 0 begins at once, 1 and 2 a third and a fifth later.

    Raises:
        DoesNotFitError: the scale is too short to be stacked.
    """
    bars, wait = exercise.bars, _APART * group
    if len(bars) < _APART * _GROUPS + 1:
        raise DoesNotFitError(f"{exercise.heading} is too short for stacked entrances")
    rests = tuple(Bar(bar.metre, (Note(None, bar.notes[0].value),)) for bar in bars[:wait])
    sounding = bars[: len(bars) - wait]
    last = replace(sounding[-1], notes=tuple(n.marked("fermata") for n in sounding[-1].notes))
    return in_one_clef(replace(exercise, bars=(*rests, *sounding[:-1], last), left=None), exercise.clef)


def tuning(seat: Player, notes: Sequence[NoteName], heading: str) -> Exercise:
    """Tuning notes, each a whole note to be held, in the middle of what a player has.

    Args:
        seat: who plays.
        notes: concert notes.
        heading: over the notes.

    Raises:
        DoesNotFitError: one of the notes lies in no octave of the compass.
    """
    instrument, compass = seat.instrument, seat.compass
    pitches = [_nearest((-instrument.sounds).above_name(note), compass, instrument.name) for note in notes]
    bars = tuple(Bar(_FOUR_FOUR, (Note(p, Value(1), marks=("fermata",)),)) for p in pitches)
    words = " and ".join(note.words for note in notes)
    return Exercise(
        phrase="tuning notes",
        head=heading,
        details="",
        concert_heading=f"concert {words}",
        instrument=instrument.name,
        level=seat.level,
        key="",
        form="",
        figure="",
        span="",
        asked_span="",
        signature=0,
        clefs=clefs_by_bar([[p] for p in pitches], instrument.clefs[:1]),
        bars=bars,
        long=True,
    )


def _nearest(note: NoteName, compass: Compass, name: str) -> Pitch:
    middle = (compass.low.height + compass.high.height) / 2
    offers = [p for octave in range(10) if compass.holds(p := Pitch(note.step, note.alter, octave))]
    if not offers:
        raise DoesNotFitError(f"the {name} has no {note.words} between {compass.words}")
    return min(offers, key=lambda p: (abs(p.height + 0.5 - middle), p.height))
