"""Binding: several PDFs become one, with a bookmark for each and as many copies as are needed.

The library is imported when something is bound, so that nobody else waits for it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO

from generator.errors import MachineError
from generator.files.loading import loading


@dataclass(frozen=True, slots=True)
class Leaf:
    """One document of a bound one.

    Attributes:
        bookmark: its name in the outline.
        data: the PDF.
        copies: how often it is bound in; the bookmark stands at the first.
    """

    bookmark: str
    data: bytes
    copies: int = 1


@loading()
def bind(title: str, leaves: Sequence[Leaf], *, two_sided: bool = False) -> bytes:
    """One PDF.

    Args:
        title: of the document.
        leaves: in order.
        two_sided: fill up with blank pages so that every copy begins on a sheet of its own.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415

    writer = PdfWriter()
    for leaf in leaves:
        reader = PdfReader(BytesIO(leaf.data))
        for copy in range(leaf.copies):
            writer.append(reader, outline_item=leaf.bookmark if copy == 0 else None, import_outline=False)
            if two_sided and len(reader.pages) % 2:
                writer.add_blank_page()
    writer.add_metadata({"/Title": title})
    found = BytesIO()
    writer.write(found)
    return found.getvalue()


@dataclass(frozen=True, slots=True)
class LeafGroup:
    """Documents of one person in a bound one.

    Attributes:
        bookmark: the name above those of its leaves, or "" for leaves without one.
        leaves: in order.
    """

    bookmark: str
    leaves: tuple[Leaf, ...]


@loading()
def bind_groups(title: str, groups: Sequence[LeafGroup], *, two_sided: bool = False) -> bytes:
    """One PDF of several persons' documents, with a bookmark for each person and one below it for each document.

    Args:
        title: of the document.
        groups: in order.
        two_sided: fill up with blank pages so that every person begins on a sheet of their own.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415

    writer = PdfWriter()
    for group in groups:
        above = None
        for leaf in group.leaves:
            at = len(writer.pages)
            writer.append(PdfReader(BytesIO(leaf.data)), import_outline=False)
            if group.bookmark and above is None:
                above = writer.add_outline_item(title=group.bookmark, page_number=at, is_open=False)
            if leaf.bookmark:
                writer.add_outline_item(title=leaf.bookmark, page_number=at, parent=above)
        if two_sided and len(writer.pages) % 2:
            writer.add_blank_page()
    writer.compress_identical_objects()
    writer.add_metadata({"/Title": title})
    found = BytesIO()
    writer.write(found)
    return found.getvalue()


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A place in the outline of a book.

    Attributes:
        words: its name.
        page: page number, from 1 at the first exercise.
        inner: bookmarks below it.
    """

    words: str
    page: int
    inner: "tuple[Bookmark, ...]" = ()


@loading()
def bind_book(title: str, front: bytes, parts: Sequence[bytes], bookmarks: Sequence[Bookmark]) -> bytes:
    """One PDF of a book: the first pages counted in Roman numerals, then the parts, page 1 on a right-hand page.

    Args:
        title: of the document.
        front: the first pages.
        parts: the others, in order.
        bookmarks: for the outline.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415
    from pypdf.constants import PageLabelStyle  # noqa: PLC0415

    writer = PdfWriter()
    writer.append(PdfReader(BytesIO(front)), import_outline=False)
    if len(writer.pages) % 2:
        writer.add_blank_page()
    before = len(writer.pages)
    for part in parts:
        writer.append(PdfReader(BytesIO(part)), import_outline=False)
    writer.set_page_label(0, before - 1, style=PageLabelStyle.LOWERCASE_ROMAN)
    writer.set_page_label(before, len(writer.pages) - 1, style=PageLabelStyle.DECIMAL)
    writer.add_outline_item(title="Contents", page_number=0)
    for chapter in bookmarks:
        above = writer.add_outline_item(
            title=chapter.words, page_number=before + chapter.page - 1, is_open=False
        )
        for one in chapter.inner:
            writer.add_outline_item(title=one.words, page_number=before + one.page - 1, parent=above)
    writer.compress_identical_objects()
    writer.add_metadata({"/Title": title})
    found = BytesIO()
    writer.write(found)
    return found.getvalue()


@loading()
def page_count(data: bytes) -> int:
    """How many pages a PDF has."""
    from pypdf import PdfReader  # noqa: PLC0415

    return len(PdfReader(BytesIO(data)).pages)


def can_be_bound(files: Mapping[str, bytes]) -> bool:
    """Whether every PDF among these files can be read, as all can that LilyPond made."""
    try:
        return all(page_count(data) for name, data in files.items() if name.endswith(".pdf"))
    except MachineError:
        raise
    except Exception:  # the library says in many ways that something is no PDF
        return False
