"""How a page is set up as LilyPond text: paper, staff, and what its reader needs."""

from generator.engraving.escape import Ly
from generator.pages.paper import Paper
from generator.pages.reader import TINTS

# What LilyPond calls half a sheet.
_HALVES = {"letter": "half letter", "a4": "a5"}
_SIDES = ("left", "right", "top", "bottom")
# How far apart house.ily sets notes.
INCREMENT = 1.1


def page_setup(paper: Paper) -> dict[str, Ly]:
    """Paper, staff size and manner, as every page template reads them."""
    landscape = " 'landscape" if paper.reader.landscape else ""
    return {
        "paper": Ly(f'"{_HALVES[paper.name] if paper.half else paper.name}"{landscape}'),
        "staff": Ly(f"{paper.staff:g}"),
        "manner": manner(paper),
    }


def manner(paper: Paper) -> Ly:
    """What large print and a reader need, below the include; nothing for the usual page."""
    reader = paper.reader
    parts = [r"\paper { system-system-spacing.stretchability = \largeGive }"] if paper.large else []
    if paper.half:
        margins = [
            rf"{side}-margin = {width:g}\mm" for side, width in zip(_SIDES, paper.margins, strict=True)
        ]
        parts.append(rf"\paper {{ {' '.join(margins)} }}")
    if reader.lines != 1:
        parts.append(rf"\thicker #{reader.lines:.2f}")
    if reader.plain:
        parts.append(r"\plainLetters \layout { \plainLayout }")
    if reader.spacing != 1:
        increment = INCREMENT * reader.spacing
        parts.append(
            rf"\layout {{ \context {{ \Score \override SpacingSpanner.spacing-increment = #{increment:.3f} }} }}"
        )
    if reader.names == "in":
        parts.append(r"\layout { \namesInHeads }")
    if reader.tint != "none":
        red, green, blue = (part / 255 for part in TINTS[reader.tint])
        parts.append(rf"\tinted #{red:.3f} #{green:.3f} #{blue:.3f}")
    return Ly("\n".join(parts))
