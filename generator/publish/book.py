"""Books: hundreds of exercises with contents, bookmarks and running heads. The use case that binds them.

The exercises are built and laid out chapter by chapter, and only the text of the pages is held; volumes of at most some
eighty exercises are engraved two at a time, because LilyPond's memory grows with what it holds at once. Nothing
is written before everything is there.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import islice
from math import ceil

from generator.catalogue.tables import shared_catalogue
from generator.engraving.bind import Bookmark, bind_book, page_count
from generator.engraving.parallel import Job, Progress, engrave_all
from generator.engraving.render_book import (
    BookStretch,
    BookWords,
    Volume,
    book_includes,
    render_contents,
    render_volume,
)
from generator.errors import DoesNotFitError, EngravingError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.exercise.span import FULL_RANGE
from generator.files.atomic import place
from generator.files.resources import data_folder
from generator.files.text import slug
from generator.pages.book import FEW, Chapter, ContentsEntry, entries_of, parted, told_apart
from generator.pages.cautions import caution
from generator.pages.sheet import Words, lay_out, without_last_page
from generator.phrase import expand
from generator.phrase.expand import Ordered
from generator.phrase.read import parse_all
from generator.phrase.ways import USUAL, Ways
from generator.phrase.write import canonical
from generator.publish.book_size import WORTH_TELLING, book_size, refuse_too_large
from generator.publish.codes import sheet_code
from generator.publish.fingering import help_code, helped
from generator.publish.kinds import title_of_kind
from generator.publish.sheet import MIXED, Printed, SheetOrder

# A run of LilyPond engraves at most about so many exercises: enough to make its start (a quarter of a second) cheap,
# few enough to keep its memory flat, which even several books in one run would not. Measured for 600 exercises: 40 at
# most took 216 MB a run, 60 took 265, 80 took 304, in about the same time.
VOLUME = 40
# Fewer are not worth a second start.
ALONE = 40
_CONTENTS = "contents"
# How full pages may be, when LilyPond found them too full at first.
_TIGHTER = (1.0, 0.92, 0.84, 0.7)


@dataclass(frozen=True, slots=True)
class Bound:
    """What was printed, and what could not be.

    Attributes:
        printed: the file.
        chapters: with their pages.
        pages: how many there are, contents included.
        refused: phrase and reason of each exercise left out.
    """

    printed: Printed
    chapters: tuple[Chapter, ...]
    pages: int
    refused: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Draft:
    """A chapter before it is laid out."""

    title: str
    phrase: str
    orders: tuple[Ordered, ...]


@dataclass
class _Layout:
    """A book being laid out: page numbers run on from stretch to stretch."""

    player: Player
    order: SheetOrder
    words: BookWords
    filled: dict[str, float]
    volume: float
    page: int = 1
    number: int = 1
    chapters: dict[str, list[ContentsEntry]] = field(default_factory=dict)
    pages: dict[str, int] = field(default_factory=dict)
    refused: list[tuple[str, str]] = field(default_factory=list)
    bare: list[str] = field(default_factory=list)

    def jobs(self, drafts: Sequence[_Draft]) -> Iterator[Job]:
        """The runs of LilyPond, each made when it is asked for; the contents come last."""
        templates, paper = data_folder("templates"), self.order.paper
        for volume in self._volumes(drafts):
            text = render_volume(volume, self.words, paper, templates)
            yield Job(partial(str, text), (volume.output,), weight=self.pages[volume.output])
        text = render_contents(_CONTENTS, self.finished, self.words, paper, templates)
        yield Job(partial(str, text), (_CONTENTS,))

    @property
    def finished(self) -> tuple[Chapter, ...]:
        """The chapters with their pages, once all are laid out."""
        return tuple(Chapter(title, tuple(entries)) for title, entries in self.chapters.items())

    def _volumes(self, drafts: Sequence[_Draft]) -> Iterator[Volume]:
        stretches: list[BookStretch] = []
        output, first_page = "part-1", self.page
        for draft in drafts:
            rest: list[Exercise] = []
            at = 0
            for size in parted(len(draft.orders)):
                rest += self._made(draft.orders[at : at + size])
                at += size
                if not rest:
                    continue
                stretch, rest = self._stretch(
                    draft, rest, self.filled.get(output, 1.0), last=at == len(draft.orders)
                )
                stretches.append(stretch)
                if sum(len(one.sheet.items) for one in stretches) >= self.volume:
                    self.pages[output] = self.page - first_page
                    yield Volume(output, first_page, tuple(stretches))
                    stretches, first_page = [], self.page
                    output = f"part-{len(self.pages) + 1}"
            if draft.title not in self.chapters:
                raise DoesNotFitError(self.refused[-1][1])
        if stretches:
            self.pages[output] = self.page - first_page
            yield Volume(output, first_page, tuple(stretches))

    def _made(self, orders: Sequence[Ordered]) -> Iterator[Exercise]:
        for one in orders:
            try:
                yield one.make()
            except DoesNotFitError as error:
                self.refused.append((one.phrase, str(error)))

    def _stretch(
        self, draft: _Draft, exercises: Sequence[Exercise], filled: float, *, last: bool
    ) -> tuple[BookStretch, list[Exercise]]:
        """Exercises on their pages, and those that are left for the next ones: a page in a chapter is full."""
        opens = draft.title not in self.chapters
        words = Words(
            title=draft.title,
            instrument="",
            subtitle="" if draft.phrase.casefold() in draft.title.casefold() else draft.phrase,
            remark=caution(exercises, self.player, shared_catalogue().cautions.rows) if opens else "",
        )
        order = self.order
        in_hand, bare = helped(exercises, self.player.instrument, order.help, first=self.number)
        self.bare += bare
        sheet = lay_out(
            in_hand,
            words,
            order.paper,
            order.show,
            first=self.number,
            filled=filled,
            titled=opens,
        )
        rest: list[Exercise] = []
        if not last and (whole := without_last_page(sheet)):
            rest = list(exercises[len(whole.items) :])
            sheet = whole
        subtitle = sheet.words.subtitle
        if subtitle:
            sheet = replace(sheet, words=replace(sheet.words, subtitle=subtitle[0].upper() + subtitle[1:]))
        self.chapters.setdefault(draft.title, []).extend(entries_of(sheet, self.page))
        self.page += sheet.pages
        self.number += len(exercises) - len(rest)
        return BookStretch(sheet, opens), rest


def bind(
    order: SheetOrder,
    player: Player,
    phrases: Sequence[str],
    progress: Progress = lambda _done, _all: None,
    *,
    tell: Callable[[str], None] = lambda _line: None,
    exact: bool = False,
    syllables: tuple[str, ...] = (),
    ways: Ways = USUAL,
) -> Bound:
    """Lay out, engrave, bind and place a book.

    Args:
        order: how to print; a book is one PDF, whatever formats are named.
        player: for whom.
        phrases: a chapter each; neighbours that make few exercises share one.
        progress: told how many pages of how many are done.
        tell: told before the work begins what a large book will come to.
        exact: refuse a span that does not fit.
        syllables: a player's own.
        ways: what the player's plan settles about phrases.

    Raises:
        RequestError: a phrase cannot be read, nothing of it fits, or the book would be too large.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    drafts = _drafts(player, phrases, order, exact=exact, syllables=syllables, ways=ways)
    every = [one for draft in drafts for one in draft.orders]
    if len(every) >= WORTH_TELLING:
        size = book_size(every, order)
        refuse_too_large(size)
        tell(size.words)
    title = order.title or MIXED
    asked = [one.phrase for one in every]
    whose = (player.instrument.name, player.compass.words)
    code = sheet_code(
        [
            "book",
            *asked,
            *whose,
            order.paper,
            order.show,
            title,
            order.note,
            syllables,
            *help_code(order.help),
        ]
    )
    words = BookWords(title, player.instrument.label, f"{player.instrument.label} · book {code}", order.note)
    layout, files, warnings = _engraved(order, player, words, drafts, progress)
    chapters = layout.finished
    parts = [files[f"{name}.pdf"] for name in layout.pages]
    data = bind_book(title, files[f"{_CONTENTS}.pdf"], parts, _bookmarks(chapters))
    path = order.out / f"{slug(title, 48)}-{slug(player.instrument.name, 32)}-book-{code.lower()}.pdf"
    printed = Printed((place(data, path),), code, (*warnings, *layout.bare[:1]))
    return Bound(printed, chapters, page_count(data), tuple(layout.refused))


