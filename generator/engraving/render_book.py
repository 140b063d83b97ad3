r"""The pages of a book as LilyPond text: volumes of exercises and the contents.

A volume is one `\book`, which LilyPond holds in memory as a whole; each chapter in it is a `\bookpart` with a title and
a running head of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.engraving import music
from generator.engraving.escape import Ly, ly_string
from generator.engraving.include import house_style
from generator.engraving.manner import page_setup
from generator.engraving.render import filled, page_context, signs
from generator.files.resources import own_text
from generator.pages.book import Chapter, index
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout

EXTRA = "book.ily"
WORDS = music.WORDS | {
    "bookpart", "markup", "romanPages", "book-name", "small-print", "contents-heading", "contents-chapter",
}  # fmt: skip
# A list of all keys, in the contents; a chapter with more to tell apart is listed by title alone.
_MOST = 60


@dataclass(frozen=True, slots=True)
class BookWords:
    """What is the same on every page of a book.

    Attributes:
        title: of the book.
        instrument: for which.
        footer: at the foot of every page.
        note: a person's own line, on the first page.
    """

    title: str
    instrument: str
    footer: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class BookStretch:
    """Exercises laid out together.

    Attributes:
        sheet: laid out; its title is that of the chapter.
        opens: the chapter begins here.
    """

    sheet: SheetLayout
    opens: bool


@dataclass(frozen=True, slots=True)
class Volume:
    """Stretches that are engraved together.

    Attributes:
        output: stem of its file.
        first_page: number of its first page.
        stretches: in order.
    """

    output: str
    first_page: int
    stretches: tuple[BookStretch, ...]


def book_includes(folder: Path) -> dict[str, str]:
    """The include files of a book, by name."""
    return {**house_style(folder), EXTRA: own_text(folder / EXTRA)}


def render_volume(volume: Volume, words: BookWords, paper: Paper, folder: Path) -> str:
    """A volume as text.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    context = {
        **_common(words, paper),
        "midi": False,
        "output": ly_string(volume.output),
        "first_page": Ly(str(volume.first_page)),
        "stretches": [_stretch(stretch) for stretch in volume.stretches],
    }
    return filled("book.ly.j2", context, folder, WORDS)


def render_contents(
    output: str, chapters: Sequence[Chapter], words: BookWords, paper: Paper, folder: Path
) -> str:
    """The first pages: the name of the book and the contents.

    Raises:
        EngravingError: as `render_volume`.
    """
    context = {
        **_common(words, paper),
        "output": ly_string(output),
        "contents": ly_string("Contents"),
        "instrument": ly_string(signs(words.instrument)),
        "note": ly_string(signs(words.note), 600) if words.note else None,
        "chapters": [_chapter(chapter) for chapter in chapters],
    }
    return filled("contents.ly.j2", context, folder, WORDS)


def _common(words: BookWords, paper: Paper) -> dict[str, Any]:
    return {
        **page_setup(paper),
        "book": ly_string(signs(words.title)),
        "footer": ly_string(signs(words.footer)),
    }


def _stretch(stretch: BookStretch) -> dict[str, Any]:
    context = page_context(stretch.sheet)
    if not stretch.opens:
        context |= dict.fromkeys(("title", "subtitle", "remark"), ly_string(""))
    return {**context, "chapter": ly_string(signs(stretch.sheet.words.title))}


def _chapter(chapter: Chapter) -> dict[str, Any]:
    listed = index(chapter.entries)
    if len(listed) == 1 or len(listed) > _MOST:
        listed = []
    return {
        "title": ly_string(signs(chapter.title)),
        "page": ly_string(str(chapter.page)),
        # The bar parts the entries on their way to LilyPond.
        "names": ly_string(signs("|".join(name.replace("|", " ") for name, _ in listed)), 4000),
        "pages": ly_string("|".join(str(page) for _, page in listed), 4000),
    }
