"""What the fields of an ABC tune say: key, metre and unit of length, title, source and goal, and directives of ours."""

import re
from fractions import Fraction

from generator.errors import RequestError, shown
from generator.passage.abc_fields import AbcKey, key_of, metre_of
from generator.theory.duration import Metre

_OURS = "scalewright-"


class TuneHead:
    """What has been said so far; key, metre and unit may change within a tune.

    Attributes:
        metre: None where there is none.
        unit: of length, where a field says it.
        key: with signs of its own and octave.
        title: the first field T, or "".
        source: the first field S, or "".
        goal: beats per minute of its field Q, or None.
        directives: our own, by name.
        symbols: decorations that a field U defines.
    """

    def __init__(self) -> None:
        self.metre: Metre | None = Metre.parse("4/4")
        self.unit: Fraction | None = None
        self.key = AbcKey(0, (), 0)
        self.title = self.source = ""
        self.goal: int | None = None
        self.directives: list[tuple[str, str]] = []
        self.symbols: set[str] = set()

    def directive(self, text: str) -> tuple[str, str]:
        """Name and value of a directive; ours are noted."""
        name, _, value = text.partition(" ")
        if name.startswith(_OURS):
            self.directives.append((name.removeprefix(_OURS), value.strip()))
        return name, value.strip()

    def field(self, name: str, value: str, where: str) -> None:
        """An information field, by its letter.

        Args:
            name: the letter.
            value: after the colon.
            where: bar, for the message.

        Raises:
            RequestError: its value means nothing.
        """
        if name == "K":
            self.key = key_of(value, self.key, where)
        elif name == "M":
            self.metre = metre_of(value, where)
        elif name == "L":
            match = re.fullmatch(r"1(?:/(1|2|4|8|16|32|64))?", value.replace(" ", ""))
            if match is None:
                raise RequestError(f"L:{shown(value)} is no unit of length; write one like L:1/8")
            self.unit = Fraction(1, int(match[1] or 1))
        elif name == "T":
            self.title = self.title or value
        elif name == "S":
            self.source = self.source or value
        elif name == "Q":
            found = re.search(r"=\s*(\d{1,4})(?!\d)", value) or re.fullmatch(r"(\d{1,4})", value)
            self.goal = int(found[1]) if found else self.goal
        elif name == "U":
            self.symbols.add(value[:1])
