"""Writing a section file from a roster: certain chairs as rows, open questions as comments to be filled in."""

import json
from collections.abc import Iterator, Sequence

from generator.catalogue.players import OWN_RANGE
from generator.documents.playing_tests import USUAL_TEST, PlayingTest
from generator.documents.section import Chair, Doubt, Section
from generator.rotation.words import WEEKDAYS

_HEAD = """\
# A section. Change anything; then: scalewright handout PHRASE... --section FILE
#   title        printed on every page
#   note         a line for everyone, under the title
#   plan         a file with what the section keeps alive, for: scalewright today --section FILE
#   rehearsals   the days on which it meets, like ["Tuesday", "Thursday"], for: today --section FILE --days 4
#   [[chair]]    one for each part; the order does not matter, pages come in score order
#     name         what the chair is called
#     instrument   see: scalewright list instruments
#     level        first notes, standard (usual) or extended
#     low, high    an own lowest and highest written note instead of a level
#     copies       how many printed copies (usual: 1)
#     player       who sits there
#   [[answer]]   what a doubtful cell of the roster means, so that the next reading asks no more; "-" leaves it out
#   [test]       a playing test of its own (title, octaves, memory, source): handout --test --section FILE
#   [[test_item]]  what is played: phrase, points (left out: octave points), instruments (left out: all with pitches)
#   [[rubric]]   rows of your own: name, slip, marks = [4, 3, 2, 1], counts (a text for each mark), instruments
"""


def section_text(section: Section) -> str:
    """The text of a section file that reads back as the same section.

    Args:
        section: as a roster gave it.
    """
    plan = [f"plan = {_quoted(section.plan)}"] if section.plan else []
    if section.rehearsals:
        days = ", ".join(_quoted(WEEKDAYS[day]) for day in section.rehearsals)
        plan.append(f"rehearsals = [{days}]")
    lines = [_HEAD, f"title = {_quoted(section.title)}", f"note = {_quoted(section.note)}", *plan, ""]
    for chair in section.chairs:
        lines += ["[[chair]]", *_chair(chair), ""]
    for doubt in section.doubts:
        lines += [*_open(doubt), ""]
    for answer in section.answers:
        pairs = (("field", answer.field), ("said", answer.said), ("means", answer.means))
        lines += ["[[answer]]", *(f"{name} = {_quoted(value)}" for name, value in pairs), ""]
    if section.test != USUAL_TEST:
        lines += [*_test(section.test), ""]
    return "\n".join(lines)


def _chair(chair: Chair) -> Iterator[str]:
    player = chair.player
    yield f"name = {_quoted(chair.name)}"
    yield f"instrument = {_quoted(player.instrument.name)}"
    if player.level == OWN_RANGE:
        yield f'low = "{player.compass.low.name}"'
        yield f'high = "{player.compass.high.name}"'
    elif player.level != "standard":
        yield f'level = "{player.level}"'
    if chair.copies > 1:
        yield f"copies = {chair.copies}"
    if chair.person:
        yield f"player = {_quoted(chair.person)}"


def _open(doubt: Doubt) -> Iterator[str]:
    """A question, and for an instrument the chair that is ready for its answer."""
    yield f"# {' '.join(doubt.words.split())}"
    if doubt.field == "instrument":
        yield "# [[chair]]"
        yield f"# instrument = {_quoted(doubt.likely[0] if doubt.likely else '')}"
        yield f"# player = {_quoted(doubt.person)}"


def _test(test: PlayingTest) -> Iterator[str]:
    """The tables of a playing test."""
    yield "[test]"
    yield f"title = {_quoted(test.title)}"
    yield f"octaves = {test.octaves}"
    yield f"memory = {str(test.memory).lower()}"
    yield f"source = {_quoted(test.source)}"
    for item in test.items:
        yield "[[test_item]]"
        yield f"phrase = {_quoted(item.phrase)}"
        if item.points:
            yield f"points = {item.points}"
        if item.instruments:
            yield f"instruments = {_listed(item.instruments)}"
    for own in test.rows:
        yield "[[rubric]]"
        yield f"name = {_quoted(own.row.name)}"
        yield f"slip = {_quoted(own.row.slip)}"
        yield f"marks = {list(own.row.marks)}"
        yield f"counts = {_listed(own.row.counts)}"
        if own.instruments:
            yield f"instruments = {_listed(own.instruments)}"


def _listed(texts: Sequence[str]) -> str:
    return f"[{', '.join(map(_quoted, texts))}]"


def _quoted(text: str) -> str:
    """A TOML basic string; JSON escapes mean the same there, except that TOML wants DEL escaped as well."""
    plain = " ".join(text.encode("utf-8", "replace").decode("utf-8").split())
    return json.dumps(plain, ensure_ascii=False).replace("\x7f", "\\u007f")
