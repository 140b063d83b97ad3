"""A first look at a MusicXML file from a stranger, with the standard library, before any other reader sees it.

The file is read in bounded steps and nothing of it is believed: no entity declaration, no depth, number or size that
music does not need. What comes out is a small file of one part: the bars that are wanted and the one after them, with
the clef, key and metre they stand in. So whatever reads it next has as little to do for a symphony as for a study.
"""

import re
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element, SubElement, TreeBuilder, tostring

from generator.errors import RequestError, clipped, shown
from generator.exercise.instrument import Instrument
from generator.passage.guarded_xml import Guarded, fed
from generator.passage.packed import MOST_BYTES, TOO_LONG
from generator.passage.records import HIGHEST_OCTAVE, MOST_BARS
from generator.passage.xml_part_list import chosen_part, parts_of
from generator.passage.xml_slurs import closed_in, open_after

MOST_MEASURES = 20_000
_MOST_BEATS, _MOST_DIVISIONS, _MOST_IN_TUPLET = 24, 100_000, 64
_OF_A_TAG, _MOST_IN_A_BAR = 20, 1 << 20  # letters; a note has some ten tags
_CARRIED = ("divisions", "key", "time", "clef", "transpose")


@dataclass(frozen=True, slots=True)
class WantedBars:
    """What is wanted of a file: bars by their printed numbers ("" for all), and the part.

    Attributes:
        first: number of the first bar, or "".
        last: number of the last bar, or "".
        part: name or number of the part as said, or "".
        instrument: who plays, for choosing the part where none is said.
    """

    first: str = ""
    last: str = ""
    part: str = ""
    instrument: Instrument | None = None


def one_part(data: bytes, wanted: WantedBars) -> bytes:
    """A small MusicXML text of the one part and the bars that are wanted.

    Args:
        data: the text of the file, unpacked.
        wanted: bars and part.

    Raises:
        RequestError: the file is no such music, or holds what none needs; or there is no such part.
    """
    if len(data) > MOST_BYTES:
        raise RequestError(TOO_LONG)
    builder = _Scan(wanted, chosen_part(parts_of(data), wanted.part, wanted.instrument))
    fed(data, builder)
    if not builder.measures:
        last = f"the last is {builder.number}" if builder.number else "it has no bars with numbers"
        raise RequestError(f"there is no bar {wanted.first or wanted.last or 1} in it; {last}")
    root = Element("score-partwise", version="4.0")
    listed = SubElement(root, "part-list")
    SubElement(SubElement(listed, "score-part", id="P1"), "part-name").text = "passage"
    closed_in(builder.measures, builder.slurs, builder.later)
    part = SubElement(root, "part", id="P1")
    part.extend(builder.measures)
    return bytes(tostring(root, encoding="utf-8", xml_declaration=True))


@dataclass
class _Carried:
    """What bars before the wanted ones have set."""

    parts: dict[str, Element] = field(default_factory=dict)

    def note(self, measure: Element) -> None:
        for attributes in measure.iter("attributes"):
            for one in attributes:
                if one.tag in _CARRIED:
                    self.parts[one.tag + one.get("number", "")] = one

    def attributes(self) -> Element:
        found = Element("attributes")
        order = {name: place for place, name in enumerate(_CARRIED)}
        found.extend(sorted(self.parts.values(), key=lambda one: order[one.tag]))
        return found


