"""What sounds on a mouthpiece alone: its pitch, bends and sirens, written as the instrument reads them.

Nothing is fingered here, so reed players may read notes that their instrument has not; brass buzz what it has.
"""

from dataclasses import replace
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar
from generator.exercise.partials import PARTIALS, slurred, tempi_of
from generator.exercise.pour import into_bars, pour
from generator.exercise.records import Exercise, Note
from generator.exercise.request import Request
from generator.exercise.routine import Routine, Tube
from generator.exercise.tempo import beat_value
from generator.theory.interval import Interval
from generator.theory.key import usual_name
from generator.theory.pitch import Pitch

_LOW = 3  # brass buzz round the third of their notes from below: the middle or the lower range
_EASY = (2, 3, 4, 6)


def mouthpiece_pitch(routine: Routine, tube: Tube | None, player: Player) -> Pitch | None:
    """The written pitch a routine starts from: of the row for the instrument, or a partial of its open tube.

    Args:
        routine: with moves.
        tube: the player's harmonic series, if there is one.
        player: for whom.

    >>> from generator.catalogue.players import player_named
    >>> from generator.catalogue.tables import shared_catalogue
    >>> names, alto = shared_catalogue(), player_named("alto saxophone")
    >>> print(mouthpiece_pitch(names.routines.find("mouthpiece alone"), None, alto))  # sounds A5
    F#6
    """
    sounding = dict(routine.sounding)
    if sounding:
        found = sounding.get(player.instrument.name)
        return found and (-player.instrument.sounds).above(found)
    if tube is None:
        return None
    low, high = player.compass.low.height, player.compass.high.height
    offers = [Interval.parse(PARTIALS[number]).above(tube.fundamental) for number in _EASY]
    fitting = [pitch for pitch in offers if all(map(player.compass.holds, _reached(routine, pitch)))]
    if not fitting:
        raise DoesNotFitError(f"{routine.name} does not fit between {player.compass.words}")
    return min(fitting, key=lambda pitch: abs(_LOW * (pitch.height - low) - (high - low)))


def _reached(routine: Routine, pitch: Pitch) -> list[Pitch]:
    return [interval.above(pitch) for group in routine.moves for interval in group]


def _heard(pitch: Pitch, sounds: Interval) -> str:
    """The usual name of the note that is heard, as a tuner shows it."""
    return usual_name(sounds.above(pitch).note.pitch_class, 0).words


def build_mouthpiece(
    routine: Routine, pitch: Pitch, request: Request, phrase: str, player: Player
) -> Exercise:
    """Make the exercise.

    Args:
        routine: with moves.
        pitch: written pitch it starts from.
        request: for the tempo.
        phrase: canonical phrase.
        player: for whom; written pitch.

    >>> from generator.catalogue.players import player_named
    >>> from generator.phrase.expand import exercises
    >>> (made,) = exercises(["buzzing"], player_named("trombone")).exercises
    >>> for bar in made.bars[:4]:
    ...     print(*[note.pitch for note in bar.notes])
    F3 F3
    F3
    F3 G3
    F3
    """
    rhythm = routine.rhythm
    sounds = player.instrument.sounds
    pitches = _reached(routine, pitch)
    poured = iter(pour(tuple(pitches), rhythm))
    notes: list[Note] = []
    for number, group in enumerate(routine.moves):
        far = max(group, key=lambda interval: abs(interval.semitones))
        label = f"concert {_heard(pitch, sounds)}" if not number else ""
        if far.semitones:
            label = f"to {_heard(far.above(pitch), sounds)}"
        for place in range(len(group)):
            pieces = next(poured)
            if far.semitones:
                notes += slurred(pieces, place, len(group), label)
            else:
                first = replace(pieces[0], text=label or None) if place == 0 else pieces[0]
                notes += [first.marked("breath") if place == len(group) - 1 else first, *pieces[1:]]
    bars = into_bars(tuple(notes), rhythm)
    clefs = clefs_by_bar([[n.pitch for n in b.notes if n.pitch] for b in bars], player.instrument.clefs)
    return Exercise(
        phrase=phrase,
        head=routine.name[0].upper() + routine.name[1:],
        details="",
        concert_heading=f"concert {_heard(pitch, sounds)}" if player.instrument.transposes else "",
        instrument=player.instrument.name,
        level=player.level,
        key=pitch.note.name,
        form=routine.name,
        figure="mouthpiece",
        span="full range",
        asked_span="full range",
        signature=0,
        clefs=clefs,
        bars=bars,
        tempo=request.tempo,
        tempi=tempi_of(request),
        beat=request.tempo.unit if request.tempo else beat_value(rhythm.metre),
        notes=(routine.how,) if routine.how else (),
        unit=int(sum((slot.value.length for slot in rhythm.cell), Fraction(0)) / rhythm.metre.length),
        ottava=pitch.height > player.compass.high.height,
    )
