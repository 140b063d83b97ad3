"""A studio's pages: everyone's sheets engraved a few to a run, two runs at a time, and bound behind a cover.

The sheets come in one pupil after the other, and are engraved while those of the next are still being chosen. Nothing
is written here.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

from generator.engraving.bind import Leaf, LeafGroup, bind_groups, page_count
from generator.engraving.cache import Cache
from generator.engraving.include import house_style
from generator.engraving.parallel import Job, Progress, engrave_all
from generator.engraving.render_many import render_many
from generator.engraving.render_score import includes, render_tables
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout, Words, without_breaks
from generator.pages.tables import Block, TablePage, parted
from generator.rotation.words import count, day_and_month, long_day, weekday

# Exercises in one run of LilyPond: their text is short enough to be engraved without looking for memory to use again.
BUNDLE = 26
_MOST_PUPILS, _MOST_DAYS = 34, 7
_FEW, _ROOMY, _TIGHT = 24, 3.8, 2.6  # pupils; least height of a line in staff spaces
_COVER = "cover"


@dataclass(frozen=True, slots=True)
class PupilSheet:
    """One day of one pupil.

    Attributes:
        day: its date.
        code: as in the footer.
        sheet: laid out.
    """

    day: dt.date
    code: str
    sheet: SheetLayout


@dataclass(frozen=True, slots=True)
class PupilPages:
    """The days of one pupil.

    Attributes:
        stem: of the pupil's file.
        label: the name, told apart from others.
        instrument: as it stands on pages.
        minutes: a day.
        sheets: in order.
    """

    stem: str
    label: str
    instrument: str
    minutes: int
    sheets: tuple[PupilSheet, ...]


@dataclass(frozen=True, slots=True)
class StudioWords:
    """What the cover says.

    Attributes:
        title: of the studio.
        note: a line for everyone.
        left_out: who is left out and why, a line each.
        how: how to note what was played.
    """

    title: str
    note: str = ""
    left_out: tuple[str, ...] = ()
    how: str = ""


@dataclass(frozen=True, slots=True)
class BoundStudio:
    """Finished pages.

    Attributes:
        everyone: all in one PDF behind the cover.
        each: a PDF for each pupil, by stem.
        pages: how many there are in the first.
        warnings: lines for the person.
    """

    everyone: bytes
    each: dict[str, bytes]
    pages: int
    warnings: tuple[str, ...] = ()


@dataclass
class _Bundles:
    """Sheets on their way to LilyPond."""

    filed: list[PupilPages] = field(default_factory=list)

    def jobs(self, pupils: Iterable[PupilPages]) -> Iterator[Job]:
        """The runs, each made as soon as there are sheets enough for it."""
        waiting: list[tuple[str, SheetLayout]] = []
        for pupil in pupils:
            self.filed.append(pupil)
            for number, one in enumerate(pupil.sheets, 1):
                if waiting and (waiting[0][1].paper != one.sheet.paper or _size(waiting) >= BUNDLE):
                    yield _job(waiting)
                    waiting = []
                waiting.append((_stem(pupil, number), one.sheet))
        if waiting:
            yield _job(waiting)


def _stem(pupil: PupilPages, number: int) -> str:
    return f"{pupil.stem}-{number}"


def _size(sheets: Sequence[tuple[str, SheetLayout]]) -> int:
    return sum(len(sheet.items) for _, sheet in sheets)


def _job(sheets: Sequence[tuple[str, SheetLayout]]) -> Job:
    templates, paper = data_folder("templates"), sheets[0][1].paper

    def looser() -> str:
        return render_many([(stem, without_breaks(sheet)) for stem, sheet in sheets], paper, templates)

    text = render_many(sheets, paper, templates)
    return Job(partial(str, text), tuple(stem for stem, _ in sheets), looser)


def bind_studio(
    pupils: Iterable[PupilPages],
    words: Callable[[], StudioWords],
    progress: Progress = lambda _done, _all: None,
    *,
    cache: Cache | None = None,
    two_sided: bool = False,
    covered: bool = True,
) -> BoundStudio:
    """Engrave and bind everyone's sheets.

    Args:
        pupils: one after the other; they may be made while earlier ones are engraved.
        words: what the cover says, asked for once all pupils are there.
        progress: told how many sheets of how many are done.
        cache: where finished pages are kept.
        two_sided: every pupil begins on a sheet of their own.
        covered: with a cover.

    Raises:
        MachineError: LilyPond failed.
    """
    bundles = _Bundles()
    shared = house_style(data_folder("templates"))
    files, warnings = engrave_all(bundles.jobs(pupils), shared, ("pdf",), progress, cache, alike=True)
    found = bundles.filed
    days = {one.stem: _leaves(one, files) for one in found}
    title = words().title
    each = {stem: bind_groups(title, [LeafGroup("", leaves)]) for stem, leaves in days.items()}
    groups = [LeafGroup(f"{one.label}, {one.instrument}", days[one.stem]) for one in found]
    if covered:
        lengths = [sum(page_count(leaf.data) for leaf in group.leaves) for group in groups]
        front = _cover(found, lengths, words(), cache, two_sided=two_sided)
        groups = [LeafGroup("Who plays what", (Leaf("", front),)), *groups]
    everyone = bind_groups(title, groups, two_sided=two_sided)
    return BoundStudio(everyone, each, page_count(everyone), warnings)


def _leaves(pupil: PupilPages, files: dict[str, bytes]) -> tuple[Leaf, ...]:
    return tuple(
        Leaf(f"{weekday(one.day)} {long_day(one.day)} · {one.code}", files[f"{_stem(pupil, number)}.pdf"])
        for number, one in enumerate(pupil.sheets, 1)
    )


def _cover(
    pupils: Sequence[PupilPages],
    lengths: Sequence[int],
    words: StudioWords,
    cache: Cache | None,
    *,
    two_sided: bool,
) -> bytes:
    """The cover; it counts itself, because its pages come before everyone's."""
    plain, own = Paper.of(pupils[0].sheets[0].sheet.paper.name, "small"), 1
    while True:
        page = cover_page(pupils, first_pages(lengths, own, two_sided=two_sided), words)
        text = render_tables([page], plain, data_folder("templates"))
        job = Job(partial(str, text), (_COVER,))
        shared = includes(data_folder("templates"))
        files, _ = engrave_all([job], shared, ("pdf",), lambda _done, _all: None, cache)
        made = files[f"{_COVER}.pdf"]
        if page_count(made) == own:
            return made
        own = page_count(made)


