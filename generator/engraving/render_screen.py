"""An exercise laid out for a screen as LilyPond text: the music alone, without a word round it."""

from pathlib import Path

from generator.engraving import music
from generator.engraving.escape import Ly
from generator.engraving.include import house_style
from generator.engraving.render import filled
from generator.files.resources import own_text
from generator.pages.paper import MM_PER_POINT
from generator.pages.screen import ScreenLayout

EXTRA = "screen.ily"
WORDS = music.WORDS | {"screenPaper"}
HEAD = (
    '\\version "2.24.0"\n#(set-default-paper-size "letter")\n#(set-global-staff-size 18)\n'
    '\\include "house.ily"\n\\include "screen.ily"\n'
)
"""How each such text begins. One staff size serves all screens, for a picture has no size of its own."""
SAMPLE = r"""\book {
  \bookOutputName "sheet"
  \paper { \screenPaper paper-width = 90\mm left-margin = 1\mm right-margin = 1\mm }
  \score { \new Staff { \clef "treble" \key e \major \time 4/4 c''16-.( ds'') e''8~ e''4-> bf'2\< | r1\! \fin } }
}"""
_SPACE = 18 * MM_PER_POINT / 4  # millimetres


def includes(folder: Path) -> dict[str, str]:
    """The include files of a picture for a screen, by name.

    Args:
        folder: where the templates are.

    Raises:
        OutputError: this installation lacks one.
    """
    return {**house_style(folder), EXTRA: own_text(folder / EXTRA)}


def render_screen(laid: ScreenLayout, folder: Path) -> str:
    """The text of one exercise; it gives `sheet-1.svg`, `sheet-2.svg` and so on, a picture for each page.

    Args:
        laid: the exercise.
        folder: where the templates are.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    exercise, lines = laid.exercise, laid.layout.lines
    opening = music.opening(
        exercise.clef, exercise.signature, lines[0][0].metre, ottava=exercise.ottava, feel=exercise.feel
    )
    context = {
        "width": _millimetres(laid.width),
        "margin": _millimetres(laid.margin),
        "marks": music.mark_line(lines),
        "opening": opening,
        "lines": _turned(laid, music.line_texts(lines, exercise.repeats)),
        "syllables": music.syllable_texts(n for line in lines for p in line for n in p.notes),
        "line_width": _line_width(laid),
        "long": exercise.long,
        "metre_hidden": not exercise.metre_shown,
    }
    return filled("screen.ly.j2", context, folder, WORDS)


def _turned(laid: ScreenLayout, texts: tuple[Ly, ...]) -> list[Ly]:
    """The bars, with a page break at the end of each line after which a page begins."""
    found = list(texts)
    place = 0
    for number, line in enumerate(laid.layout.lines, 1):
        place += len(line)
        if number in laid.turns:
            found[place - 1] = Ly(rf"{found[place - 1]} \pageBreak")
    return found


def _line_width(laid: ScreenLayout) -> Ly:
    if laid.layout.short_end:
        return Ly("ragged-last = ##t")
    if laid.layout.length >= laid.width - 2 * laid.margin:
        return Ly("")
    return Ly(rf"line-width = {laid.layout.length * _SPACE:.2f}\mm")


def _millimetres(spaces: float) -> Ly:
    return Ly(f"{spaces * _SPACE:.3f}")
