"""The set of drums: where each of its parts stands on five lines, with which head, and what it is called.

Places are named as in the treble clef. Bass drum in the lowest space, snare drum in the third, ride cymbal on the top
line, hi-hat above the staff and its pedal below it; crosses for cymbals (guide to standardized drum-set notation of the
Percussive Arts Society, as LilyPond's drumpitch-init.ly has it). Keys are those of the General MIDI percussion map.
"""

from dataclasses import dataclass

from generator.theory.pitch import Pitch


@dataclass(frozen=True, slots=True)
class KitPiece:
    """One part of the set.

    Attributes:
        name: what a drummer calls it.
        place: where it stands, named as in the treble clef.
        key: key of the General MIDI percussion map.
        cross: it has a cross for a head.
    """

    name: str
    place: Pitch
    key: int
    cross: bool = False


KIT = (
    KitPiece("hi-hat pedal", Pitch.parse("D4"), 44, cross=True),
    KitPiece("bass drum", Pitch.parse("F4"), 36),
    KitPiece("snare drum", Pitch.parse("C5"), 38),
    KitPiece("ride cymbal", Pitch.parse("F5"), 51, cross=True),
    KitPiece("hi-hat", Pitch.parse("G5"), 42, cross=True),
    KitPiece("crash cymbal", Pitch.parse("A5"), 49, cross=True),
)
PARTS = {part.name: part for part in KIT}
AT = {part.place: part for part in KIT}
CROSSES = frozenset(part.place for part in KIT if part.cross)
