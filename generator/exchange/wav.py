"""Plain sound files of a performance: a simple tone for the notes, a fuller one for the drone, and clicks.

Made with nothing but the standard library. The synthesizers among the Python packages need a sound font,
which no package brings along, or numpy, which weighs more than this whole program; and a tone with a few
overtones is all that tuning and timing need. Speed comes from tables: a tone is made once, as a whole
number of its cycles in a loop that fits it to a few thousandths of a hertz, and then only copied; mixing is
one pass in C.

Levels are shared out so that notes, drone and click together stay below full scale, and a recording begins
softly.
"""

import sys
import wave
from array import array
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from io import BytesIO
from math import exp, exp2, pi, sin
from operator import add
from typing import TypeAlias

from generator.exchange.clicks import Beat
from generator.exchange.performance import Held, Performance
from generator.exchange.sounding import HeardTone

RATE = 22_050
_FULL = 32_767
# Shares of full scale; together below 1, so that nothing can clip.
_NOTE_SHARE, _DRONE_SHARE, _CLICK_SHARE = 0.36, 0.27, 0.30
# Loudness of each overtone, from the first.
_NOTE_TONE = (1.0, 0.45, 0.22, 0.1, 0.05)
_DRONE_TONE = (1.0, 0.7, 0.5, 0.4, 0.3, 0.22, 0.16, 0.12)
_HIGHEST_OVERTONE = 0.45 * RATE
_LONGEST_LOOP = 8192
_ATTACK, _RELEASE = 0.008, 0.015  # seconds
_DRONE_ATTACK, _DRONE_RELEASE = 1.5, 0.3
_FADE_IN, _FADE_FROM = 2.0, 0.12
_CLICK_SECONDS = 0.035
_CLICK_PITCH = (1760.0, 1320.0)
_STROKE_PITCH = 200.0
_TAIL = 0.25

_Samples: TypeAlias = "array[int]"  # subscripts work at run time from Python 3.12


def as_wav(performance: Performance) -> bytes:
    """A sound file: one channel, 16 bits, 22,050 samples a second.

    Args:
        performance: what is to be heard; sounding pitch.
    """
    clock = _Clock(performance.tempi)
    samples = _silence(clock.sample(performance.end) + int(_TAIL * RATE))
    pitch = performance.playback.pitch
    if not performance.drums:
        for tone in performance.tones:
            _note(samples, tone, clock, pitch)
    else:
        _strokes(samples, performance.tones, clock)
    voices = Counter(held.start for held in performance.drones)
    for held in performance.drones:
        _drone(samples, held, clock, pitch, _DRONE_SHARE / voices[held.start])
    _click(samples, performance.clicks, clock)
    _shape(samples, 0, int(_FADE_IN * RATE), _FADE_FROM, 1.0)
    return _file(samples)


class _Clock:
    """From places in the music to samples."""

    def __init__(self, tempi: Sequence[tuple[Fraction, Fraction]]) -> None:
        self._marks: list[tuple[Fraction, float, float]] = []
        seconds = 0.0
        for index, (place, quarters) in enumerate(tempi):
            if index:
                before, _, pace = self._marks[-1]
                seconds += float(place - before) * pace
            self._marks.append((place, seconds, float(240 / quarters)))

    def sample(self, place: Fraction) -> int:
        """Number of the sample at a place."""
        start, seconds, pace = next(m for m in reversed(self._marks) if m[0] <= place)
        return round((seconds + float(place - start) * pace) * RATE)


def hertz(height: int, cents: float, pitch: int) -> float:
    """Frequency of a sounding pitch.

    Args:
        height: half steps, A4 = 69.
        cents: above that.
        pitch: frequency of A4.
    """
    return pitch * exp2((height - 69 + cents / 100) / 12)


def _silence(length: int) -> _Samples:
    return array("h", bytes(2 * max(0, length)))


@lru_cache(maxsize=256)
def _loop(frequency: float, overtones: tuple[float, ...]) -> tuple[float, ...]:
    """Whole cycles of a tone, highest sample 1, that can be repeated without a seam."""
    cycles = Fraction(frequency / RATE).limit_denominator(_LONGEST_LOOP)
    size = cycles.denominator
    turn = 2 * pi * cycles.numerator / size
    loop = [0.0] * size
    for number, share in enumerate(overtones, 1):
        if number * frequency < _HIGHEST_OVERTONE:
            loop = [have + share * sin(turn * number * i) for i, have in enumerate(loop)]
    top = max(map(abs, loop))
    return tuple(have / top for have in loop)


@lru_cache(maxsize=512)
def _scaled(frequency: float, overtones: tuple[float, ...], share: float) -> _Samples:
    return array("h", [int(_FULL * share * have) for have in _loop(frequency, overtones)])


def _tone(loop: _Samples, length: int, attack: float, release: float) -> _Samples:
    samples = (loop * (length // len(loop) + 1))[:length]
    rise = min(int(attack * RATE), length // 2)
    fall = min(int(release * RATE), length // 2)
    _shape(samples, 0, rise, 0.0, 1.0)
    _shape(samples, length - fall, length, 1.0, 0.0)
    return samples


def _shape(samples: _Samples, start: int, end: int, first: float, last: float) -> None:
    """A straight change of loudness over some samples."""
    size = min(end, len(samples)) - start
    for index in range(size):
        samples[start + index] = int(samples[start + index] * (first + (last - first) * index / size))


def _mix(samples: _Samples, start: int, part: _Samples) -> None:
    end = min(len(samples), start + len(part))
    samples[start:end] = array("h", map(add, samples[start:end], part))


def _note(samples: _Samples, tone: HeardTone, clock: _Clock, pitch: int) -> None:
    start, end = clock.sample(tone.start), clock.sample(tone.start + tone.length)
    loop = _scaled(hertz(tone.height, 0.0, pitch), _NOTE_TONE, _NOTE_SHARE * tone.loudness / 127)
    # One note at a time: nothing is there yet to mix with.
    samples[start:end] = _tone(loop, end - start, _ATTACK, _RELEASE)


def _drone(samples: _Samples, held: Held, clock: _Clock, pitch: int, share: float) -> None:
    start, end = clock.sample(held.start), clock.sample(held.end)
    loop = _scaled(hertz(held.pipe.height, held.pipe.cents, pitch), _DRONE_TONE, share)
    _mix(samples, start, _tone(loop, end - start, _DRONE_ATTACK, _DRONE_RELEASE))


def _click(samples: _Samples, clicks: Sequence[Beat], clock: _Clock) -> None:
    sounds = [_knock(frequency, _CLICK_SHARE) for frequency in _CLICK_PITCH]
    for click in clicks:
        _mix(samples, clock.sample(click.place), sounds[0 if click.strong else 1])


def _strokes(samples: _Samples, tones: Sequence[HeardTone], clock: _Clock) -> None:
    """Percussion without a pitch: a dull knock for each note."""
    for tone in tones:
        _mix(samples, clock.sample(tone.start), _knock(_STROKE_PITCH, _NOTE_SHARE * tone.loudness / 127))


@lru_cache(maxsize=256)
def _knock(frequency: float, share: float) -> _Samples:
    size = int(_CLICK_SECONDS * RATE)
    return array(
        "h",
        [int(_FULL * share * exp(-6 * i / size) * sin(2 * pi * frequency * i / RATE)) for i in range(size)],
    )


def _file(samples: _Samples) -> bytes:
    if sys.byteorder == "big":
        samples.byteswap()
    data = BytesIO()
    with wave.open(data, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    return data.getvalue()
