"""A studio's week: everyone's sheets in one document, and the table on which they come back."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.documents.played_table import (
    PlayedRow,
    read_table,
    table_as_csv,
    table_as_workbook,
)
from generator.documents.studio import Pupil, RefusedPupil, Studio
from generator.documents.studio_file import read_studio
from generator.engraving.parallel import Progress
from generator.errors import GeneratorError, MachineError, RequestError
from generator.files.atomic import place_in
from generator.files.home import Home
from generator.files.text import clean, slug
from generator.pages.own_page import NO_PAGE, OwnPage
from generator.practice.studio import PupilWeek, only, pupil_week
from generator.practice.today import DayRequest
from generator.practice.words import help_of, paper_of, sheet_order, show_of, week_order
from generator.publish.sheet import SheetOrder, laid_out
from generator.publish.studio import BoundStudio, PupilPages, PupilSheet, StudioWords, bind_studio

EVERYONE, BACK = "everyone.pdf", "back"
_MOST_TABLES, _LONGEST = 99, 24


@dataclass(frozen=True, slots=True)
class StudioRequest:
    """Whose sheets are wanted, and how.

    Attributes:
        file: studio.toml, or a roster.
        days: how many, from the first on.
        day: the first; the day of the clock by default.
        pupil: one alone, or None for everyone.
        minutes: in place of everyone's own.
        order: folder, note and the like.
        paper: in place of the plans'.
        size: print size in place of the plans'.
        own_page: staff and side of the paper in place of the readers'.
        show: notes, outline or both.
        two_sided: every pupil begins on a sheet of their own.
    """

    file: Path
    days: int = 1
    day: dt.date | None = None
    pupil: str | None = None
    minutes: int | None = None
    order: SheetOrder = field(default_factory=SheetOrder)
    paper: str | None = None
    size: str | None = None
    own_page: OwnPage = NO_PAGE
    show: str | None = None
    two_sided: bool = False


@dataclass(frozen=True, slots=True)
class StudioPrinted:
    """What was printed.

    Attributes:
        studio: the file.
        weeks: of each pupil.
        refused: who was left out, and why.
        paths: files written, everyone's first.
        table: the table to be filled in, or None for one pupil alone.
        kept: a table that lay there and has something in it, which was left as it is.
        pages: of everyone's document.
        warnings: lines for the person.
    """

    studio: Studio
    weeks: tuple[PupilWeek, ...]
    refused: tuple[RefusedPupil, ...]
    paths: tuple[Path, ...]
    table: Path | None
    kept: Path | None
    pages: int
    warnings: tuple[str, ...]


@dataclass
class _Week:
    """The pupils' sheets on their way to paper."""

    request: StudioRequest
    root: Home
    first: DayRequest
    weeks: list[PupilWeek] = field(default_factory=list)
    refused: list[RefusedPupil] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    errors: list[GeneratorError] = field(default_factory=list)

    def pages(self, pupils: Sequence[Pupil]) -> Iterator[PupilPages]:
        """Each pupil's pages; who cannot have any is left out and stops nobody else."""
        taken: tuple[str, ...] = ()
        for pupil in pupils:
            try:
                week = pupil_week(self.root, pupil, replace(self.first, taken=taken), self.request.days)
                pages = self._laid_out(week)
            except GeneratorError as error:  # a bad plan, or a damaged log
                self.refused.append(RefusedPupil(pupil.label, str(error)))
                self.errors.append(error)
                continue
            taken = (*taken, *week.codes)
            self.weeks.append(week)
            yield pages

    def _laid_out(self, week: PupilWeek) -> PupilPages:
        asked, session = self.request, week.session
        order = replace(
            asked.order,
            paper=paper_of(session.plan, asked.paper, asked.size, asked.own_page),
            show=show_of(session.plan, asked.show),
            help=asked.order.help or help_of(session),
        )
        dates = [page.sheet.day for page in week.pages]
        sheets: list[PupilSheet] = []
        for page in week.pages:
            worded = (
                week_order(page.sheet, session.plan, order, dates)
                if dates[1:]
                else sheet_order(page.sheet, session.plan, order)
            )
            # Of a pile of paper every page must say whose it is, also those without the name at their head.
            footer = f"{clean(week.pupil.name, _LONGEST)} · {worded.footer}"
            sheet, bare = laid_out(replace(worded, footer=footer), page.player, page.exercises)
            self.told += [f"{week.pupil.label}: {line}" for line in bare]
            sheets.append(PupilSheet(page.sheet.day, page.sheet.code, sheet))
        instrument = session.player.instrument.label
        return PupilPages(
            week.pupil.folder, week.pupil.label, instrument, session.plan.minutes, tuple(sheets)
        )


