"""Random passages for property tests: one voice with ties, tuplets, rests, dots, slurs and pickups."""

from random import Random

from generator.passage.abc_reader import read_abc
from generator.passage.records import Passage, cut_out
from generator.passage.source import read_line

_METRES = {"2/4": 8, "3/4": 12, "4/4": 16, "6/8": 12, "9/8": 18, "5/8": 10, "7/8": 14, "2/2": 16}
_KEYS = ("C", "G", "D", "A", "F", "Bb", "Eb", "Ab", "E", "Db", "F#", "Gb")


def random_line(chance: Random, *, bars: int = 4, rests: bool = True) -> str:
    """A line of ABC in sixteenths."""
    metre = chance.choice(sorted(_METRES))
    size = _METRES[metre]
    text = f"[M:{metre}][K:{chance.choice(_KEYS)}][L:1/16]"
    lengths = [size] * bars
    if chance.random() < 0.3:
        lengths[0] = chance.randrange(1, size)
    place = chance.randrange(-3, 8)
    for length in lengths:
        text += " "
        left = length
        while left:
            place = max(-5, min(12, place + chance.choice((-3, -2, -1, -1, 1, 1, 2, 3))))
            if left >= 4 and chance.random() < 0.12:
                text += "(3" + "".join(_note(place + k, 2) for k in (0, 1, 2))
                left -= 4
                continue
            units = min(left, chance.choice((1, 1, 1, 1, 2, 2, 3, 4, 6)))
            if rests and chance.random() < 0.1:
                text += f"z{units}"
            else:
                text += chance.choice(("", "", "", "", "^", "_", "=")) + _note(place, units)
                if chance.random() < 0.06:
                    text += "-"
            left -= units
        text += "|"
    return text


def _note(place: int, units: int) -> str:
    octave, step = divmod(place, 7)
    letter = "CDEFGAB"[step]
    name = letter if octave <= 0 else letter.lower() + "'" * (octave - 1)
    return name + "," * -min(0, octave) + (str(units) if units > 1 else "")


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
