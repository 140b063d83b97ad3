"""What has been covered, what is neglected, what got faster: reports from the log, drawn or in figures.

Nothing here reads the clock, prints to the terminal, or knows a command line: dates and paths come in.
"""

import datetime as dt
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from generator.engraving.program import locate
from generator.errors import LilyPondMissingError, RequestError, shown
from generator.files.atomic import place_all
from generator.files.text import clean, slug
from generator.pages.paper import Paper
from generator.practice.aims import AimStanding, standings
from generator.practice.growth import Growth
from generator.practice.player_session import PlayerSession
from generator.progress.count import every_course, report
from generator.progress.drawing import Drawing, Mark
from generator.progress.drawn_page import Frame, Heading, phrase_text
from generator.progress.history import History, read_history, read_planned
from generator.progress.pictures import FORMATS, PagePainter
from generator.progress.report import WEEK, Course, Period, Report, Standing, monday
from generator.progress.table_page import table_pages, with_feet
from generator.progress.tempo_page import course_page, tempo_pages
from generator.progress.waits import waits
from generator.progress.week_change import week_change, week_lines
from generator.progress.week_record import record_page, week_record
from generator.publish.codes import sheet_code
from generator.rotation.words import count, long_day

if TYPE_CHECKING:
    from generator.progress.band_keys import BandKeys

DEFAULT_WEEKS = 8
LONGEST_NAME = 60
_LETTERS_MISSING = "some letters of the name are in no font of this machine and were drawn as boxes"


@dataclass(frozen=True, slots=True)
class DrawingOrder:
    """What is to be drawn, and where to.

    Attributes:
        out: folder for the files.
        formats: some of pdf, png, svg.
        paper: the paper.
    """

    out: Path
    formats: tuple[str, ...]
    paper: Paper


