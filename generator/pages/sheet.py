"""A sheet laid out: what stands on each page, where lines and pages break.

Pages are filled in order. Heights are worked out line by line (`heights.py`) and shared out over pages (`fill.py`), so
that LilyPond, which spreads each page down to its foot, finds every page nearly full.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from generator.exercise.clef import PERCUSSION
from generator.exercise.records import Exercise
from generator.pages.fill import Pages, System, shared
from generator.pages.heights import Profile
from generator.pages.lines import Layout, break_lines
from generator.pages.octave import in_octaves
from generator.pages.outlines import COLUMN, COLUMNS, columns_on, row_systems
from generator.pages.paper import Paper
from generator.pages.records import SHOWS, SheetItem, SheetLayout, Show, Words
from generator.pages.systems import first_room, overhead, page_room, systems_of, title_height

# A last page that is as full as this is spread down to the foot as the others are.
_FULL = 0.86
# Exercises that are drawn apart by so many millimetres begin to look lost.
_LOST = 12.0
# Left to LilyPond at the foot of a page whose rest stays empty.
_LOOSE = 4.0
# Of a sheet of more pages one page less is no gain for smaller staves.
FEW_PAGES = 6


def lay_out(
    exercises: Sequence[Exercise],
    words: Words,
    paper: Paper,
    show: Show = "notes",
    *,
    first: int = 1,
    filled: float = 1.0,
    titled: bool = True,
    closer: bool = False,
    blanks: bool = False,
) -> SheetLayout:
    """Lay a sheet out.

    Args:
        exercises: in order.
        words: title, instrument and the like.
        paper: paper and print size.
        show: the notes; an outline to play from memory; or both, the notes on pages of their own at the end.
        first: number of the first exercise.
        filled: how much of a page may be used; less than 1 where pages turned out too full.
        titled: the title is printed on the first page.
        closer: staves may be somewhat smaller where that saves a page of a few, see `Paper.closer`.
        blanks: there are lines to write on beside the subtitle.
    """
    laid = _laid_out(exercises, words, paper, show, first, filled, titled=titled, blanks=blanks)
    if not closer or not 1 < laid.pages <= FEW_PAGES or paper.large:
        return laid
    for smaller in (paper, *paper.closer):
        again = _laid_out(
            exercises, words, smaller, show, first, filled, titled=titled, close=True, blanks=blanks
        )
        if again.pages < laid.pages:
            return again
    return laid


def _laid_out(
    exercises: Sequence[Exercise],
    words: Words,
    paper: Paper,
    show: Show,
    first: int,
    filled: float,
    *,
    titled: bool,
    close: bool = False,
    blanks: bool = False,
) -> SheetLayout:
    short = shared_head(exercises) == words.title
    once = titled and _same_concert_key(exercises)
    if once:
        concert = f"C{exercises[0].concert_heading[1:]}"
        words = replace(words, subtitle=", ".join(w for w in (concert, words.subtitle) if w))
    notes = [
        _item(number, e, paper, short=short, once=once, close=close)
        for number, e in _numbered(exercises, first)
    ]
    columns = columns_on(paper)
    outlines = [replace(i, outline=True, layout=_outline(i, paper)) for i in notes if not i.exercise.recipe]
    # Nobody plays on from the first note of a passage by heart.
    drills = [item for item in notes if item.exercise.recipe]
    shown = {"notes": [notes], "outline": [outlines, drills], "both": [outlines, notes]}[show]
    parts = [part for part in shown if part]
    items: list[SheetItem] = []
    pages: list[Pages] = []
    for number, part in enumerate(parts):
        if number:
            part[0] = replace(part[0], section="In notes")
        title = 0.0
        if titled and not number:
            under = words.subtitle + words.date + "_" * blanks
            title = title_height(
                words.title, under, words.remark, paper.line, strip=bool(words.strip), notices=words.notices
            )
        rooms = filled * page_room(paper), filled * (first_room(paper, title) if title else page_room(paper))
        broken = _columned if part[0].outline and columns > 1 else _broken
        some, found = broken(part, rooms, paper)
        if number:
            some[0] = replace(some[0], new_page=True)
        elif len(parts) > 1:
            left = (1 - found.full) * rooms[len(found.starts) == 1] - _LOOSE
            some[-1] = replace(some[-1], filler=max(0.0, left))
        items += some
        pages.append(found)
    count = sum(len(found.starts) for found in pages)
    return SheetLayout(words, paper, tuple(items), max(1, count), pages[-1].full >= _FULL, columns)


def _broken(
    items: Sequence[SheetItem], rooms: tuple[float, float], paper: Paper
) -> tuple[list[SheetItem], Pages]:
    """Items with the page breaks before and in them."""
    systems: list[System] = []
    found: list[SheetItem] = []
    lines: list[tuple[int, int]] = []
    before: Profile | None = None
    for place, item in enumerate(items):
        profiles = item.profiles
        over = overhead(item.head, item.room)
        systems += systems_of(profiles, over, before, large=paper.large)
        found.append(replace(item, dip=over.dip(profiles[0])))
        lines += [(place, number) for number in range(len(profiles))]
        before = profiles[-1]
    pages = shared(systems, *rooms, _LOST / paper.space)
    for start in pages.starts[1:]:
        place, number = lines[start]
        one = found[place]
        if number:
            found[place] = replace(one, may_part=True, page_starts=(*one.page_starts, number))
        else:
            found[place] = replace(one, new_page=True)
    return found, pages


def _columned(
    items: Sequence[SheetItem], rooms: tuple[float, float], paper: Paper
) -> tuple[list[SheetItem], Pages]:
    """Outlines side by side; a page begins with a row."""
    systems = row_systems([item.head for item in items], [item.profiles[0] for item in items], items[0].room)
    pages = shared(systems, *rooms, _LOST / paper.space)
    starts = {start * COLUMNS for start in pages.starts[1:]}
    return [replace(item, new_page=place in starts) for place, item in enumerate(items)], pages


def without_breaks(sheet: SheetLayout) -> SheetLayout:
    """The same sheet with page breaks left to LilyPond, except before a section.

    For a sheet whose heights came out too low, so that LilyPond reports an overfull page or needs one more.
    """
    return replace(
        sheet,
        items=tuple(replace(i, new_page=bool(i.section), page_starts=()) for i in sheet.items),
        pages=0,
        stretched=False,
    )


def without_last_page(sheet: SheetLayout) -> SheetLayout | None:
    """The same sheet without the exercises of its last page; None where it has only one.

    For a sheet that goes on: what is left begins the next one, and every page is full. An exercise is left whole.
    """
    starts = [place for place, item in enumerate(sheet.items) if item.new_page]
    if not starts or any(item.section for item in sheet.items):
        return None
    kept, left = sheet.items[: starts[-1]], sheet.items[starts[-1] :]
    pages = sheet.pages - 1 - sum(len(item.page_starts) for item in left)
    return replace(sheet, items=kept, pages=pages, stretched=True)


def _same_concert_key(exercises: Sequence[Exercise]) -> bool:
    """Whether several exercises sound in one key, which then stands once under the title."""
    keys = {e.concert_heading for e in exercises}
    return len(exercises) > 1 and len(keys) == 1 and "" not in keys


def shared_head(exercises: Sequence[Exercise]) -> str | None:
    """Key, form and figure, where all exercises have the same and differ in details; the title says it then."""
    heads = {(e.head, e.concert_heading) for e in exercises}
    details = [e.details for e in exercises]
    if len(exercises) < 2 or len(heads) > 1 or not all(details) or len(set(details)) < len(details):
        return None
    return exercises[0].head


def kind_title(form: str, figure: str) -> str:
    """What exercises in several keys share: ``Major in thirds``, ``Harmonic minor scales``, ``Major arpeggio``."""
    name = form[0].upper() + form[1:]
    if figure:
        return f"{name} in {figure}"
    return name if "arpeggio" in form or "seventh" in form else f"{name} scales"


def _numbered(exercises: Sequence[Exercise], first: int) -> Iterator[tuple[str, Exercise]]:
    """Each piece of music with what it is called on the page; what follows under the same number has none."""
    for number, exercise in enumerate(exercises, first):
        yield str(number) if exercise.called is None else exercise.called, exercise
        yield from (("", more) for more in exercise.follows)


def _item(
    number: str,
    exercise: Exercise,
    paper: Paper,
    *,
    short: bool = False,
    once: bool = False,
    close: bool = False,
) -> SheetItem:
    reader = paper.reader
    layout = break_lines(
        exercise.bars,
        exercise.signature,
        paper.line / reader.apart,
        exercise.clefs,
        exercise.unit,
        long=exercise.long,
        close=close,
        metre_shown=exercise.metre_shown,
        most=reader.bars,
    )
    if paper.large or reader.ottava:
        layout = in_octaves(layout, exercise)
    if reader.apart != 1.0:
        layout = replace(layout, length=layout.length * reader.apart)
    heading = exercise.details[0].upper() + exercise.details[1:] if short else exercise.heading
    concert = "" if short or once else exercise.concert_heading
    named = reader.names == "under" and exercise.clef not in PERCUSSION
    return SheetItem(number, exercise, heading, concert, layout, room=paper.line, named=named)


def _outline(item: SheetItem, paper: Paper) -> Layout:
    piece = item.layout.lines[0][0]
    first = replace(piece, notes=tuple(note for note in piece.notes if note.pitch)[:1])
    length = paper.line if columns_on(paper) == 1 else COLUMN * paper.line
    return Layout(((first,),), 0.3, min(length, 42.0))


__all__ = [
    "SHOWS",
    "SheetItem",
    "SheetLayout",
    "Show",
    "Words",
    "kind_title",
    "lay_out",
    "shared_head",
    "without_breaks",
    "without_last_page",
]
