"""Changes to a valid example: other values, lines that are missing or doubled, odd bytes."""

from collections.abc import Sequence
from random import Random

from tests.exhaustive.fuzzing.sound import vocabulary

STRANGE_VALUES: Sequence[str] = (
    "1e999", "-1e999", "nan", "inf", "0x" + "f" * 5000, "1" + "0" * 5000, "-1", "0", "1_000", "true", "false", '""',
    "[]", "{}", "[[[]]]", "[1, [2]]", "{ a = 1 }", "1979-05-27T07:32:00Z", "1979-05-27", "07:32:00", "0001-01-01",
    "9999-12-31", '"' + "x" * 5000 + '"', '"\\u0000"', '"\\u202E\\u0007"', '"\\n"', '"e\\u0301"', '"1e999999999"',
    '"1/0"', "'''a\nb'''", '"C99999999999"', '"٣"', "9" * 40, "1e-999", "[true]", '["every articulation"]',
    "{ others = 100, trombone = 72 }", '"every articulation"', '"board articulations"', '"..."', '"- -"', '","',
    '"in turn"', '"all keys, major"', '"G major, quarter = 60 to 80"', '"' + "́" * 3000 + '"',
)  # fmt: skip


PIECES: Sequence[bytes] = tuple(
    piece.encode("utf-8", "surrogatepass")
    for piece in (
        "\0", "\u0301", "\u0130", "\u0131", "\u200d", "\u202e", "\ufeff", "♭", "♯", "𝄪", "\uff27", "\ud800", "\x1b[2J",
        "\r", "\u2028", "\x85", '"', "'", "[[", "]]", "\\", "\t", ",", ";", "#", "= ", "{", "}", ".", "[" * 2000,
        "a." * 3000, "\u0316\u0300" * 500, " " * 5000, "9" * 5000, "NaN", "Infinity", "null", "\\ud800", "1e999",
    )
)  # fmt: skip


def mutated(data: bytes, chance: Random) -> bytes:
    """Some bytes with a few things changed: a value, a line or single bytes."""
    for _ in range(chance.randint(1, 4)):
        data = chance.choice(_CHANGES)(data, chance)
    return data


def _other_value(data: bytes, chance: Random) -> bytes:
    lines = data.split(b"\n")
    with_value = [number for number, line in enumerate(lines) if b"=" in line]
    if not with_value:
        return data
    number = chance.choice(with_value)
    other = (
        chance.choice(STRANGE_VALUES).encode()
        if chance.random() < 0.7
        else chance.choice(lines).rpartition(b"=")[2]
    )
    lines[number] = lines[number].split(b"=")[0] + b"= " + other
    return b"\n".join(lines)


def _lines_moved(data: bytes, chance: Random) -> bytes:
    lines = data.split(b"\n")
    number = chance.randrange(len(lines))
    match chance.randrange(4):
        case 0:
            del lines[number]
        case 1:
            lines.insert(chance.randrange(len(lines)), lines[number])
        case 2:
            lines[number:number] = lines[number : number + 1] * chance.choice((2, 5, 300))
        case _:
            chance.shuffle(lines)
    return b"\n".join(lines)


def _bytes_changed(data: bytes, chance: Random) -> bytes:
    raw = bytearray(data or b" ")
    for _ in range(chance.choice((1, 1, 2, 8))):
        place = chance.randrange(len(raw))
        match chance.randrange(5):
            case 0:
                raw[place] = chance.randrange(256)
            case 1:
                raw[place : place + chance.choice((1, 3, 40))] = b""
            case 2:
                raw[place:place] = chance.choice(PIECES)
            case 3:
                raw[place:place] = raw[place : place + chance.choice((1, 8, 30))] * chance.choice((1, 2, 100))
            case _:
                raw[place:place] = bytes([chance.randrange(256)])
        raw = raw or bytearray(b" ")
    return bytes(raw)


def _token_replaced(data: bytes, chance: Random) -> bytes:
    """A word between quotes or commas becomes another."""
    marks = [k for k, byte in enumerate(data) if byte in b'",=;:\n\t']
    if len(marks) < 2:
        return data
    at = chance.randrange(len(marks) - 1)
    word = chance.choice(vocabulary()) if chance.random() < 0.5 else chance.choice(STRANGE_VALUES)
    return data[: marks[at] + 1] + word.encode() + data[marks[at + 1] :]


_CHANGES = (_other_value, _lines_moved, _bytes_changed, _token_replaced)