@dataclass(frozen=True, slots=True)
class Drawn:
    """Files written, and lines for the person."""

    paths: tuple[Path, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Progress:
    """A player's log and list, read once.

    Attributes:
        session: the player.
        history: what the log holds for the player's instrument.
        today: the day of the report.
        aims: what is to be ready by a day.
    """

    session: PlayerSession
    history: History
    today: dt.date
    aims: tuple[AimStanding, ...] = ()

    @property
    def player(self) -> str:
        """The player's name, for a line."""
        return clean(self.session.plan.player, LONGEST_NAME)

    def report(self, since: dt.date | None = None, weeks: int | None = None) -> Report:
        """Count everything.

        Args:
            since: first day to look back on; without it the Monday of so many weeks.
            weeks: how many weeks from there on; without either, the last eight.

        Raises:
            RequestError: the period begins after the day of the report.
        """
        period = period_of(since, weeks, self.today, self.history.first_day)
        return report(self.kept(), self.history.plays, period)

    def kept(self) -> list[Standing]:
        """The list as the rotation sees it."""
        return [
            Standing(wait.item.id, *self.history.names.of(wait.item.name), wait.item.goal, *wait[1:])
            for wait in waits(self.session, self.history.events, self.today)
        ]

    def band_keys(self) -> "BandKeys | None":
        """The concert keys of a section; None for a player alone."""
        if self.session.band is None:
            return None
        from generator.progress.band_keys import band_keys  # noqa: PLC0415  # a player alone needs none of it

        tonics = [standing.tonic for standing in self.kept()]
        return band_keys(self.session.band.section, self.history.plays, tonics, self.today)

    def courses(self, period: Period) -> tuple[Course, ...]:
        """The tempi of every exercise that has one in a period."""
        return every_course(self.kept(), self.history.plays, period)


def read_progress(session: PlayerSession, today: dt.date) -> Progress:
    """Read the log; it is not changed, nor made where there is none.

    Args:
        session: the player.
        today: the day of the report.

    Raises:
        OutputError: the log cannot be read.
    """
    history = read_history(session, today)
    evening = today + dt.timedelta(days=1) if today < dt.date.max else today
    aims = standings(session, today, evening=True)
    return Progress(Growth(session).on(evening, history.events), history, today, aims)


def period_of(since: dt.date | None, weeks: int | None, today: dt.date, first_day: dt.date | None) -> Period:
    """The days to look back on; never any before the first play, because nobody could have noted one.

    Args:
        since: first day, or None for the Monday of the first of so many weeks, this one counted.
        weeks: how many.
        today: the day of the report.
        first_day: day of the first play, or None.

    Raises:
        RequestError: it begins after the day of the report.
    """
    if since is not None and since > today:
        raise RequestError(f"--since {since} is later than the day of the report, {today}")
    until = today
    if since is None:
        back = min(WEEK * ((weeks or DEFAULT_WEEKS) - 1), (monday(today) - dt.date.min).days)
        since = monday(today) - dt.timedelta(days=back)
    elif weeks is not None:
        until = since + dt.timedelta(days=min(WEEK * weeks - 1, (today - since).days))
    if first_day is not None:
        since = max(since, min(first_day, until))
    return Period(since, until, today)


def parse_formats(text: str) -> tuple[str, ...]:
    """``pdf,png`` as names.

    Raises:
        RequestError: an unknown format.
    """
    wanted = tuple(dict.fromkeys(word.strip().casefold() for word in text.split(",") if word.strip()))
    unknown = [word for word in wanted if word not in FORMATS]
    if unknown or not wanted:
        raise RequestError(
            f"unknown format {shown((unknown or [text])[0])}; progress is drawn as {', '.join(FORMATS)}"
        )
    return wanted


def draw_report(progress: Progress, figures: Report, order: DrawingOrder) -> Drawn:
    """Draw the report: the table of keys, then tempi and days.

    Raises:
        OutputError: a file cannot be written.
    """
    press = PagePainter(house_fonts(), order.paper)
    frame = Frame.of(order.paper)
    instrument = phrase_text(progress.session.player.instrument.label)
    covered = Heading("What has been covered", instrument, progress.player, long_day(figures.period.today))
    days = f"{long_day(figures.period.since)} to {long_day(figures.period.until)}"
    course = Heading("Tempo and days", instrument, progress.player, days)
    pages = [
        *table_pages(figures, covered, frame, press.measure),
        *_band_pages(progress, covered, frame, press),
        course_page(figures, course, frame, press.measure, _told(progress, figures)),
    ]
    code = sheet_code(["progress", progress.player, instrument, order.paper, figures])
    drawings = with_feet(pages, frame, foot_words(figures))
    stem = _stem("progress", progress, figures.period.today, code)
    return place_drawings(press, drawings, stem, order, "Progress")


def _band_pages(progress: Progress, covered: Heading, frame: Frame, press: PagePainter) -> list[list[Mark]]:
    """The page of concert and written keys, for a section."""
    keys = progress.band_keys()
    if keys is None:
        return []
    from generator.progress.band_keys import keys_page  # noqa: PLC0415  # a player alone needs none of it

    return [keys_page(keys, replace(covered, title="Concert keys"), frame, press.measure)]


def week_sentences(progress: Progress, figures: Report) -> tuple[str, ...]:
    """What changed in the last seven days, and one thing to do about it."""
    return tuple(week_lines(week_change(progress.history.plays, figures.kept, figures.period.today)))


def _told(progress: Progress, figures: Report) -> tuple[str, ...]:
    """The week in sentences, and what is to be ready by a day, for a page."""
    return (*week_sentences(progress, figures), *(f"aim: {line}" for line in aim_lines(progress.aims)))


def aim_lines(aims: Sequence[AimStanding]) -> tuple[str, ...]:
    """What is to be ready by a day, each in a line: reached, or how far it is."""
    return tuple(f"{one.goal} {one.state}" for one in aims)


def draw_tempi(progress: Progress, figures: Report, order: DrawingOrder) -> Drawn:
    """Draw a picture of each exercise: its tempo over time beside its goal.

    Raises:
        RequestError: nothing in the period has a tempo.
        OutputError: a file cannot be written.
    """
    period = figures.period
    courses = progress.courses(period)
    if not courses:
        raise RequestError(
            f"no tempo is noted since {long_day(period.since)}; note one with: scalewright played 1 --tempo 84"
        )
    press = PagePainter(house_fonts(), order.paper)
    frame = Frame.of(order.paper)
    instrument = phrase_text(progress.session.player.instrument.label)
    days = f"{long_day(period.since)} to {long_day(period.until)}"
    heading = Heading("Each exercise, its tempo and its goal", instrument, progress.player, days)
    pages = tempo_pages(courses, period, heading, frame, press.measure)
    code = sheet_code(["tempi", progress.player, instrument, order.paper, courses, period])
    words = f"{count(len(courses), 'exercise')} with a tempo in this period; the dashed line is the goal"
    stem = _stem("tempi", progress, period.today, code)
    return place_drawings(press, with_feet(pages, frame, words), stem, order, "Tempi")


def draw_record(progress: Progress, first: dt.date, order: DrawingOrder) -> Drawn:
    """Draw the record of seven days, to be signed.

    Args:
        progress: the player.
        first: the first of the seven days.
        order: where to.

    Raises:
        OutputError: a file cannot be written.
    """
    press = PagePainter(house_fonts(), order.paper)
    planned = read_planned(progress.session, progress.history.names, first, WEEK)
    last = first + dt.timedelta(days=min(WEEK - 1, (dt.date.max - first).days))
    aims = standings(progress.session, min(last, progress.today), evening=True)
    lines = aim_lines([one for one in aims if one.reached is None or one.reached >= first])
    record = week_record(progress.history.plays, first, progress.today, planned, lines)
    instrument = phrase_text(progress.session.player.instrument.label)
    page = record_page(record, progress.player, instrument, Frame.of(order.paper), press.measure)
    code = sheet_code(["record", progress.player, instrument, order.paper, record])
    drawn = place_drawings(
        press, [page.drawing], _stem("record", progress, first, code), order, "Practice record"
    )
    return Drawn(drawn.paths, (*drawn.warnings, page.shortened) if page.shortened else drawn.warnings)


def record_start(since: dt.date | None, today: dt.date) -> dt.date:
    """The first day of the record: as asked, else so that the last of the seven is the day of the report."""
    return since or today - dt.timedelta(days=min(WEEK - 1, (today - dt.date.min).days))


def foot_words(figures: Report) -> str:
    """How much there is, in one line."""
    never = f", {len(figures.never)} never played" if figures.never else ""
    return f"{count(len(figures.kept), 'exercise')} on the list{never}, {len(figures.due)} due"


def house_fonts() -> Path | None:
    """The folder with the fonts of this machine's LilyPond, if it is found; LilyPond itself is not started."""
    try:
        found = locate(os.environ)
    except LilyPondMissingError:
        return None
    program = found if isinstance(found, Path) else found.path
    folders = sorted((program.resolve().parents[1] / "share" / "lilypond").glob("*/fonts/otf"))
    return folders[-1] if folders else None


def _stem(kind: str, progress: Progress, day: dt.date, code: str) -> str:
    whose = [slug(progress.player, 32)] if progress.player else []
    instrument = slug(progress.session.player.instrument.name, 32)
    return "-".join([kind, *whose, instrument, day.isoformat(), code.lower()])


def place_drawings(
    press: PagePainter, drawings: Sequence[Drawing], stem: str, order: DrawingOrder, title: str
) -> Drawn:
    """Drawn pages as files.

    Args:
        press: draws them.
        drawings: the pages.
        stem: file name without its ending.
        order: where to.
        title: inside the files.

    Raises:
        OutputError: a file cannot be written.
    """
    pictures = press.draw(drawings, stem, order.formats, title)
    paths = place_all({order.out / name: data for name, data in pictures.files.items()})
    return Drawn(paths, (_LETTERS_MISSING,) if pictures.letters_missing else ())