class _Scan(Guarded):
    """Keeps the wanted bars of one part."""

    def __init__(self, wanted: WantedBars, part: str | None) -> None:
        super().__init__()
        self.wanted, self.part = wanted, part
        self.measures: list[Element] = []
        self.number = ""
        self._inside = False
        self._seen_part = False
        self._builder: TreeBuilder | None = None
        self._carried = _Carried()
        self.slurs: frozenset[str] = frozenset()
        self.later: dict[str, str] = {}
        self._in = not wanted.first
        self._past = False
        self._after = self._size = 0
        self._count = 0

    def begun(self, tag: str, attributes: dict[str, str]) -> None:
        """Within the part, each bar is built."""
        if tag == "part":
            self._inside = not self._seen_part and self.part in (None, attributes.get("id"))
            self._seen_part = self._seen_part or self._inside
        if tag == "measure" and self._inside:
            self._count += 1
            if self._count > MOST_MEASURES:
                raise RequestError(
                    f"the part has more than {MOST_MEASURES} bars; export the piece you practise"
                )
            if self._after < 2:
                self._builder, self._size = TreeBuilder(), 0
        if self._builder is not None:
            self._grow(_OF_A_TAG)
            self._builder.start(tag, attributes)
        elif tag == "slur" and self._inside:
            self.later.setdefault(attributes.get("number", "1"), attributes.get("type", ""))

    def heard(self, text: str) -> None:
        """Text within a bar."""
        if self._builder is not None:
            self._grow(len(text))
            self._builder.data(text)

    def _grow(self, by: int) -> None:
        """Refuse a bar that holds more than any music, before it is built."""
        self._size += by
        if self._size > _MOST_IN_A_BAR:
            raise RequestError(
                f"the bar after bar {clipped(self.number or '0', 10)} holds more than any bar of music;"
                " export the part again"
            )

    def ended(self, tag: str) -> None:
        """A bar is whole."""
        if tag == "part":
            self._inside = False
        if self._builder is None:
            return
        self._builder.end(tag)
        if tag == "measure":
            measure = self._builder.close()
            self._builder = None
            self._bar(measure)

    def _bar(self, measure: Element) -> None:
        number = (measure.get("number") or "").strip()
        self.number = number or self.number
        for note in measure.iter("note"):
            if not any(note.find(kind) is not None for kind in ("pitch", "rest", "unpitched")):
                SubElement(note, "unpitched")  # a tablature; another reader would take it for some pitch
        plain = _plain(number)
        self._in = self._in or (not self._past and self._begins(number, plain))
        _check_numbers(measure, number, wanted=self._in)
        ending = bool(self.wanted.last) and plain == _plain(self.wanted.last) and self._in
        if self._in and self._past and not ending:
            self._after += 1
        if not self._in:
            self._carried.note(measure)
            self.slurs = open_after([measure], self.slurs)
            return
        if self._after > 1:
            for slur in measure.iter("slur"):
                self.later.setdefault(slur.get("number", "1"), slur.get("type", ""))
            return
        if not self.measures:
            measure.insert(0, self._carried.attributes())
        self.measures.append(measure)
        self._past = self._past or ending
        if len(self.measures) > MOST_BARS + 2:
            raise RequestError(
                f"a passage has at most {MOST_BARS} bars; choose some with --bars, like --bars 10-14"
            )

    def _begins(self, number: str, plain: str) -> bool:
        first = self.wanted.first.casefold()
        return number.casefold() == first or plain == first


def _plain(number: str) -> str:
    """The number of a bar without its letter: 4a counts as bar 4."""
    found = re.match(r"[Xx]?0*(\d{1,6})", number)
    return found[1] if found else number.casefold()


def _check_numbers(measure: Element, number: str, *, wanted: bool) -> None:
    """Refuse absurd numbers: in bars before the wanted ones those alone that stay in force."""
    limits = (
        ("beats", 1, _MOST_BEATS),
        ("divisions", 1, _MOST_DIVISIONS),
        ("octave", 0, HIGHEST_OCTAVE),
        ("actual-notes", 1, _MOST_IN_TUPLET),
        ("normal-notes", 1, _MOST_IN_TUPLET),
    )
    for tag, low, high in limits if wanted else limits[:2]:
        for element in measure.iter(tag):
            text = (element.text or "").strip()
            parts = text.split("+") if tag == "beats" else [text]
            for part in parts:
                if not (part.strip().isdecimal() and len(part.strip()) <= 6 and low <= int(part) <= high):
                    raise RequestError(
                        f"bar {clipped(number, 10)} has {tag} {shown(text, 20)}; {low} to {high} can be read"
                    )
    for tag in ("duration", "fifths", "alter") if wanted else ("fifths",):
        for element in measure.iter(tag):
            text = (element.text or "").strip()
            if not re.fullmatch(r"-?\d{1,9}(\.\d{1,6})?", text):
                raise RequestError(
                    f"bar {clipped(number, 10)} has a {tag} of {shown(text, 20)}, which is no number"
                )


def bar_range(text: str) -> tuple[str, str]:
    """``97-99`` or ``4`` as first and last bar.

    Raises:
        RequestError: it is no such range.

    >>> bar_range("97-99"), bar_range("4a")
    (('97', '99'), ('4a', '4a'))
    """
    found = re.fullmatch(r"\s*(\d{1,5}[a-z]?)\s*(?:(?:-|\u2013|to)\s*(\d{1,5}[a-z]?)\s*)?", text.casefold())
    if found is None:
        raise RequestError(f"--bars {shown(text)} is no range of bars; write one like 97-99 or 4")
    return found[1], found[2] or found[1]
