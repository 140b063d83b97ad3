"""Two half sheets on each landscape page, to be cut in the middle.

Pages are laid out as printers do for cut and stack: the first half of them stands on the left, the second half on the
right, so that the packet is in order when the left pile is laid on the right one (common practice of print shops). The
library is imported when something is bound, so that nobody else waits for it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from generator.engraving.bind import Leaf
from generator.files.loading import loading

if TYPE_CHECKING:
    from pypdf import PageObject, PdfWriter
    from pypdf.generic import IndirectObject

# Points to a millimetre, and the cutting line: how wide, how dark, how long its dashes and gaps.
_POINT = 72 / 25.4
_MARK = b"q 0.4 w 0.55 G [3 5] 0 d %.2f 0 m %.2f %.2f l S Q\n"
Side = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class _Half:
    """A half page in a file that is being made; its measures in points."""

    drawing: "IndirectObject"
    width: float
    height: float


def cut_and_stack(count: int, *, two_sided: bool = False) -> list[Side]:
    """Which half page stands at the left and at the right of each printed side.

    Args:
        count: half pages in the order they are wanted in after cutting; two-sided ones by twos, front and back.
        two_sided: printed on both sides, turned on the short edge.

    >>> cut_and_stack(5)
    [(0, 3), (1, 4), (2, None)]
    >>> cut_and_stack(4, two_sided=True)
    [(0, 2), (3, 1)]
    """
    if not two_sided:
        sheets = -(-count // 2)
        return [(n, n + sheets if n + sheets < count else None) for n in range(sheets)]
    leaves = -(-count // 2)
    found: list[Side] = []
    for left, right in cut_and_stack(leaves):
        found.append((2 * (left or 0), None if right is None else 2 * right))
        # What lies behind the left half is on the right of the back.
        found.append((None if right is None else 2 * right + 1, 2 * (left or 0) + 1))
    return [(_within(left, count), _within(right, count)) for left, right in found]


def _within(place: int | None, count: int) -> int | None:
    return place if place is not None and place < count else None


@loading()
def twice(data: bytes, width: float, height: float) -> bytes:
    """A part of half pages, each twice on a sheet: what one chair needs for two copies.

    Args:
        data: the PDF of half pages.
        width: of the whole sheet in millimetres, across.
        height: the same, upright.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415

    writer = PdfWriter()
    for page in PdfReader(BytesIO(data)).pages:
        half = _drawing(writer, page)
        _sheet(writer, (half, half), width * _POINT, height * _POINT)
    return _written(writer)


@loading()
def bind_two_up(
    title: str,
    whole: Sequence[Leaf],
    halves: Sequence[Leaf],
    width: float,
    height: float,
    *,
    two_sided: bool = False,
) -> bytes:
    """One PDF: whole pages first, then all half pages to be cut and stacked.

    Args:
        title: of the document.
        whole: documents on whole pages, in order.
        halves: documents on half pages, in the order they are wanted in after cutting.
        width: of a sheet of two halves in millimetres, across.
        height: the same, upright.
        two_sided: every copy begins on a leaf of its own, front and back.
    """
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415

    writer = PdfWriter()
    for leaf in whole:
        reader = PdfReader(BytesIO(leaf.data))
        for copy in range(leaf.copies):
            writer.append(reader, outline_item=None if copy else leaf.bookmark, import_outline=False)
            if two_sided and len(reader.pages) % 2:
                writer.add_blank_page()
    pages: list[_Half | None] = []
    begins: list[tuple[str, int]] = []
    for leaf in halves:
        begins.append((leaf.bookmark, len(pages)))
        # However many copies, each page is in the file once.
        own: list[_Half | None] = [_drawing(writer, page) for page in PdfReader(BytesIO(leaf.data)).pages]
        for _ in range(leaf.copies):
            pages += [*own, None] if two_sided and len(own) % 2 else own
    before = len(writer.pages)
    sides = cut_and_stack(len(pages), two_sided=two_sided)
    for left, right in sides:
        pair = (None if left is None else pages[left], None if right is None else pages[right])
        _sheet(writer, pair, width * _POINT, height * _POINT)
    for bookmark, place in begins:
        side = next(n for n, both in enumerate(sides) if place in both)
        writer.add_outline_item(title=bookmark, page_number=before + side)
    writer.compress_identical_objects()
    writer.add_metadata({"/Title": title})
    return _written(writer)


def _drawing(writer: "PdfWriter", page: "PageObject") -> _Half:
    """A page as a drawing that sheets can show, which is much quicker than writing it into them."""
    from pypdf.generic import DecodedStreamObject, NameObject  # noqa: PLC0415

    content = page.get_contents()
    stream = DecodedStreamObject()
    stream.set_data(content.get_data() if content is not None else b"")
    stream[NameObject("/Type")] = NameObject("/XObject")
    stream[NameObject("/Subtype")] = NameObject("/Form")
    stream[NameObject("/BBox")] = page.mediabox
    resources = page.get("/Resources")
    if resources is not None:
        stream[NameObject("/Resources")] = resources.get_object().clone(writer)
    form = writer._add_object(stream.flate_encode())
    return _Half(form, float(page.mediabox.width), float(page.mediabox.height))


def _sheet(
    writer: "PdfWriter", halves: "tuple[_Half | None, _Half | None]", width: float, height: float
) -> None:
    """A landscape page with a page in the middle of each half, and the line to cut along."""
    from pypdf.generic import DecodedStreamObject, DictionaryObject, NameObject  # noqa: PLC0415

    sheet = writer.add_blank_page(width, height)
    drawings = DictionaryObject()
    text = b""
    for side, half in enumerate(halves):
        if half is not None:
            across = (width / 2 - half.width) / 2 + side * width / 2
            drawings[NameObject(f"/Half{side}")] = half.drawing
            text += b"q 1 0 0 1 %.2f %.2f cm /Half%d Do Q\n" % (across, (height - half.height) / 2, side)
    content = DecodedStreamObject()
    content.set_data(text + _MARK % (width / 2, width / 2, height))
    sheet[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): drawings})
    sheet[NameObject("/Contents")] = writer._add_object(content)


def _written(writer: "PdfWriter") -> bytes:
    found = BytesIO()
    writer.write(found)
    return found.getvalue()
