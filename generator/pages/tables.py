"""Pages of tables: a cover that says who plays what, score sheets for playing tests. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.pages.sheet import Words


@dataclass(frozen=True, slots=True)
class Block:
    """A table, a paragraph, or both under a heading.

    Attributes:
        heading: over it, or "".
        text: a paragraph under the heading, or "".
        widths: relative widths of the columns.
        rows: cells; the first row is the heading of the columns.
        least: least height of a row in staff spaces.
    """

    heading: str = ""
    text: str = ""
    widths: tuple[int, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    least: float = 3.0


@dataclass(frozen=True, slots=True)
class TablePage:
    """A page of blocks.

    Attributes:
        output: stem of its file.
        words: title and the like.
        blocks: from the top.
        blanks: what is to be filled in beside the subtitle, like ``Judge 34|Date 16``.
    """

    output: str
    words: Words
    blocks: tuple[Block, ...]
    blanks: str = ""


def parted(rows: Sequence[tuple[str, ...]], most: int) -> list[tuple[tuple[str, ...], ...]]:
    """Rows of a long table in tables of about equal length, each with the heading row.

    Args:
        rows: heading row first.
        most: rows a page holds below the heading.
    """
    head, body = rows[0], rows[1:]
    count = max(1, -(-len(body) // most))
    size = -(-len(body) // count) or 1
    return [(head, *body[k : k + size]) for k in range(0, max(1, len(body)), size)]
