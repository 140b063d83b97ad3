"""Lengths of ABC 2.1: numbers after a note, broken rhythm, tuplets (sections 4.3, 4.4 and 4.13)."""

from dataclasses import replace
from fractions import Fraction

from generator.errors import RequestError, shown
from generator.passage.records import LONGEST, ReadNote
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of

_LONGEST_NUMBER = 4
# (p puts p notes into the time of q; the standard's table. Three in compound metres for 5, 7 and 9.
_TUPLET_TIMES = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}


def factor_of(text: str, where: str) -> Fraction:
    """How many units the number after a note is.

    Raises:
        RequestError: it is no length.

    >>> print(factor_of("3/2", "bar 1"), factor_of("//", "bar 1"))
    3/2 1/4
    """
    number, slash, divisor = text.partition("/")
    slashes = len(slash) + len(divisor) - len(divisor.lstrip("/"))
    divisor = divisor.lstrip("/")
    if max(len(number), len(divisor)) > _LONGEST_NUMBER or slashes > 6:
        raise RequestError(f"{where} has the length {shown(text)}; write one like 3/2")
    top = int(number or 1)
    below = int(divisor) if divisor else 2**slashes
    if not top or not below:
        raise RequestError(f"{where} has a note without length; write one like C or C2")
    return Fraction(top, below)


def values_of(written: Fraction, tuplet: Tuplet | None, where: str) -> tuple[Value, ...]:
    """The values, tied together, that make a length as it is written.

    Raises:
        RequestError: it is too long, or cannot be written.
    """
    if written > LONGEST:
        raise RequestError(f"{where} has a note of {written} whole notes; at most {LONGEST} can be read")
    one = value_of(written * (tuplet.scale if tuplet else 1), tuplet)
    if one is not None:
        return (one,)
    try:
        metre = free(max(written, Fraction(1)))
        return tuple(replace(value, tuplet=tuplet) for value in split_length(Fraction(0), written, metre))
    except RequestError:
        raise RequestError(
            f"{where} has a note of {written} of a whole note; it cannot be written, so use a tuplet"
        ) from None


def free(length: Fraction) -> Metre:
    """A metre that is as long as what it holds."""
    return Metre(length.numerator, length.denominator, (length,))


def broken_factors(signs: str, where: str) -> tuple[Fraction, Fraction]:
    """By what ``>`` or ``<<`` lengthens or shortens the note before it and the one after.

    Raises:
        RequestError: more than three signs.

    >>> print(*broken_factors("<", "bar 1"))
    1/2 3/2
    """
    dots = len(signs)
    if dots > 3:
        raise RequestError(f"{where} has a broken rhythm of {dots} signs; at most three are read")
    long, short = 2 - Fraction(1, 2**dots), Fraction(1, 2**dots)
    return (long, short) if signs[0] == ">" else (short, long)


def stretched(note: ReadNote, factor: Fraction, where: str) -> ReadNote:
    """A note once more, longer or shorter.

    Raises:
        RequestError: it cannot be written.
    """
    written = note.value.written * factor
    value = value_of(written * (note.value.tuplet.scale if note.value.tuplet else 1), note.value.tuplet)
    if value is None:
        raise RequestError(f"{where} has a broken rhythm that cannot be written")
    return replace(note, value=value)


def tuplet_of(sign: str, metre: Metre | None, where: str) -> tuple[Tuplet, int]:
    """A tuplet like ``(3`` or ``(3:2:4``, and how many notes it embraces.

    Raises:
        RequestError: it does not say enough, or too much.

    >>> tuplet_of("(5", Metre.parse("6/8"), "bar 1")
    (Tuplet(actual=5, normal=3), 5)
    """
    parts = sign[1:].split(":")
    actual = int(parts[0])
    compound = metre is not None and metre.count % 3 == 0 and metre.count > 3
    usual = _TUPLET_TIMES.get(actual, 3 if compound else 2)
    if actual > 9 and len(parts) < 2:
        raise RequestError(f"{where} has a tuplet of {actual}; say in the time of how many, like ({actual}:8")
    normal = int(parts[1]) if len(parts) > 1 and parts[1] else usual
    left = int(parts[2]) if len(parts) > 2 and parts[2] else actual
    if not (1 <= actual <= 64 and 1 <= normal <= 64 and 1 <= left <= 64):
        raise RequestError(f"{where} has the tuplet {sign}; its numbers go from 1 to 64, like (3:2:3")
    return Tuplet(actual, normal), left
