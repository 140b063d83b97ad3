"""What drums without a pitch play in a playing test: the rhythms of the scales, and rudiments.

Three of the standard rudiments (single strokes, double strokes, paradiddles: Percussive Arts Society) on a snare drum
or a pad, two points each (our own convention).
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.catalogue.players import player_named
from generator.exercise.one_line import on_one_line
from generator.exercise.records import Exercise
from generator.phrase import expand
from generator.section.audition import AuditionPiece

ON_A_SNARE = "On a snare drum or a practice pad."
DRUM_POINTS, _MOST_RHYTHMS = 2, 2
_RUDIMENTS = (
    ("Single strokes", "alternating sticking"),
    ("Double strokes", "double strokes"),
    ("Paradiddles", "paradiddles"),
)


def drum_pieces(heard: Sequence[Exercise], first: int) -> tuple[AuditionPiece, ...]:
    """Rhythms of the scales, each once, and rudiments.

    Args:
        heard: the scales as built for drums.
        first: number of the first column.
    """
    snare = player_named("snare drum")
    rhythms: dict[object, Exercise] = {}
    for one in heard:
        line = on_one_line(one, snare, "")
        rhythms.setdefault(line.bars, line)
    found = [replace(e, notes=(), reason="") for e in list(rhythms.values())[:_MOST_RHYTHMS]]
    if len(found) > 1:
        found = [replace(e, head=f"Rhythm {n}") for n, e in enumerate(found, 1)]
    for name, sticking in _RUDIMENTS:
        (made,) = expand.exercises([f"C major, two octaves, sixteenths, {sticking}"], snare).exercises
        found.append(replace(made, head=name, details="", concert_heading=""))
    return tuple(AuditionPiece(first + n, exercise, DRUM_POINTS) for n, exercise in enumerate(found))
