"""A passage as a small ABC 2.1 file that a person can read and change; reading it gives the passage back."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from generator.files.text import clean
from generator.passage.records import Passage, PassageBar, PassageNote, WrittenValue
from generator.theory.key import signature_alter
from generator.theory.pitch import LETTERS, NoteName, Pitch

_SIGNS = {-2: "__", -1: "_", 0: "=", 1: "^", 2: "^^"}
_MARKS = {"staccato": ".", "fermata": "!fermata!", "accent": "!accent!", "tenuto": "!tenuto!", "marcato": "!marcato!",
          "breath": "!breath!", "trill": "!trill!", "turn": "!turn!", "mordent": "!mordent!",
          "inverted mordent": "!uppermordent!"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class AbcHead:
    """The words of a kept passage.

    Attributes:
        name: what it is called.
        source: where it is from, in the player's words, or "".
        goal: beats per minute worked towards, or None.
        beat: note value the goal counts, like ``1/4``.
        directives: name and value of what only we read.
    """

    name: str
    source: str = ""
    goal: int | None = None
    beat: str = "1/4"
    directives: tuple[tuple[str, str], ...] = ()


def as_abc(passage: Passage, head: AbcHead) -> str:
    """The text of a kept passage.

    Args:
        passage: the music.
        head: its name, source and goal.

    >>> from generator.passage.abc_reader import read_abc
    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:F][M:2/4][L:1/16](fgab) c'ba^g | a4").bars, "1", "1")
    >>> print(as_abc(passage, AbcHead("run")).split("K:F")[1].strip())
    (fgab) c'ba^g |
    """
    first = passage.bars[0]
    unit = Fraction(1, 16) if any(n.length < Fraction(1, 8) for n in passage.attacks) else Fraction(1, 8)
    lines = ["%abc-2.1", "X:1", f"T:{clean(head.name)}"]
    lines += [f"S:{clean(head.source)}"] if head.source else []
    lines += [f"Q:{head.beat}={head.goal}"] if head.goal else []
    numbers = " ".join(bar.number for bar in passage.bars)
    said = [("bars", numbers), *head.directives]
    if passage.landing is not None:
        said.append(("landing", passage.landing.name))
    lines += [f"%%scalewright-{name} {clean(value)}" for name, value in said if value]
    lines += [f"M:{_metre(first)}", f"L:1/{unit.denominator}", f"K:{_key(first.signature)}"]
    lines += _music(passage, unit)
    return "\n".join(lines) + "\n"


def _metre(bar: PassageBar) -> str:
    metre = bar.metre
    if len(set(metre.beats)) == 1:
        return metre.name
    return f"({'+'.join(str(beat * metre.unit) for beat in metre.beats)})/{metre.unit}"


def _key(signature: int) -> str:
    return NoteName.from_fifths(signature).name


def _music(passage: Passage, unit: Fraction) -> Iterator[str]:
    pieces = list(_pieces(passage))
    for number, bar in enumerate(passage.bars):
        before = passage.bars[number - 1] if number else bar
        change = "".join(
            [
                f"[M:{_metre(bar)}] " if bar.metre != before.metre else "",
                f"[K:{_key(bar.signature)}] " if bar.signature != before.signature else "",
            ]
        )
        writer = _BarWriter(bar, unit)
        texts = [writer.text(piece) for piece in pieces if bar.start <= piece.place < bar.end]
        beats = {begin for begin, _ in bar.beats()}
        words = ""
        for place, text in texts:
            words += (" " if place in beats and words else "") + text
        yield f"{change}{words} |"


@dataclass(frozen=True, slots=True)
class _Tied:
    """One written value of a note."""

    note: PassageNote
    place: Fraction
    value: WrittenValue
    first: bool
    last: bool
    opens: bool
    closes: bool
    size: int


def _pieces(passage: Passage) -> Iterator[_Tied]:
    notes = passage.notes
    flat = [value for note in notes for value in note.values]
    at = 0
    for number, note in enumerate(notes):
        next_slurred = number + 1 < len(notes) and notes[number + 1].slurred
        place = note.onset
        for k, value in enumerate(note.values):
            first, last = k == 0, k == len(note.values) - 1
            yield _Tied(
                note, place, value, first, last,
                opens=first and next_slurred and not note.slurred,
                closes=last and note.slurred and not next_slurred,
                size=_size(flat, at) if value.starts else 0,
            )  # fmt: skip
            place += value.value.length
            at += 1


def _size(values: list[WrittenValue], at: int) -> int:
    """How many written notes a tuplet embraces."""
    for count, one in enumerate(values[at:], 1):
        if one.stops:
            return count
    return len(values) - at


class _BarWriter:
    """Writes the notes of one bar, its accidentals remembered."""

    def __init__(self, bar: PassageBar, unit: Fraction) -> None:
        self.bar, self.unit = bar, unit
        self.held: dict[int, int] = {}

    def text(self, piece: _Tied) -> tuple[Fraction, str]:
        """Place and text of one written value."""
        note, value = piece.note, piece.value
        text = ""
        if value.starts and value.value.tuplet:
            text += f"({value.value.tuplet.actual}:{value.value.tuplet.normal}:{piece.size}"
        text += "(" if piece.opens else ""
        if piece.first:
            if note.graces:
                text += "{" + "".join(self._name(pitch) for pitch, _ in note.graces) + "}"
            text += "".join(_MARKS[mark] for mark in note.marks if mark in _MARKS)
        text += "z" if note.pitch is None else self._name(note.pitch)
        text += _length(value.value.written / self.unit)
        text += "-" if note.pitch is not None and not piece.last else ""
        text += ")" if piece.closes else ""
        return piece.place, text

    def _name(self, pitch: Pitch) -> str:
        usual = self.held.get(pitch.place, signature_alter(self.bar.signature, pitch.step))
        sign = "" if usual == pitch.alter else _SIGNS[pitch.alter]
        self.held[pitch.place] = pitch.alter
        letter = LETTERS[pitch.step]
        if pitch.octave >= 5:
            return sign + letter.lower() + "'" * (pitch.octave - 5)
        return sign + letter + "," * (4 - pitch.octave)


def _length(units: Fraction) -> str:
    if units == 1:
        return ""
    if units.denominator == 1:
        return str(units.numerator)
    return f"{units.numerator if units.numerator > 1 else ''}/{units.denominator}"
