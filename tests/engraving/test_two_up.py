"""Two half sheets on a page: what lies on the table after cutting is the packet in order."""

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import ContentStream, DecodedStreamObject, DictionaryObject, NameObject

from generator.engraving.bind import Leaf
from generator.engraving.two_up import bind_two_up, cut_and_stack, twice

A4 = (297.0, 210.0)
POINT = 72 / 25.4


def half_pages(*widths: float) -> bytes:
    """A PDF of pages that can be told apart by a rectangle of their own width."""
    writer = PdfWriter()
    for width in widths:
        page = writer.add_blank_page(148 * POINT, 210 * POINT)
        ink = DecodedStreamObject()
        ink.set_data(b"10 10 %.1f 5 re f" % width)
        page[NameObject("/Contents")] = ink
    found = BytesIO()
    writer.write(found)
    return found.getvalue()


def drawn(page: DictionaryObject, *wanted: bytes) -> list[tuple[float, list[float]]]:
    """Operators of a page or of a drawing on it: how far from the left each is drawn, and its numbers."""
    content = page.get_contents() if isinstance(page, PageObject) else page
    found: list[tuple[float, list[float]]] = []
    shifts, shift = [], 0.0
    for operands, operator in ContentStream(content, None).operations:
        numbers = [float(one) for one in operands if isinstance(one, int | float)]
        if operator == b"q":
            shifts.append(shift)
        elif operator == b"Q":
            shift = shifts.pop()
        elif operator == b"cm":
            shift += numbers[4]
        elif operator == b"Do":
            inner = page["/Resources"]["/XObject"][operands[0]].get_object()  # type: ignore[index]
            found += [(shift + x, own) for x, own in drawn(inner, *wanted)]
        elif operator in wanted:
            found.append((shift + numbers[0], numbers))
    return found


def seen(page: PageObject) -> list[tuple[float, float]]:
    """The rectangles of a page: how far from the left each stands, and how wide it is; page boundaries aside."""
    return [(x, numbers[2]) for x, numbers in drawn(page, b"re") if numbers[3] == 5]


# Cut and stack, as print shops do it: all sheets are cut at once, and the left pile is laid on the right one.
@given(st.integers(1, 300))
def test_after_cutting_the_left_pile_on_the_right_one_is_the_packet(count: int) -> None:
    sheets = cut_and_stack(count)
    piles = [left for left, _ in sheets], [right for _, right in sheets]
    assert [place for pile in piles for place in pile if place is not None] == list(range(count))
    assert len(sheets) == (count + 1) // 2


@given(st.integers(1, 150))
def test_two_sided_leaves_have_their_own_backs_and_lie_in_order(leaves: int) -> None:
    count = 2 * leaves
    sides = cut_and_stack(count, two_sided=True)
    # Turned on the short edge, what was at the left of a landscape sheet is at the right of its back.
    sheets = list(zip(sides[::2], sides[1::2], strict=True))
    left = [(front[0], back[1]) for front, back in sheets]
    right = [(front[1], back[0]) for front, back in sheets]
    assert [leaf for leaf in (*left, *right) if leaf != (None, None)] == [
        (n, n + 1) for n in range(0, count, 2)
    ]


def test_copies_and_bookmarks_of_a_packet_of_half_sheets() -> None:
    whole = BytesIO()
    writer = PdfWriter()
    writer.add_blank_page(210 * POINT, 297 * POINT)
    writer.write(whole)
    halves = [
        Leaf("Flute", half_pages(11), 2),
        Leaf("Tuba", half_pages(22, 33)),
        Leaf("Horn", half_pages(44)),
    ]
    data = bind_two_up("Band", [Leaf("Cover", whole.getvalue())], halves, *A4)
    reader = PdfReader(BytesIO(data))
    names = [(str(o.title), reader.get_destination_page_number(o)) for o in reader.outline]  # type: ignore[union-attr, misc]
    # Five half pages on three sheets: flute | tuba's second, flute | horn, tuba's first.
    assert names == [("Cover", 0), ("Flute", 1), ("Tuba", 3), ("Horn", 2)]
    sheets = [[width for _, width in sorted(seen(page))] for page in reader.pages[1:]]
    assert sheets == [[11, 33], [11, 44], [22]]
    for page in reader.pages[1:]:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            (297 * POINT, 210 * POINT)
        )


def test_a_part_alone_has_each_of_its_pages_twice() -> None:
    reader = PdfReader(BytesIO(twice(half_pages(11, 22), *A4)))
    assert [[width for _, width in sorted(seen(page))] for page in reader.pages] == [[11, 11], [22, 22]]
    (left, _), (right, _) = sorted(seen(reader.pages[0]))
    assert right - left == pytest.approx(148.5 * POINT, abs=0.1)


def test_the_line_to_cut_along_stands_in_the_middle() -> None:
    page = PdfReader(BytesIO(twice(half_pages(11), *A4))).pages[0]
    lines = [x for x, _ in drawn(page, b"m", b"l")]
    assert lines == pytest.approx([297 * POINT / 2] * 2, abs=0.01)
