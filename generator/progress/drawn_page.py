"""What drawn pages have in common: margins, heading and footer, and how they write keys."""

from collections.abc import Iterator
from dataclasses import dataclass

from generator.pages.paper import BOTTOM, LEFT, RIGHT, TOP, Paper
from generator.progress.drawing import Face, Line, Mark, Measure, Text, cut, shrunk
from generator.theory.pitch import NoteName

_SIGNS = {-2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "♯♯"}
_TITLE, _SIDE, _SUB, _FOOT = 20.0, 13.0, 10.5, 8.5  # points
_GAP = 8.0


# More would leave no room for twelve keys side by side.
_LARGEST, _USUAL_STAFF = 1.15, 18.0


def larger(paper: Paper) -> float:
    """How much larger than usual pages are drawn for large staves; a low page has no room for it."""
    if paper.reader.landscape:
        return 1.0
    return min(_LARGEST, max(1.0, paper.staff / _USUAL_STAFF))


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the paper that is drawn on, millimetres from the top left corner."""

    left: float
    right: float
    top: float
    bottom: float
    paper_width: float
    paper_height: float

    @classmethod
    def of(cls, paper: Paper) -> "Frame":
        """The frame of a paper; smaller than it where everything is drawn larger afterwards."""
        width, height = (side / larger(paper) for side in paper.width_and_height)
        return cls(LEFT, width - RIGHT, TOP, height - BOTTOM, width, height)

    @property
    def width(self) -> float:
        """Length of a line."""
        return self.right - self.left


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the top: a title, the instrument beside it, a line under both with something at its end."""

    title: str
    side: str
    under: str = ""
    end: str = ""


def head(frame: Frame, heading: Heading, measure: Measure) -> tuple[list[Mark], float]:
    """The heading, and where the page goes on under it."""
    half = (frame.width - _GAP) / 2
    y = frame.top + 8
    title = measure(heading.title, _TITLE, "bold")
    side = max(frame.width - _GAP - title, half / 2)
    marks: list[Mark] = [
        Text(frame.left, y, heading.title, _TITLE, "bold"),
        *fitting(heading.side, frame.right, y, side, measure, size=_SIDE, align_right=True),
    ]
    if heading.under or heading.end:
        y += 7
        end = min(measure(heading.end, _SUB, "regular"), half)
        marks += fitting(heading.under, frame.left, y, frame.width - _GAP - end, measure, size=_SUB)
        marks += fitting(heading.end, frame.right, y, half, measure, size=_SUB, align_right=True)
    y += 3.5
    marks.append(Line(((frame.left, y), (frame.right, y)), 0.8))
    return marks, y


def fitting(
    words: str,
    x: float,
    y: float,
    width: float,
    measure: Measure,
    *,
    size: float,
    face: Face = "regular",
    align_right: bool = False,
) -> Iterator[Text]:
    """Words in one line, smaller and at last cut where they would be too wide; nothing for no words."""
    if words:
        size = shrunk(words, width, size, 0.75 * size, measure, face)
        yield Text(
            x, y, cut(words, width, size, measure, face), size, face, "right" if align_right else "left"
        )


def foot(frame: Frame, words: str, number: int, pages: int) -> list[Mark]:
    """The footer; the page's number where there are several."""
    marks: list[Mark] = [Text(frame.left, frame.bottom, words, _FOOT)] if words else []
    if pages > 1:
        marks.append(Text(frame.right, frame.bottom, f"{number} of {pages}", _FOOT, align="right"))
    return marks


def key_text(note: NoteName) -> str:
    """A key with signs: ``B♭``."""
    return note.name[0] + _SIGNS[note.alter]


def phrase_text(phrase: str) -> str:
    """A phrase with a capital letter, and signs for the words flat and sharp of its keys."""
    for word, sign in (("-flat", "♭"), ("-sharp", "♯")):
        phrase = phrase.replace(word, sign)
    return phrase[:1].upper() + phrase[1:]
