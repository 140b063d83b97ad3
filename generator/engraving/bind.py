"""Binding: several PDFs become one, with a bookmark for each and as many copies as are needed.

The library is imported when something is bound, so that nobody else waits for it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO


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


def page_count(data: bytes) -> int:
    """How many pages a PDF has."""
    from pypdf import PdfReader  # noqa: PLC0415

    return len(PdfReader(BytesIO(data)).pages)
