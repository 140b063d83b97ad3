"""Which General MIDI programme stands nearest to an instrument, and which key of the drum kit.

Numbers are those of the General MIDI sound set and percussion map, level 1, counted from 0 as files hold them.
"""

from generator.exercise.instrument import Instrument

ORGAN = 20  # reed organ: steady and rich in overtones, which is easier to tune to than a pure tone
# A word of the name, first match wins; then the family.
_BY_NAME = {
    "piccolo trumpet": 56,
    "piccolo": 72,
    "cor anglais": 69,
    "contrabassoon": 70,
    "sopranino saxophone": 64,
    "soprano saxophone": 64,
    "tenor saxophone": 66,
    "baritone saxophone": 67,
    "bass saxophone": 67,
    "tuba": 58,
    "-flat bass": 58,
    "bass guitar": 33,
    "guitar": 24,
    "glockenspiel": 9,
    "bells": 9,
    "vibraphone": 11,
    "marimba": 12,
    "xylophone": 13,
    "harp": 46,
    "timpani": 47,
    "violin": 40,
    "viola": 41,
    "cello": 42,
    "double bass": 43,
}
_BY_FAMILY = {
    "flutes": 73,
    "recorders": 74,
    "oboes": 68,
    "bassoons": 70,
    "clarinets": 71,
    "saxophones": 65,
    "trumpets": 56,
    "horns": 60,
    "trombones": 57,
    "low brass": 57,
    "mallets": 12,
    "plucked strings": 24,
    "keyboards": 0,
    "voices": 52,
    "strings": 48,
}
_ELSE = 73
_DRUMS = {
    "bass drum": 36, "practice pad": 37, "cymbals": 49, "tambourine": 54, "wood block": 77, "triangle": 81,
}  # fmt: skip
_SNARE = 38


def program(instrument: Instrument) -> int:
    """The programme for an instrument, 0 to 127."""
    for word, number in _BY_NAME.items():
        if word in instrument.name:
            return number
    return _BY_FAMILY.get(instrument.family, _ELSE)


def drum_key(instrument: Instrument) -> int | None:
    """The key of the drum kit for percussion without a pitch; None for all other instruments."""
    return _DRUMS.get(instrument.name, _SNARE) if instrument.unpitched else None
