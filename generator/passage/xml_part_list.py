"""The parts of a MusicXML score by name, and the one that is meant."""

from generator.catalogue.names import fold
from generator.errors import RequestError, clipped, shown
from generator.exercise.instrument import Instrument
from generator.passage.guarded_xml import Guarded, fed
from generator.passage.parts import PartError

MOST_PARTS = 200


def parts_of(data: bytes) -> list[tuple[str, str]]:
    """Identity and name of each part, in order.

    Args:
        data: the text of the file.

    Raises:
        RequestError: it is no score of parts.
    """
    looking = _PartList()
    fed(data, looking, until=lambda: looking.over)
    if looking.root != "score-partwise":
        if looking.root == "score-timewise":
            raise RequestError(
                "the score is written bar by bar (timewise); export it part by part (partwise)"
            )
        raise RequestError(f"this is no MusicXML score but {clipped(looking.root or 'nothing')}; export one")
    return looking.parts


def chosen_part(parts: list[tuple[str, str]], said: str, instrument: Instrument | None) -> str | None:
    """The identity of the part; None for the only one there is.

    Args:
        parts: identity and name of each.
        said: name or number of the part as a person says it, or "".
        instrument: who plays: the part of that name is taken where none is said.

    Raises:
        RequestError: there is no such part, or several; the line lists them.
    """
    names = ", ".join(
        f"{number} {clipped(name or 'without a name', 30)}" for number, (_, name) in enumerate(parts, 1)
    )
    if said:
        if said.isdecimal() and 1 <= int(said[:6]) <= len(parts):
            return parts[int(said[:6]) - 1][0] if len(parts) > 1 else None
        words = fold(said)
        found = [one for one in parts if fold(one[1]) == words] or [
            one for one in parts if _within(words, fold(one[1]))
        ]
        if len(found) == 1:
            return found[0][0]
        raise PartError(
            f"there is no one part called {shown(said)}; the parts are: {names}",
            tuple(n for _, n in parts),
        )
    if len(parts) <= 1:
        return None
    mine = [one for one in parts if instrument and _suits(one[1], instrument)]
    if len(mine) == 1:
        return mine[0][0]
    raise PartError(
        f"there are {len(parts)} parts; say which with --part: {names}", tuple(n for _, n in parts)
    )


def _suits(name: str, instrument: Instrument) -> bool:
    """Whether a part's name is that of an instrument, whatever its transposition is called."""
    words = set(fold(name))
    own = (instrument.name, instrument.label, *instrument.aliases)
    return any(
        set(fold(one)) <= words or (words and words <= set(fold(one)) and len(words) > 0) for one in own
    )


def _within(said: tuple[str, ...], name: tuple[str, ...]) -> bool:
    return any(name[place : place + len(said)] == said for place in range(len(name)))


class _PartList(Guarded):
    """Looks for the list of parts."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[tuple[str, str]] = []
        self.over = False
        self._identity: str | None = None
        self._text: list[str] | None = None

    def begun(self, tag: str, attributes: dict[str, str]) -> None:
        """Names of parts are kept."""
        if tag == "score-part":
            self._identity = attributes.get("id", "")
            self.parts.append((self._identity, ""))
            if len(self.parts) > MOST_PARTS:
                raise RequestError(f"the score has more than {MOST_PARTS} parts; export the one you play")
        elif tag == "part-name" and self._identity is not None:
            self._text = []
        elif tag in ("part", "measure"):
            self.over = True

    def heard(self, text: str) -> None:
        """The name of a part."""
        if self._text is not None:
            self._text.append(text[:200])

    def ended(self, tag: str) -> None:
        """A name is whole."""
        if tag == "part-name" and self._text is not None:
            self.parts[-1] = (self.parts[-1][0], " ".join("".join(self._text).split())[:200])
            self._text = None
        elif tag == "part-list":
            self.over = True
