"""A book of exercises: chapters, the pages they stand on, and the contents. Pure.

A book is laid out in stretches: exercises of one chapter that are laid out together. Page numbers follow from the
page breaks, which are ours, so the contents are known before anything is engraved.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from generator.pages.sheet import SheetLayout
from generator.theory.pitch import NoteName

# Exercises that are laid out together, on pages of their own.
STRETCH = 36
# A chapter of fewer would leave half its page empty.
FEW = 4


@dataclass(frozen=True, slots=True)
class ContentsEntry:
    """An exercise in the contents and the bookmarks.

    Attributes:
        number: in the book.
        heading: the whole heading.
        head: key, form and figure.
        details: span, dressing and the like.
        key: its written key.
        page: page number.
    """

    number: int
    heading: str
    head: str
    details: str
    key: str
    page: int


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter with its place.

    Attributes:
        title: its name.
        entries: its exercises.
    """

    title: str
    entries: tuple[ContentsEntry, ...]

    @property
    def page(self) -> int:
        """The page it begins on."""
        return self.entries[0].page


def entries_of(sheet: SheetLayout, page: int) -> list[ContentsEntry]:
    """The exercises of a stretch with their pages; one that is printed twice, with the page of its outline.

    Args:
        sheet: laid out.
        page: number of its first page.
    """
    found: list[ContentsEntry] = []
    parted = 0
    for place, item in enumerate(sheet.items):
        page += parted + (item.new_page and place > 0)
        parted = len(item.page_starts)
        one = item.exercise
        if any(entry.number == int(item.number) for entry in found):
            continue
        found.append(
            ContentsEntry(int(item.number), one.heading, one.head, one.details, _words(one.key), page)
        )
    return found


def parted(count: int, most: int = STRETCH) -> list[int]:
    """Sizes of the stretches of a chapter: as few as can be, none much shorter than the others.

    Args:
        count: exercises.
        most: exercises of one stretch.
    """
    parts = -(-count // most)
    return [count * (n + 1) // parts - count * n // parts for n in range(parts)]


def index(entries: Sequence[ContentsEntry]) -> list[tuple[str, int]]:
    """What the contents list under a chapter: its keys, or what tells its exercises apart, each with its page.

    Neighbours of the same name are listed once, with the page of the first.

    Args:
        entries: of the chapter, in order.
    """
    tails = {_tail(entry) for entry in entries}
    if len({entry.head for entry in entries}) == 1:
        names = [entry.details or entry.head for entry in entries]
    elif len(tails) == 1 and None not in tails:
        names = [entry.key for entry in entries]
    else:
        names = [entry.head for entry in entries]
    listed: list[tuple[str, int]] = []
    for name, entry in zip(names, entries, strict=True):
        if not listed or listed[-1][0] != name:
            listed.append((name, entry.page))
    return listed


def _words(key: str) -> str:
    """``F-sharp`` of ``F#``, as headings have it."""
    return NoteName.parse(key).words if key else ""


def _tail(entry: ContentsEntry) -> str | None:
    """What a heading says besides the key."""
    if not entry.key or entry.key not in entry.head:
        return None
    return entry.head.replace(entry.key, "", 1)


def told_apart(titles: Iterable[tuple[str, str]]) -> list[str]:
    """Chapter titles, each of them different: by the phrase they came from, else by number.

    Args:
        titles: title and phrase of each chapter.
    """
    pairs = list(titles)
    names = [title for title, _ in pairs]
    longer = [
        f"{title}: {phrase}" if names.count(title) > 1 and phrase and phrase != title else title
        for title, phrase in pairs
    ]
    times: Counter[str] = Counter()
    found: list[str] = []
    for title in longer:
        times[title] += 1
        found.append(f"{title} ({times[title]})" if times[title] > 1 else title)
    return found


__all__ = ["FEW", "STRETCH", "Chapter", "ContentsEntry", "entries_of", "index", "parted", "told_apart"]
