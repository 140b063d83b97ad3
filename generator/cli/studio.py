"""What ``today``, ``played`` and ``progress`` do with ``--studio``: a teacher's pupils, all at once."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.api.studios import StudioPrinted, StudioRequest, print_studio
from generator.cli import clock
from generator.cli.messages import Message, put_out, remark, say, show_line, tell
from generator.cli.progress_bar import progress_bar
from generator.documents.played_table import TABLES, read_table
from generator.documents.studio_file import read_studio
from generator.errors import RequestError
from generator.files.home import Home
from generator.pages.own_page import OwnPage
from generator.pages.paper import Paper
from generator.practice.player_session import PlayerSession
from generator.practice.studio import PupilWeek, log_path, open_pupil, sheet_of
from generator.practice.studio_noting import FAR, PupilNoted, note_table, take_table_back
from generator.practice_log import utc_text
from generator.progress.studio import standing_lines, studio_standing
from generator.publish.sheet import SheetOrder
from generator.rotation.words import count

_MOST_TOLD = 40


@dataclass(frozen=True, slots=True)
class StudioLook:
    """How a whole studio is looked at.

    Attributes:
        today: the day of the report.
        since: first day that days are counted from, or None.
        weeks: so many weeks instead, or None.
        formats: of a page to be drawn, or None for a report in words.
        out: folder of the page.
        paper: its name, or None.
    """

    today: dt.date
    since: dt.date | None
    weeks: int | None
    formats: str | None
    out: Path
    paper: str | None


def print_for_studio(
    studio: Path | None,
    unused: Sequence[str],
    order: SheetOrder,
    *,
    pupil: str | None,
    days: int,
    day: dt.date,
    minutes: int | None,
    paper: str | None,
    size: str | None,
    own_page: OwnPage,
    show: str | None,
    two_sided: bool,
    home: Path | None,
    quiet: bool,
) -> None:
    """Print everyone's sheets; see `print_studio`.

    Args:
        studio: the file.
        unused: options that are one player's, and were given.
        order: how to print.
        pupil: one alone.
        days: how many.
        day: the first.
        minutes: in place of everyone's own.
        paper: in place of the plans'.
        size: print size in place of the plans'.
        own_page: staff and side of the paper.
        show: notes, outline or both.
        two_sided: every pupil begins on a sheet of their own.
        home: folder of the logs.
        quiet: no bar.

    Raises:
        RequestError: an option does not belong here, or nothing can be printed.
    """
    file = _named(studio, "--two-sided" if two_sided and pupil is None else "--pupil")
    if unused:
        raise RequestError(
            f"--studio prints the usual sheets of all its pupils as PDF; leave out {', '.join(unused)}"
        )
    request = StudioRequest(
        file=file,
        days=days,
        day=day,
        pupil=pupil,
        minutes=minutes,
        order=order,
        paper=paper,
        size=size,
        own_page=own_page,
        show=show,
        two_sided=two_sided,
    )
    with progress_bar(quiet=quiet) as progress:
        done = print_studio(clock.now(), request, home=home, progress=progress)
    tell(_printed_lines(done, file))
    for path in done.paths:
        put_out(path)


def _printed_lines(done: StudioPrinted, file: Path) -> Iterator[Message]:
    """A line for each pupil, what was left out, and what to do next."""
    yield from (Message(line) for line in done.studio.remarks)
    for week in done.weeks:
        yield from _week_lines(week)
    for warning in done.warnings:
        yield Message(warning, loud=True)
    for one in done.refused:
        yield Message(f"left out: {one.words}", loud=True)
    sheets = sum(len(week.pages) for week in done.weeks)
    who = count(len(done.weeks), "pupil")
    yield Message(f"{who}, {count(sheets, 'sheet')}, {count(done.pages, 'page')}")
    if done.kept and done.kept != done.table:
        yield Message(
            f"{done.kept} has something in it and is left as it is; the new rows are in {done.table}"
        )
    elif done.kept:
        yield Message(f"{done.kept} has something in it and is left as it is")
    if done.table:
        yield Message(
            f"fill in {done.table} (or the .xlsx), then: scalewright played --studio {file} {done.table}"
        )


def _week_lines(week: PupilWeek) -> Iterator[Message]:
    label, session = week.pupil.label, week.session
    numbers = count(len(week.pages), "sheet")
    told = f"{label}, {session.player.instrument.name}: {numbers} of {count(session.plan.minutes, 'minute')}"
    yield Message(f"{told}, {' '.join(week.codes)}")
    first = week.pages[0]
    for line in first.remarks:
        yield Message(f"{label}: {line}", loud=True)
    if first.unfit:
        phrase, reason = first.unfit[0]
        more = f", and {len(first.unfit) - 1} more" if first.unfit[1:] else ""
        yield Message(f"{label}: left out: {phrase}: {reason}{more}")


def noted_or_log(
    studio: Path | None,
    pupil: str | None,
    words: Sequence[str],
    home: Home,
    *,
    code: str | None,
    player: str | None,
    undo: bool,
) -> Path | None:
    """What ``played`` has to do: note tables or take one back, which is done here, or go on with one pupil's log.

    Args:
        studio: the file.
        pupil: one alone.
        words: what may be tables.
        home: where the logs are.
        code: a sheet code that is named.
        player: a player of the home, who has no place here.
        undo: the last table is to be taken back, where no pupil is named.

    Returns:
        The log, or None where all is done.

    Raises:
        RequestError: nothing says what is meant, or rows of a table cannot be noted.
    """
    if player is not None:
        raise RequestError("--player names a player of this home; with --studio write --pupil")
    if pupil is None and words and all(Path(word).suffix.casefold() in TABLES for word in words):
        note_tables(studio, words, home)
        return None
    if pupil is None and undo:
        take_back(studio, home)
        return None
    return log_meant(studio, pupil, code, home)


def note_tables(studio: Path | None, tables: Sequence[str], home: Home) -> None:
    """Note what tables say was played.

    What is right is noted; each row that is not is told with its number.

    Raises:
        RequestError: a table cannot be read, before anything is noted; or some rows are not noted, after the others.
    """
    file = read_studio(_named(studio, "a table"))
    read = [(Path(table), read_table(Path(table))) for table in tables]
    left = 0
    for path, rows in read:
        done = note_table(home, file, rows, clock.today(), utc_text(clock.now()), path.name)
        for one in done.pupils:
            tell(_noted_lines(one))
        if done.blank:
            remark(f"{path.name}: {count(done.blank, 'row')} without anything played")
        for bad in done.bad[:_MOST_TOLD]:
            say(f"{path.name}, {bad.words}")
        if done.bad[_MOST_TOLD:]:
            say(f"{path.name}: {count(len(done.bad) - _MOST_TOLD, 'more row')} cannot be read")
        left += len(done.bad)
    if left:
        raise RequestError(
            f"{count(left, 'row')} not noted, all others are; mend and give the table again: nothing is noted twice"
        )


def _noted_lines(one: PupilNoted) -> Iterator[Message]:
    parts = [
        f"{count(number, 'exercise')} {word}"
        for number, word in ((one.new, "noted"), (one.changed, "changed"), (one.same, "noted already"))
        if number
    ]
    if parts:
        yield Message(f"{one.label}: {', '.join(parts)}, on {count(one.days, 'day')}")
    for phrase in one.reached:
        yield Message(f"{one.label}: goal reached: {phrase}")
    for line in one.told:
        yield Message(f"{one.label}: {line}", loud=True)


def take_back(studio: Path | None, home: Home) -> None:
    """Take back what the last table noted.

    Raises:
        RequestError: there is none.
    """
    file = read_studio(_named(studio, "--undo"))
    for label, number in take_table_back(home, file, clock.today(), utc_text(clock.now())).items():
        remark(f"taken back: {label}, {count(number, 'exercise')}")


def log_meant(studio: Path | None, pupil: str | None, code: str | None, home: Home) -> Path:
    """The log of the pupil who is named, or whose sheet has a code.

    Raises:
        RequestError: neither is said, or there is no such pupil.
    """
    file = read_studio(_named(studio, "--pupil"))
    if pupil is not None:
        return log_path(home, file.find(pupil))
    if code is None:
        raise RequestError("say whose log with --pupil, or give a table like back.csv")
    return log_path(home, sheet_of(home, file, code, clock.today() + FAR)[0])


def answer_or_session(
    studio: Path | None, pupil: str | None, single: Sequence[str], look: StudioLook, home: Path | None
) -> PlayerSession | None:
    """What ``progress`` has to do: tell how everyone stands, which is done here, or go on with one pupil.

    Args:
        studio: the file.
        pupil: one alone.
        single: options that are one player's, and were given.
        look: day, period and page.
        home: folder of the logs.

    Returns:
        The pupil, or None where all is done.

    Raises:
        RequestError: an option does not belong here, or the file has mistakes.
        MachineError: a page cannot be drawn or placed.
    """
    file = read_studio(_named(studio, "--pupil"))
    if pupil is not None:
        return open_pupil(Home.at(home), file.find(pupil))
    if single:
        raise RequestError(f"{', '.join(single)}: that is one pupil’s; say whose with --pupil")
    standing = studio_standing(Home.at(home), file, look.today, look.since, look.weeks)
    for one in standing.refused:
        say(f"left out: {one.words}")
    if look.formats is None:
        for line in standing_lines(standing):
            show_line(line)
        return None
    # The drawing library takes half a second to load.
    from generator.progress.overview import DrawingOrder, parse_formats  # noqa: PLC0415
    from generator.progress.studio_page import studio_page  # noqa: PLC0415

    order = DrawingOrder(look.out, parse_formats(look.formats), Paper.of(look.paper or "letter", "normal"))
    drawn = studio_page(standing, order)
    for warning in drawn.warnings:
        say(warning)
    for path in drawn.paths:
        put_out(path)
    return None


def _named(studio: Path | None, belonging: str) -> Path:
    if studio is None:
        raise RequestError(f"{belonging} belongs to --studio; name the file, like --studio studio.toml")
    return studio
