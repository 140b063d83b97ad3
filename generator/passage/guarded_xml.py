"""XML from a stranger, read in bounded steps: no entities, no depth or number beyond what a score has."""

from collections.abc import Callable
from xml.etree.ElementTree import ParseError, XMLParser

from generator.errors import RequestError, clipped

DEEPEST, MOST_ELEMENTS = 40, 2_000_000
_STEP, _LONGEST_TAG = 1 << 16, 1 << 20


class Guarded:
    """A reader of XML events that refuses depth and number."""

    def __init__(self) -> None:
        self.depth = self.count = self.told = 0
        self.root = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        self.depth += 1
        self.count += 1
        self.told += 1
        if self.depth > DEEPEST:
            raise RequestError(
                f"the file is nested more than {DEEPEST} deep, as no score is; export it again"
            )
        if self.count > MOST_ELEMENTS:
            raise RequestError("the file holds more than any score; export the one part you play")
        self.root = self.root or tag
        self.begun(tag, attributes)

    def end(self, tag: str) -> None:
        """An element ends."""
        self.depth -= 1
        self.told += 1
        self.ended(tag)

    def data(self, text: str) -> None:
        """Text between elements."""
        self.told += 1
        self.heard(text)

    def close(self) -> None:
        """The file is over."""

    def begun(self, tag: str, attributes: dict[str, str]) -> None:
        """For whoever wants to know."""

    def ended(self, tag: str) -> None:
        """For whoever wants to know."""

    def heard(self, text: str) -> None:
        """For whoever wants to know."""


def fed(data: bytes, target: Guarded, until: Callable[[], bool] = lambda: False) -> None:
    """Read a text, up to where enough of it is known.

    Args:
        data: the text.
        target: hears of what stands there.
        until: asked after each step.

    Raises:
        RequestError: it is no XML, or none of a score.
    """
    parser = XMLParser(target=target)  # noqa: S314  # the target refuses what may harm
    refuse_entities(data)
    try:
        told = heard_at = 0
        for start in range(0, len(data), _STEP):
            parser.feed(data[start : start + _STEP])
            if until():
                return
            # The parser reads a tag that does not end from its beginning again at each step.
            if target.told != told:
                told, heard_at = target.told, start
            elif start - heard_at > _LONGEST_TAG:
                raise RequestError("the file has a tag of more than 1 MB, as no score has; export it again")
        parser.close()
    except ParseError as error:
        raise RequestError(f"the file is no whole XML ({error}); export it again") from None
    except RequestError:
        raise
    except (ValueError, LookupError, AssertionError) as error:
        raise RequestError(
            f"the file cannot be read ({clipped(str(error))}); export it again as UTF-8"
        ) from None


def refuse_entities(data: bytes) -> None:
    """Refuse a text that declares entities, in whatever encoding it is written.

    Raises:
        RequestError: it does.
    """
    head = data[: 1 << 20].replace(b"\0", b"")
    if b"<!ENTITY" in head or (b"<!ENTITY" in data) or b"<!ATTLIST" in head:
        raise RequestError("the file declares entities, which no score needs; export it again")
