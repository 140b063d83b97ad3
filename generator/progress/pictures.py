"""Drawn pages as PDF, PNG and SVG. The only module that names matplotlib, and it loads it only when a page is drawn.

Nothing is remembered from the drawing library's own settings files, and no date is written into a file: the same page
gives the same bytes.
"""

import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator.files.loading import loading
from generator.pages.paper import Paper
from generator.pages.reader import TINTS, USUAL_READER
from generator.progress.drawing import (
    BLACK,
    MM_PER_POINT,
    WHITE,
    Box,
    Dot,
    Drawing,
    Face,
    Line,
    Mark,
    Measure,
    Shape,
    Text,
)
from generator.progress.drawn_page import larger

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure
    from matplotlib.transforms import Transform

FORMATS = ("pdf", "png", "svg")
MM_PER_INCH = 25.4
DOTS_PER_INCH = 150
# The faces of the house, as LilyPond brings them along; the first that is complete is used.
_FACES: tuple[tuple[str, dict[str, str]], ...] = (
    (
        "TeX Gyre Schola",
        {
            "regular": "texgyreschola-regular.otf",
            "bold": "texgyreschola-bold.otf",
            "italic": "texgyreschola-italic.otf",
        },
    ),
    ("C059", {"regular": "C059-Roman.otf", "bold": "C059-Bold.otf", "italic": "C059-Italic.otf"}),
)
# Without serifs; italics stand upright.
_PLAIN: tuple[tuple[str, dict[str, str]], ...] = (
    ("TeX Gyre Heros", {"regular": "texgyreheros-regular.otf", "bold": "texgyreheros-bold.otf"}),
    ("Nimbus Sans", {"regular": "NimbusSans-Regular.otf", "bold": "NimbusSans-Bold.otf"}),
)
# These come with the drawing library; they have the signs for flat and sharp, which the faces of the house lack.
_SPARE = ("DejaVu Serif", "DejaVu Sans")
_MISSING = re.compile(r"Glyph \d+ .* missing from")


@dataclass(frozen=True, slots=True)
class Pictures:
    """Finished files by name, and whether some letter could not be drawn."""

    files: dict[str, bytes]
    letters_missing: bool


class PagePainter:
    """Measures words and draws pages with one set of faces."""

    def __init__(self, fonts: Path | None = None, paper: Paper | None = None) -> None:
        """Choose the faces.

        Args:
            fonts: folder with LilyPond's fonts; without it, or where it lacks them, a face of the library serves.
            paper: what the pages are drawn for; its reader may need plain letters, larger ones, a tint.
        """
        reader = paper.reader if paper else USUAL_READER
        self._plain = reader.plain
        self._families = (*_house_family(fonts, self._plain), *(reversed(_SPARE) if self._plain else _SPARE))
        self._larger = larger(paper) if paper else 1.0
        self._tint = "#{:02x}{:02x}{:02x}".format(*TINTS[reader.tint])

    @property
    def measure(self) -> Measure:
        """Widths of words in these faces."""
        families, plain = self._families, self._plain
        return lambda words, size, face: size * _width(words, _face(face, plain=plain), families)

    def draw(
        self, drawings: Sequence[Drawing], stem: str, formats: Sequence[str], title: str = ""
    ) -> Pictures:
        """Draw pages.

        Args:
            drawings: the pages.
            stem: file name without ending; PNG and SVG files get the number of the page if there are several.
            formats: some of pdf, png, svg.
            title: title inside the files.
        """
        with warnings.catch_warnings(record=True) as said, _settings(self._families):
            warnings.simplefilter("always")
            figures = [_figure(drawing, self._larger, self._tint, plain=self._plain) for drawing in drawings]
            files: dict[str, bytes] = {}
            if "pdf" in formats:
                files[f"{stem}.pdf"] = _pdf(figures, title)
            for number, figure in enumerate(figures, 1):
                name = f"{stem}-{number}" if len(figures) > 1 else stem
                if "png" in formats:
                    files[f"{name}.png"] = _saved(figure, "png", {"Software": "Scalewright"})
                if "svg" in formats:
                    files[f"{name}.svg"] = _saved(figure, "svg", {"Date": None, "Title": title or None})
        missing = any(_MISSING.search(str(one.message)) for one in said)
        for one in said:
            if not _MISSING.search(str(one.message)):
                warnings.warn_explicit(one.message, one.category, one.filename, one.lineno)
        return Pictures(files, missing)


@lru_cache(maxsize=8)
@loading()
def _house_family(fonts: Path | None, plain: bool) -> tuple[str, ...]:  # kept by its arguments
    """The family of the house whose files are all there, made known to the drawing library."""
    from matplotlib.font_manager import fontManager  # noqa: PLC0415

    for family, files in _PLAIN if plain else _FACES:
        paths = [fonts / name for name in files.values()] if fonts else []
        if paths and all(path.is_file() for path in paths):
            for path in paths:
                fontManager.addfont(path)
            return (family,)
    return ()