def first_pages(lengths: Sequence[int], before: int, *, two_sided: bool) -> list[int]:
    """The page in the whole document on which each pupil begins, from 1.

    Args:
        lengths: pages of each.
        before: pages of the cover.
        two_sided: every pupil, and whoever comes after the cover, begins on a sheet of their own.
    """
    first: list[int] = []
    at = before
    for length in lengths:
        at += at % 2 if two_sided else 0
        first.append(at + 1)
        at += length
    return first


def cover_page(pupils: Sequence[PupilPages], first: Sequence[int], words: StudioWords) -> TablePage:
    """Who plays what on which page: a line for each pupil, a column for each day with the code of its sheet."""
    days = sorted({one.day for pupil in pupils for one in pupil.sheets})
    blocks: list[Block] = []
    for at in range(0, len(days), _MOST_DAYS):
        some = days[at : at + _MOST_DAYS]
        head = ("Pupil", "Instrument", "Min.", *(_short(day) for day in some), "Page")
        rows = [head, *(_line(pupil, page, some) for pupil, page in zip(pupils, first, strict=True))]
        widths = (34, 34, 8, *(11 for _ in some), 9)
        least = _ROOMY if len(pupils) <= _FEW else _TIGHT
        blocks += [Block(widths=widths, rows=part, least=least) for part in parted(rows, _MOST_PUPILS)]
    if words.left_out:
        blocks.append(Block(heading="Left out", text=" · ".join(words.left_out)))
    if words.how:
        blocks.append(Block(heading="What was played", text=words.how))
    when = " to ".join(dict.fromkeys((_of_week(days[0]), _of_week(days[-1]))))
    heading = Words(
        title=words.title,
        instrument="Who plays what",
        subtitle=f"{when} {days[-1].year}",
        remark=words.note,
        footer=f"{count(len(pupils), 'pupil')} · the code of a sheet stands at its foot",
    )
    return TablePage(_COVER, heading, tuple(blocks))


def _of_week(day: dt.date) -> str:
    return f"{weekday(day)[:3]} {day_and_month(day)}"


def _short(day: dt.date) -> str:
    return f"{weekday(day)[:2]} {day.day}"


def _line(pupil: PupilPages, page: int, days: Sequence[dt.date]) -> tuple[str, ...]:
    codes = {one.day: one.code for one in pupil.sheets}
    shown = (codes.get(day, "–") for day in days)
    return (pupil.label, pupil.instrument, str(pupil.minutes), *shown, str(page))
