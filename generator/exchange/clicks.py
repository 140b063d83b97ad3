"""Where a metronome clicks: on the beats of each bar, before the music and during it."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.exchange.playback import Click
from generator.exercise.records import Bar
from generator.theory.duration import Metre, Value

# Four bars with the click, two without, to check the re-entry (jazz teachers' custom).
_ON, _OFF = 4, 2


@dataclass(frozen=True, slots=True)
class Beat:
    """One click.

    Attributes:
        place: when, a fraction of a whole note from the beginning.
        strong: it begins a bar.
    """

    place: Fraction
    strong: bool


def beats(metre: Metre, unit: Value) -> tuple[Fraction, ...]:
    """Where the clicks of a bar fall: on its beats, or on the value the tempo counts where that fits them.

    So 6/8 is counted in two by dotted quarters and in six by eighths, and 4/4 in two by half notes.

    Args:
        metre: the bar.
        unit: the note value the tempo counts.
    """
    length = unit.length
    starts = metre.beat_starts
    fills = (metre.length / length).denominator == 1
    finer = all((beat / length).denominator == 1 for beat in metre.beats)
    coarser = len(set(metre.beats)) == 1 and (length / metre.beats[0]).denominator == 1
    if fills and (finer or coarser):
        return tuple(length * n for n in range(int(metre.length / length)))
    return starts


def count_in(metre: Metre, unit: Value, bars: int) -> tuple[Beat, ...]:
    """Bars of clicks in a metre, whatever is clicked afterwards."""
    return tuple(
        Beat(metre.length * bar + place, place == 0) for bar in range(bars) for place in beats(metre, unit)
    )


def clicks(bars: Sequence[Bar], unit: Value, wanted: Click) -> tuple[Beat, ...]:
    """The clicks under some bars.

    Args:
        bars: the music.
        unit: the note value the tempo counts.
        wanted: every beat; the even beats (backbeat); four bars on and two off (dropout); none.
    """
    found: list[Beat] = []
    start = Fraction(0)
    for number, bar in enumerate(bars):
        if bar.incomplete and wanted == "every":
            # A pickup is counted as the end of its bar, whatever else is incomplete as the beginning of one.
            late = bar.metre.length - bar.length if number == 0 else Fraction(0)
            found += [
                Beat(start + place - late, False)
                for place in beats(bar.metre, unit)
                if late <= place < late + bar.length
            ]
            start += bar.length
            continue
        if wanted == "backbeat":
            found += [Beat(start + place, False) for place in bar.metre.beat_starts[1::2]]
        elif wanted == "every" or (wanted == "dropout" and number % (_ON + _OFF) < _ON):
            found += [Beat(start + place, place == 0) for place in beats(bar.metre, unit)]
        start += bar.length
    return tuple(found)
