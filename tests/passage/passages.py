"""Random passages for property tests: one voice with ties, tuplets, rests, dots, slurs, pickups and changing metres."""

from random import Random

from generator.passage.abc_reader import read_abc
from generator.passage.records import Passage, cut_out
from generator.passage.source import read_line

_METRES = {
    "2/4": 8,
    "3/4": 12,
    "4/4": 16,
    "6/8": 12,
    "9/8": 18,
    "5/8": 10,
    "7/8": 14,
    "2/2": 16,
    "3/8": 6,
    "12/8": 24,
}
_KEYS = ("C", "G", "D", "A", "F", "Bb", "Eb", "Ab", "E", "Db", "F#", "Gb", "C#", "Cb", "B")
# Tuplets by the sixteenths they fill: the sign, and the length of each note in sixteenths.
_TUPLETS = {
    2: (("(3", "1", 3), ("(6:4:6", "/", 6)),
    4: (("(3", "2", 3), ("(5:4:5", "1", 5), ("(6:4:6", "1", 6)),
}


def random_line(chance: Random, *, bars: int = 4, rests: bool = True) -> str:
    """A line of ABC in sixteenths."""
    metre = chance.choice(sorted(_METRES))
    text = f"[M:{metre}][K:{chance.choice(_KEYS)}][L:1/16]"
    quick = chance.random() < 0.3  # a passage of runs, as most are
    place = chance.randrange(-3, 8)
    for number in range(bars):
        size = _METRES[metre]
        if number and chance.random() < 0.05:
            metre = chance.choice(sorted(_METRES))
            size = _METRES[metre]
            text += f" [M:{metre}]"
        text += " "
        left = chance.randrange(1, size) if not number and chance.random() < 0.3 else size
        while left:
            place = max(-5, min(12, place + chance.choice((-3, -2, -1, -1, 1, 1, 2, 3))))
            fits = [one for units in _TUPLETS if units <= left for one in _TUPLETS[units]]
            if fits and chance.random() < 0.1:
                sign, length, count = chance.choice(fits)
                text += sign + "".join(_note(place + k % 4, length) for k in range(count))
                left -= next(units for units, every in _TUPLETS.items() if (sign, length, count) in every)
                continue
            units = min(left, chance.choice((1, 1, 1, 1, 2) if quick else (1, 1, 1, 1, 2, 2, 3, 4, 6)))
            if rests and chance.random() < 0.1:
                text += f"z{units}"
            elif units == 1 and chance.random() < 0.1:
                text += _note(place, "/") + _note(place + 1, "/")
            else:
                slurred = chance.random() < 0.1
                text += "(" if slurred else ""
                text += chance.choice(("", "", "", "", "^", "_", "=")) + _note(place, str(units))
                if chance.random() < 0.06:
                    text += "-"
                if slurred and left - units >= 1:
                    text += _note(place + 1, "1") + ")"
                    units += 1
                elif slurred:
                    text += ")"
            left -= units
        text += "|"
    return text


def _note(place: int, units: str) -> str:
    octave, step = divmod(place, 7)
    letter = "CDEFGAB"[step]
    name = letter if octave <= 0 else letter.lower() + "'" * (octave - 1)
    return name + "," * -min(0, octave) + (units if units != "1" else "")


def random_passage(chance: Random, **how: object) -> Passage:
    """The same, read; with something to play in it."""
    while True:
        line = random_line(chance, **how)  # type: ignore[arg-type]
        bars = read_abc(line).bars
        if any(note.pitch for bar in bars for note in bar.notes):
            return read_line(line).passage if len(bars) < 3 else _cut(line)


def _cut(line: str) -> Passage:
    bars = read_abc(line).bars
    last = bars[-2].number
    try:
        return cut_out(bars, bars[0].number, last)
    except Exception:
        return cut_out(bars)
