"""Key signatures and the choice of a readable key name.

A signature is a number of fifths: 1 to 7 sharps, -1 to -7 flats, 0 none. A form names how far its own
signature lies from that of the major key on the same tonic (minor -3, mixolydian -1), so that one rule
serves every mode. Order of sharps F C G D A E B and the fifteen signatures: common practice; the numbers
are those of the MIDI key-signature event.
"""

from functools import cache
from typing import Literal

from generator.theory.pitch import NoteName

Preference = Literal["usual", "sharps", "flats"]
_SHARP_STEPS = (3, 0, 4, 1, 5, 2, 6)
MOST_SIGNS = 7


def signature_alter(fifths: int, step: int) -> int:
    """What a signature does to a letter: 1 sharp, -1 flat, 0 nothing.

    >>> print(*["CDEFGAB"[step] for step in range(7) if signature_alter(-3, step)])  # three flats
    E A B
    """
    if fifths > 0:
        return int(step in _SHARP_STEPS[:fifths])
    return -int(step in _SHARP_STEPS[fifths:]) if fifths < 0 else 0


def signature_of(tonic: NoteName, offset: int) -> int:
    """Signature, in fifths, of a form on a tonic; may pass 7 before the key is respelt.

    >>> signature_of(NoteName.parse("D"), 0), signature_of(NoteName.parse("D"), -3)  # major, minor
    (2, -1)
    """
    return tonic.fifths + offset


def readable(tonic: NoteName, offset: int | None) -> NoteName:
    """The tonic itself, or its other name when the signature would need more than seven signs.

    Args:
        tonic: as asked for.
        offset: the form's distance from the major signature; None for forms without a signature, whose
            tonic only avoids double accidentals and E-sharp, B-sharp, F-flat and C-flat.

    >>> readable(NoteName.parse("G#"), 0).name
    'Ab'
    """
    fifths = tonic.fifths
    if offset is None:
        # F-sharp to G-flat and the like stay as asked: -6 (G-flat) to 10 (A-sharp).
        while fifths > 10:
            fifths -= 12
        while fifths < -6:
            fifths += 12
        return NoteName.from_fifths(fifths)
    while fifths + offset > MOST_SIGNS:
        fifths -= 12
    while fifths + offset < -MOST_SIGNS:
        fifths += 12
    return NoteName.from_fifths(fifths)


def usual_name(pitch_class: int, offset: int | None, preference: Preference = "usual") -> NoteName:
    """The name a player normally reads for a key.

    Fewest accidentals win; F-sharp against G-flat (and its relatives), six signs each, goes to flats,
    which wind bands meet more often (common practice, no source). ``sharps`` and ``flats`` take that side
    wherever both are readable.

    >>> usual_name(6, 0).name, usual_name(6, 0, "sharps").name, usual_name(8, -3).name
    ('Gb', 'F#', 'G#')
    """
    return _usual_name(pitch_class, offset, preference)


@cache
def _usual_name(pitch_class: int, offset: int | None, preference: Preference) -> NoteName:
    shift = -2 if offset is None else offset
    names = [
        NoteName.from_fifths(f) for f in range(-12, 13) if NoteName.from_fifths(f).pitch_class == pitch_class
    ]
    names = [n for n in names if readable(n, offset) == n]
    if preference == "sharps":
        return max(names, key=lambda n: n.fifths)
    if preference == "flats":
        return min(names, key=lambda n: n.fifths)
    return min(names, key=lambda n: (abs(n.fifths + shift), n.fifths))


def both_names(pitch_class: int, offset: int | None) -> tuple[NoteName, ...]:
    """Every readable name of a key, the usual one first.

    >>> print(*both_names(6, 0))
    Gb F#
    """
    first = usual_name(pitch_class, offset)
    others = {usual_name(pitch_class, offset, side) for side in ("sharps", "flats")} - {first}
    return (first, *others)


def circle_place(tonic: NoteName, offset: int | None) -> int:
    """Place of a key on the circle of fifths by its signature, 0 (no sign) to 11.

    >>> [circle_place(NoteName.parse(name), 0) for name in ("C", "G", "D", "Bb", "F")]
    [0, 1, 2, 10, 11]
    """
    return (tonic.fifths + (offset or 0)) % 12