@lru_cache(maxsize=16384)
def _width(words: str, face: Face, families: tuple[str, ...]) -> float:
    """Width in millimetres at a size of one point."""
    from matplotlib.font_manager import FontProperties  # noqa: PLC0415
    from matplotlib.textpath import text_to_path  # noqa: PLC0415

    large = 100.0  # widths are rounded at small sizes
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a missing letter is told when it is drawn
        properties = FontProperties(family=list(families), size=large, **_style(face))
        width, _, _ = text_to_path.get_text_width_height_descent(words, properties, ismath=False)
    return float(width) * MM_PER_POINT / large


@contextmanager
def _settings(families: tuple[str, ...]) -> Iterator[None]:
    """The drawing library's own defaults and ours, whatever settings file a machine has."""
    import matplotlib as mpl  # noqa: PLC0415

    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(
            {
                "font.family": list(families),
                "text.hinting": "none",  # so that words are as wide as measured
                "pdf.fonttype": 3,  # OpenType faces as 42 make some readers complain
                "svg.fonttype": "path",  # looks the same where the faces are not installed
                "svg.hashsalt": "scalewright",
            }
        )
        yield


def _face(face: Face, *, plain: bool) -> Face:
    return "regular" if plain and face == "italic" else face


def _style(face: Face) -> dict[str, Any]:
    return {
        "weight": "bold" if face == "bold" else "normal",
        "style": "italic" if face == "italic" else "normal",
    }


def _figure(drawing: Drawing, times: float, tint: str, *, plain: bool) -> "Figure":
    """A page, its unit a millimetre from the top left corner, drawn larger."""
    from matplotlib.figure import Figure  # noqa: PLC0415
    from matplotlib.transforms import Affine2D  # noqa: PLC0415

    size = (times * drawing.width / MM_PER_INCH, times * drawing.height / MM_PER_INCH)
    figure = Figure(figsize=size, facecolor=tint)
    page = Affine2D().scale(1 / drawing.width, -1 / drawing.height).translate(0, 1) + figure.transFigure
    for order, mark in enumerate(drawing.marks):
        _put(figure, _drawn(mark, times, plain=plain), page, order)
    return figure


def _drawn(mark: Mark, times: float, *, plain: bool) -> Mark:
    """A mark whose letters and lines are so much larger; places are scaled by the page."""
    if isinstance(mark, Text):
        return replace(mark, size=mark.size * times, face=_face(mark.face, plain=plain))
    if isinstance(mark, Line):
        return replace(mark, width=mark.width * times)
    return mark


def _put(figure: "Figure", mark: Mark, page: "Transform", order: int) -> None:
    if isinstance(mark, Text):
        figure.text(
            mark.x,
            mark.y,
            mark.words,
            transform=page,
            zorder=order,
            size=mark.size,
            color=str(mark.ink),
            ha=mark.align,
            va="baseline",
            parse_math=False,
            **_style(mark.face),
        )
        return
    artist = _artist(mark)
    artist.set_transform(page)
    artist.set_zorder(order)
    figure.add_artist(artist)


def _artist(mark: Line | Box | Shape | Dot) -> "Artist":
    from matplotlib.lines import Line2D  # noqa: PLC0415
    from matplotlib.patches import Circle, Polygon, Rectangle  # noqa: PLC0415

    if isinstance(mark, Line):
        xs, ys = zip(*mark.points, strict=True)
        line = Line2D(xs, ys, linewidth=mark.width, color=str(mark.ink), solid_capstyle="butt")
        if mark.dashed:
            line.set_linestyle((0, (4, 3)))
        return line
    if isinstance(mark, Shape):
        return Polygon(mark.corners, closed=True, facecolor=str(mark.ink), edgecolor="none")
    if isinstance(mark, Dot):
        inside = WHITE if mark.hollow else BLACK
        return Circle(
            (mark.x, mark.y), mark.radius, linewidth=0.8, facecolor=str(inside), edgecolor=str(BLACK)
        )
    return Rectangle(
        (mark.x, mark.y),
        mark.width,
        mark.height,
        facecolor="none" if mark.fill is None else str(mark.fill),
        edgecolor="none" if mark.outline is None else str(BLACK),
        linewidth=mark.outline or 0,
    )


def _pdf(figures: Sequence["Figure"], title: str) -> bytes:
    from matplotlib.backends.backend_pdf import PdfPages  # noqa: PLC0415

    told = {"Creator": "Scalewright", "Producer": None, "CreationDate": None, "Title": title or None}
    buffer = BytesIO()
    with PdfPages(buffer, metadata=told) as pages:
        for figure in figures:
            pages.savefig(figure)
    return buffer.getvalue()


def _saved(figure: "Figure", form: str, metadata: dict[str, str | None]) -> bytes:
    buffer = BytesIO()
    figure.savefig(buffer, format=form, dpi=DOTS_PER_INCH, metadata=metadata)
    return buffer.getvalue()