def print_studio(
    now: dt.datetime,
    request: StudioRequest,
    *,
    home: Path | None = None,
    progress: Progress = lambda _done, _all: None,
) -> StudioPrinted:
    """Print everyone's sheets: one document with a cover, one for each pupil, and the table to note them by.

    Args:
        now: this moment, with its time zone.
        request: whose, and how.
        home: folder of the studio's logs and cache; by default where this system keeps such things.
        progress: told how many sheets of how many are done.

    Raises:
        RequestError: the file cannot be read, or nobody has anything to play.
        MachineError: LilyPond, a log or the disk failed; nothing half-written is left.
    """
    studio = read_studio(request.file)
    chosen = only(studio, request.pupil)
    day = request.day or now.date()
    first = DayRequest(
        day=day, clock=now.date(), moment=now, minutes=request.minutes, otherwise=bool(request.minutes)
    )
    order = replace(request.order, note=" ".join(w for w in (request.order.note, studio.note) if w))
    week = _Week(replace(request, order=order), Home.at(home), first, refused=[*chosen.refused])
    title = studio.title or "Studio"

    def words() -> StudioWords:
        told = tuple(one.words for one in week.refused)
        how = (
            f"Fill in {BACK}.xlsx or {BACK}.csv and note it with: scalewright played --studio "
            f"{request.file.name} {BACK}.csv. The next week is chosen from it; within this one, every sheet takes "
            "those before it as played."
        )
        return StudioWords(title, order.note, told, how)

    bound = bind_studio(
        _some(week, chosen.pupils),
        words,
        progress,
        cache=order.cache,
        two_sided=request.two_sided,
        covered=request.pupil is None,
    )
    folder = order.out / _folder(studio.title or request.file.stem, day, request.days)
    paths, table, kept = _placed(bound, week.weeks, folder, alone=request.pupil is not None)
    warnings = (*dict.fromkeys((*bound.warnings, *week.told)),)
    return StudioPrinted(
        studio, tuple(week.weeks), tuple(week.refused), paths, table, kept, bound.pages, warnings
    )


def _some(week: _Week, pupils: Sequence[Pupil]) -> Iterator[PupilPages]:
    """The pages of all pupils.

    Raises:
        RequestError: nobody has any.
    """
    yield from week.pages(pupils)
    if not week.weeks:
        if machine := next((one for one in week.errors if isinstance(one, MachineError)), None):
            raise machine
        raise RequestError("\n".join(one.words for one in week.refused) or "there is nobody to print for")


def _folder(title: str, day: dt.date, days: int) -> str:
    return f"{slug(title, 48)}-{day}" + (f"-{days}-days" if days > 1 else "")


def _placed(
    bound: BoundStudio, weeks: Sequence[PupilWeek], folder: Path, *, alone: bool
) -> tuple[tuple[Path, ...], Path | None, Path | None]:
    """The files in place; a table that somebody has begun to fill in stays as it is."""
    files = {f"{stem}.pdf": data for stem, data in bound.each.items()}
    if alone:
        return place_in(folder, files), None, None
    rows = [
        (week.pupil.label, page.sheet.code, "", page.sheet.day.isoformat(), "", "", "")
        for week in weeks
        for page in week.pages
    ]
    begun, stem = _free(folder, {(row[0], row[1]) for row in rows})
    files = {EVERYONE: bound.everyone, **files}
    if stem:
        files |= {f"{stem}.csv": table_as_csv(rows), f"{stem}.xlsx": table_as_workbook(rows)}
    return place_in(folder, files), folder / f"{stem}.csv" if stem else begun, begun


def _free(folder: Path, rows: set[tuple[str, str]]) -> tuple[Path | None, str]:
    """A table that is begun, if there is one, and the name for a new one; "" where that one has all its rows."""
    begun = None
    for number in range(1, _MOST_TABLES):
        stem = BACK if number == 1 else f"{BACK}-{number}"
        here = [path for path in (folder / f"{stem}.csv", folder / f"{stem}.xlsx") if path.exists()]
        tables = [(path, _known(path)) for path in here]
        filled = [(path, known) for path, known in tables if known is None or not all(r.blank for r in known)]
        if not filled:
            return begun, stem
        begun = begun or filled[0][0]
        for _, known in filled:
            if known is not None and rows <= {(row.pupil, row.sheet) for row in known}:
                return begun, ""
    raise RequestError(f"{folder} holds {_MOST_TABLES} tables already; lay some of them aside")


def _known(path: Path) -> tuple[PlayedRow, ...] | None:
    """The rows of a table that lies there; None where it cannot be read."""
    try:
        return read_table(path)
    except (RequestError, MachineError):
        return None
