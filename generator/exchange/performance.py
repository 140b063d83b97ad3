"""Exercises one after another in time, with everything that sounds beside them. Knows no file format.

Times are fractions of a whole note from the beginning of the recording. Before each exercise come its
count-in and, after the first, a silent bar to breathe in.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.exchange.clicks import Beat, clicks, count_in
from generator.exchange.drone import Pipe, drone
from generator.exchange.playback import Playback
from generator.exchange.programs import drum_key, program
from generator.exchange.sounding import HeardTone, tones
from generator.exercise.clef import ONE_LINE
from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise
from generator.exercise.tempo import in_quarters, usual_quarters
from generator.theory.duration import Metre
from generator.theory.interval import Interval
from generator.theory.key import MOST_SIGNS


@dataclass(frozen=True, slots=True)
class Held:
    """A voice of the drone for as long as it sounds."""

    start: Fraction
    end: Fraction
    pipe: Pipe


@dataclass(frozen=True, slots=True)
class Sign:
    """A metre, key or exercise that begins.

    Attributes:
        place: when.
        metre: metre of the bars from here on.
        beat: length of what is counted in them.
        signature: sounding key signature in fifths, -7 to 7; None where it does not change.
        heading: of the exercise that begins here, or "".
    """

    place: Fraction
    metre: Metre
    beat: Fraction
    signature: int | None = None
    heading: str = ""


@dataclass(frozen=True, slots=True)
class Performance:
    """A recording before it is one.

    Attributes:
        title: what to call it.
        instrument: label of the instrument.
        program: General MIDI programme, from 0.
        playback: what was asked for.
        tones: the notes.
        clicks: the metronome.
        drones: voices of the drone.
        tempi: quarter notes a minute, and from when.
        signs: metres, keys and headings.
        end: when all is over.
        drums: the notes are keys of the drum kit, for percussion without a pitch.
    """

    title: str
    instrument: str
    program: int
    playback: Playback
    tones: tuple[HeardTone, ...]
    clicks: tuple[Beat, ...]
    drones: tuple[Held, ...]
    tempi: tuple[tuple[Fraction, Fraction], ...]
    signs: tuple[Sign, ...]
    end: Fraction
    drums: bool = False


def perform(
    title: str, instrument: Instrument, exercises: Sequence[Exercise], playback: Playback
) -> Performance:
    """Lay exercises out in time.

    Args:
        title: of the recording.
        instrument: what plays them.
        exercises: in order, in written pitch.
        playback: clicks, drone, count-in and pitch.
    """
    found_tones: list[HeardTone] = []
    found_clicks: list[Beat] = []
    held: list[Held] = []
    tempi: list[tuple[Fraction, Fraction]] = []
    signs: list[Sign] = []
    place = Fraction(0)
    for number, exercise in enumerate(exercises, 1):
        first, last = exercise.bars[0].metre, exercise.bars[-1].metre
        begins = place + (last.length if number > 1 else 0)
        music = begins + first.length * playback.count_in
        whole = replace(exercise, bars=exercise.bars * exercise.repeats)
        place = music + sum((b.length for b in whole.bars), Fraction(0))
        found_clicks += _later(count_in(first, exercise.beat, playback.count_in), begins)
        found_clicks += _later(clicks(whole.bars, exercise.beat, playback.click), music)
        found_tones += _heard(whole, instrument, music)
        held += (Held(begins, place, pipe) for pipe in drone(whole, instrument.sounds, playback.drone))
        tempi += _tempi(whole, quarters(exercise) * exercise.repeats, begins, music)
        signs += _signs(whole, instrument.sounds, begins, music)
    return Performance(
        title, instrument.label, program(instrument), playback, tuple(found_tones), tuple(found_clicks),
        tuple(held), tuple(tempi), tuple(signs), place, instrument.unpitched,
    )  # fmt: skip


def sounding_signature(signature: int, sounds: Interval) -> int:
    """Key signature that is heard, in fifths, respelt to at most seven signs.

    >>> sounding_signature(1, Interval.parse("-M6"))
    -2
    """
    fifths = signature + 7 * sounds.semitones - 12 * sounds.steps
    while abs(fifths) > MOST_SIGNS:
        fifths -= 12 if fifths > 0 else -12
    return fifths


def quarters(exercise: Exercise) -> tuple[Fraction, ...]:
    """Tempo of each bar in quarter notes a minute; it changes where unequal values are held equal."""
    now = in_quarters(exercise.tempo) if exercise.tempo else usual_quarters(exercise.beat)
    found: list[Fraction] = []
    for bar in exercise.bars:
        if bar.equivalence:
            old, new = bar.equivalence
            now = now * new.length / old.length
        found.append(now)
    return tuple(found)


def _heard(exercise: Exercise, instrument: Instrument, start: Fraction) -> Iterator[HeardTone]:
    """The tones from a time on; what stands on one line all on the key of its instrument."""
    key = drum_key(instrument) if exercise.clef == ONE_LINE else None
    for tone in tones(exercise, instrument.sounds):
        yield replace(tone, start=tone.start + start, height=tone.height if key is None else key)


def _later(beats: Sequence[Beat], start: Fraction) -> Iterator[Beat]:
    return (replace(beat, place=beat.place + start) for beat in beats)


def _tempi(
    exercise: Exercise, speeds: Sequence[Fraction], begins: Fraction, music: Fraction
) -> Iterator[tuple[Fraction, Fraction]]:
    yield begins, speeds[0]
    place = music
    for index, bar in enumerate(exercise.bars):
        if index and speeds[index] != speeds[index - 1]:
            yield place, speeds[index]
        place += bar.length


def _signs(exercise: Exercise, sounds: Interval, begins: Fraction, music: Fraction) -> Iterator[Sign]:
    metre = exercise.bars[0].metre
    signature = sounding_signature(exercise.signature, sounds)
    yield Sign(begins, metre, exercise.beat.length, signature, exercise.heading)
    place = music
    for bar in exercise.bars:
        if bar.metre != metre:
            metre = bar.metre
            yield Sign(place, metre, metre.beats[0])
        place += bar.length
