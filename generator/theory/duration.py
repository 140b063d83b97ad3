"""Note values: exact lengths, and how a length is written.

All lengths are fractions of a whole note. A written value is a power-of-two note with dots; a tuplet is a
ratio such as 3:2 ("three in the time of two"), and the sounding length is the written one times 2/3.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property

from generator.errors import RequestError, shown

_LONGEST, _SHORTEST = 1, 64
_MOST_DIGITS = 2


@dataclass(frozen=True, slots=True)
class Tuplet:
    """``actual`` notes in the time of ``normal``."""

    actual: int
    normal: int

    @property
    def scale(self) -> Fraction:
        """What a written length is multiplied by."""
        return Fraction(self.normal, self.actual)

    def __str__(self) -> str:
        return f"{self.actual}:{self.normal}"


@dataclass(frozen=True, slots=True)
class Value:
    """A written note value.

    Attributes:
        base: 1 for a whole note, 4 for a quarter, 16 for a sixteenth.
        dots: 0 to 2.
        tuplet: the tuplet it stands in, if any.
    """

    base: int
    dots: int = 0
    tuplet: Tuplet | None = None

    @property
    def written(self) -> Fraction:
        """Length as written, tuplet aside."""
        return _written(self.base, self.dots)

    @property
    def length(self) -> Fraction:
        """Real length, a fraction of a whole note."""
        return _length(self)

    def __str__(self) -> str:
        return f"{self.base}{'.' * self.dots}"


@cache
def _written(base: int, dots: int) -> Fraction:
    return Fraction(1, base) * (2 - Fraction(1, 2**dots))


@cache
def _length(value: Value) -> Fraction:
    return value.written * value.tuplet.scale if value.tuplet else value.written


@cache
def value_of(length: Fraction, tuplet: Tuplet | None = None) -> Value | None:
    """The single written value of a real length, or None when it needs a tie.

    >>> str(value_of(Fraction(3, 4)))
    '2.'
    >>> value_of(Fraction(5, 16)) is None
    True
    """
    written = length / tuplet.scale if tuplet else length
    for dots in (0, 1, 2):
        base = (2 - Fraction(1, 2**dots)) / written
        if base.denominator == 1 and _is_power(base.numerator) and _LONGEST <= base <= _SHORTEST:
            return Value(base.numerator, dots, tuplet)
    return None


@dataclass(frozen=True)
class Metre:
    """A time signature with the way its beats are felt.

    Attributes:
        count: upper number.
        unit: lower number.
        beats: lengths of the beats in order; 6/8 has two of 3/8, 7/8 three of 2/8, 2/8 and 3/8.
    """

    count: int
    unit: int
    beats: tuple[Fraction, ...]

    @classmethod
    def parse(cls, text: str) -> "Metre":
        """Read ``4/4``, ``6/8``, or with its grouping ``8/8 3+3+2``, ``7/8 3+2+2``.

        Without a grouping, eighth metres that divide by three (above 3) are felt in threes, 5/8 as 3+2, 7/8 as 2+2+3
        (common practice).

        Raises:
            RequestError: no metre of this kind.

        >>> print(*Metre.parse("6/8").beats)
        3/8 3/8
        >>> print(*Metre.parse("7/8").beats)
        1/4 1/4 3/8
        >>> print(*Metre.parse("7/8 3+2+2").beats)
        3/8 1/4 1/4
        """
        head, _, groups = text.strip().partition(" ")
        upper, slash, lower = head.partition("/")
        if (
            not (slash and upper.isdecimal() and len(upper) <= _MOST_DIGITS and lower.isdecimal())
            or not 1 <= int(upper) <= 24
            or lower not in {"1", "2", "4", "8", "16"}
        ):
            raise RequestError(f"{shown(text)} is no metre; write one like 4/4, 6/8 or 7/8 2+2+3")
        count, unit = int(upper), int(lower)
        if not re.fullmatch(r"(\d{1,2}(\+\d{1,2}){0,23})?", groups, re.ASCII):
            raise RequestError(f"{shown(groups)} is no grouping of {head}; write one like 2+2+3")
        parts = [int(p) for p in groups.split("+")] if groups else _usual_groups(count, unit)
        if sum(parts) != count:
            raise RequestError(f"the groups of {shown(text)} add up to {sum(parts)}, not {count}")
        return cls(count, unit, tuple(Fraction(p, unit) for p in parts))

    @cached_property
    def length(self) -> Fraction:
        """Length of a bar."""
        return Fraction(self.count, self.unit)

    @property
    def name(self) -> str:
        """``6/8``."""
        return f"{self.count}/{self.unit}"

    @cached_property
    def beat_starts(self) -> tuple[Fraction, ...]:
        """Where the beats begin within the bar."""
        starts = [Fraction(0)]
        for beat in self.beats[:-1]:
            starts.append(starts[-1] + beat)
        return tuple(starts)


def split_length(start: Fraction, length: Fraction, metre: Metre) -> tuple[Value, ...]:
    """Written values, tied together, of a note that begins inside a bar and may not hide its beats.

    A note that begins on a beat takes the longest value that ends on a beat; one that begins off the beat first
    reaches the next beat. The note must not pass the bar.

    Args:
        start: place in the bar, from 0.
        length: real length.
        metre: the bar.

    Raises:
        RequestError: the length cannot be written without a tuplet.

    >>> print(*split_length(Fraction(1, 8), Fraction(1, 2), Metre.parse("4/4")))  # a half note, off the beat
    8 4.
    """
    borders = (*metre.beat_starts, metre.length)
    values: list[Value] = []
    end = start + length
    while start < end:
        value = _on_beat(start, end, borders) if start in borders else _off_beat(start, end, borders)
        values.append(value)
        start += value.length
    return tuple(values)


def _on_beat(start: Fraction, end: Fraction, borders: tuple[Fraction, ...]) -> Value:
    stops = [end] + [b for b in reversed(borders) if start < b < end]
    for stop in stops:
        value = value_of(stop - start)
        if value is not None and value.dots <= 1:
            return value
    return _pieces(stops[-1] - start)[-1]


def _off_beat(start: Fraction, end: Fraction, borders: tuple[Fraction, ...]) -> Value:
    stop = min(end, *(b for b in borders if b > start))
    value = value_of(stop - start)
    # Smallest first, so that the longer piece stands on the coarser part of the beat.
    return value if value is not None and value.dots <= 1 else _pieces(stop - start)[0]


def _pieces(length: Fraction) -> list[Value]:
    pieces = [Value(64 >> n) for n in range(7) if int(length * 64) >> n & 1]
    if not pieces or sum((v.length for v in pieces), Fraction(0)) != length:
        raise RequestError(f"a note of length {length} cannot be written without a tuplet")
    return pieces


def _usual_groups(count: int, unit: int) -> list[int]:
    if unit >= 8 and count % 3 == 0 and count > 3:
        return [3] * (count // 3)
    if unit >= 8:
        return {3: [3], 5: [3, 2], 7: [2, 2, 3], 8: [3, 3, 2]}.get(count, [1] * count)
    return [1] * count


def _is_power(number: int) -> bool:
    return number > 0 and number & (number - 1) == 0
