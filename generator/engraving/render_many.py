r"""Many people's sheets in one file, a `\book` each, so that one run of LilyPond engraves several of them."""

from collections.abc import Sequence
from pathlib import Path

from generator.engraving import music
from generator.engraving.escape import ly_string
from generator.engraving.manner import page_setup
from generator.engraving.render import filled, page_context
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout


def render_many(sheets: Sequence[tuple[str, SheetLayout]], paper: Paper, folder: Path) -> str:
    """Sheets as one text.

    Args:
        sheets: in order, each with the stem of its file.
        paper: of all.
        folder: where the templates are.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    pages = [{**page_context(sheet), "output": ly_string(stem)} for stem, sheet in sheets]
    return filled("many.ly.j2", {**page_setup(paper), "midi": False, "pages": pages}, folder, music.WORDS)
