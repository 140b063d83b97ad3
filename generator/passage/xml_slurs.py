"""Slurs of a MusicXML part where bars are cut out of it: one that comes in from before, or goes on after, is kept."""

from collections.abc import Iterable, Mapping, Sequence
from xml.etree.ElementTree import Element, SubElement


def open_after(measures: Iterable[Element], before: frozenset[str] = frozenset()) -> frozenset[str]:
    """The numbers of the slurs that are open after some bars.

    Args:
        measures: in order.
        before: those that were open before them.
    """
    found = set(before)
    for measure in measures:
        for slur in measure.iter("slur"):
            number = slur.get("number", "1")
            if slur.get("type") == "start":
                found.add(number)
            elif slur.get("type") == "stop":
                found.discard(number)
    return frozenset(found)


def closed_in(measures: Sequence[Element], before: frozenset[str], later: Mapping[str, str]) -> None:
    """Let slurs from before begin on the first note, and slurs that go on end on the last one.

    Files hold slurs that are begun and never ended, which embrace nothing; so only those count that are ended.

    Args:
        measures: those that are kept; they are changed.
        before: the slurs that were open before them.
        later: the first thing said of a slur after them, start or stop, by its number.
    """
    notes = [note for measure in measures for note in measure.findall("note") if _is_played(note)]
    if not notes:
        return
    told: dict[str, str] = {}
    for measure in measures:
        for slur in measure.iter("slur"):
            told.setdefault(slur.get("number", "1"), slur.get("type", ""))
    coming = {number for number in before if told.get(number, later.get(number)) == "stop"}
    going = {number for number in open_after(measures, frozenset(coming)) if later.get(number) == "stop"}
    ended = {slur.get("number", "1") for slur in notes[0].iter("slur") if slur.get("type") == "stop"}
    for number in sorted(coming - ended):
        _add(notes[0], "start", number)
    for number in sorted(going):
        _add(notes[-1], "stop", number)


def _is_played(note: Element) -> bool:
    return note.find("pitch") is not None and note.find("grace") is None and note.find("chord") is None


def _add(note: Element, kind: str, number: str) -> None:
    notations = note.find("notations")
    if notations is None:
        notations = SubElement(note, "notations")
    SubElement(notations, "slur", type=kind, number=number)