def _drafts(
    player: Player,
    phrases: Sequence[str],
    order: SheetOrder,
    *,
    exact: bool,
    syllables: tuple[str, ...],
    ways: Ways,
) -> list[_Draft]:
    """The chapters; phrases of few exercises that follow one another share one."""
    found: list[tuple[list[Ordered], str]] = []
    left = expand.MOST_EXERCISES
    for text in phrases:
        ordered = list(
            islice(expand.orders(text, player, exact=exact, syllables=syllables, ways=ways), left + 1)
        )
        left -= len(ordered)
        if left < 0:
            before = [one for some, _ in found for one in some]
            refuse_too_large(book_size((before + ordered)[:-1], order), more=True)
        few = len(ordered) < FEW
        if few and found and not found[-1][1]:
            found[-1][0].extend(ordered)
        else:
            phrase = "; ".join(map(canonical, parse_all(text, shared_catalogue(), ways)))
            found.append((ordered, "" if few else phrase))
    titles = told_apart((_title(ordered), phrase) for ordered, phrase in found)
    return [_Draft(t, p, tuple(o)) for t, (o, p) in zip(titles, found, strict=True)]


def _title(ordered: Sequence[Ordered]) -> str:
    """What the exercises of a chapter share: form and figure."""
    kinds = {(one.request.form, one.request.figure) for one in ordered}
    keys = {one.request.keys for one in ordered}
    if len(kinds) != 1:
        return MIXED
    ((form, figure),) = kinds
    if len(keys) > 1:
        return title_of_kind(form, figure)
    span = (figure and figure.span) or FULL_RANGE
    name = canonical(Request(form, keys=next(iter(keys)), figure=figure, span=span))
    return name[0].upper() + name[1:]


def _engraved(
    order: SheetOrder, player: Player, words: BookWords, drafts: Sequence[_Draft], progress: Progress
) -> tuple[_Layout, dict[str, bytes], tuple[str, ...]]:
    """The exercises on their pages. Where LilyPond needs more pages than were counted, they are filled less."""
    shared = book_includes(data_folder("templates"))
    filled: dict[str, float] = {}
    total = sum(len(draft.orders) for draft in drafts)
    # An even number of runs of one size keeps two of them busy to the end.
    volume = total if total < ALONE else total / (2 * ceil(total / (2 * VOLUME)))
    for tries in range(len(_TIGHTER)):
        layout = _Layout(player, order, words, filled, 0.9 * volume)
        files, warnings = engrave_all(layout.jobs(drafts), shared, ("pdf",), progress, order.cache)
        spilt = [name for name, pages in layout.pages.items() if page_count(files[f"{name}.pdf"]) != pages]
        if not spilt:
            return layout, files, warnings
        filled = {**filled, **{name: _TIGHTER[min(tries + 1, len(_TIGHTER) - 1)] for name in spilt}}
    raise EngravingError("the exercises do not fit their pages; ask for --print small")


def _bookmarks(chapters: Sequence[Chapter]) -> list[Bookmark]:
    return [
        Bookmark(
            chapter.title,
            chapter.page,
            tuple(Bookmark(f"{one.number}. {one.heading}", one.page) for one in chapter.entries),
        )
        for chapter in chapters
    ]
