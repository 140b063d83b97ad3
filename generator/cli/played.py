"""``scalewright played``: what was played, how fast, how it felt, in seconds."""

import datetime as dt
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.catalogue.tables import shared_catalogue
from generator.cli import clock, options
from generator.cli.messages import hush, put_out, remark, say
from generator.cli.whose import WhoseLog, log_of_command
from generator.errors import RequestError, shown
from generator.files.home import Home
from generator.practice.brought_home import BroughtHome, note_home, read_home
from generator.practice.log_care import daily_care
from generator.practice.other_logs import bring_together, form_of, told_difference
from generator.practice.played import (
    DAYS_AT_GOAL,
    Noted,
    Said,
    Undone,
    find_sheet,
    note_played,
    numbers_of,
    shared_out,
    take_back_last,
)
from generator.practice.said_cells import FELT
from generator.practice.sheet_record import SheetRecord
from generator.practice.whose_log import any_section
from generator.practice_log import PracticeLog, utc_text
from generator.practice_log.repair import repair
from generator.practice_log.transfer import export_log
from generator.rotation.words import count, long_day, weekday

_SLOWEST = 20
_FARTHEST = 366  # days ahead that are believed without asking
_AHEAD = 60  # days for which a sheet may have been printed before its day


def played(
    numbers: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[NUMBERS | all]",
            help="all, or numbers like 1 2 5-7; with --merge, files; with --studio, tables.",
        ),
    ] = None,
    sheet: Annotated[
        str | None,
        typer.Option(
            "--sheet", help="Code at the foot of the page; else that day's, or the one printed last."
        ),
    ] = None,
    tempo: Annotated[
        int | None, typer.Option("--tempo", min=20, max=400, help="Beats per minute reached.")
    ] = None,
    felt: Annotated[
        int | None, typer.Option("--felt", min=1, max=4, help="1 lost, 2 shaky, 3 steady (usual), 4 secure.")
    ] = None,
    minutes: Annotated[
        int | None,
        typer.Option("--minutes", "-m", min=1, max=600, help="Minutes for all the numbers together."),
    ] = None,
    date: options.Day = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take this computer's last action back.")] = False,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write the whole log to a .csv or .jsonl file.")
    ] = None,
    import_: Annotated[
        Path | None, typer.Option("--import", help="Add the entries of a .csv, .jsonl or .sqlite file.")
    ] = None,
    merge: Annotated[
        bool, typer.Option("--merge", help="Add the entries of all the files named, from other computers.")
    ] = False,
    from_: Annotated[
        str | None, typer.Option("--from", help="The line that a sheet in one file brings home.")
    ] = None,
    mine: Annotated[
        bool, typer.Option("--mine", help="With --import or --merge: these logs are the same player's.")
    ] = False,
    mend: Annotated[
        bool, typer.Option("--repair", help="Make a damaged log anew from what is whole in it.")
    ] = False,
    section: options.Together = None,
    instrument: options.Instrument = None,
    player: Annotated[
        str | None, typer.Option("--player", help="Whose log, where several players keep one.")
    ] = None,
    studio: options.StudioFile = None,
    pupil: options.PupilName = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Note what you played; without numbers it asks, exercise by exercise."""
    hush(quiet)
    doing = [
        name
        for name, asked in (
            ("--undo", undo),
            ("--import", import_ is not None),
            ("--merge", merge),
            ("--repair", mend),
            ("--from", from_ is not None),
        )
        if asked
    ]
    _refuse_together(doing, numbers, noting=bool(sheet or tempo or felt or minutes or date), merge=merge)
    if mine and not (merge or import_):
        raise RequestError("--mine belongs to --import or --merge; it says that the other log is yours too")
    day = _day_played(date)
    name = shared_catalogue().instruments.find(instrument).name if instrument else None
    brought = read_home(from_) if from_ is not None else None
    code = brought.code if brought else sheet
    single = bool(
        [one for one in doing if one != "--undo"] or export or code or tempo or felt or minutes or date
    )
    whose = WhoseLog(section, studio, pupil, player, instrument, code)
    path = log_of_command(Home.at(home), whose, [] if single else numbers, undo=undo)
    if path is None:
        return
    if mend:
        _repair(path)
    with PracticeLog.open(path) as log:
        if merge or import_:
            files = [Path(one) for one in numbers or ()] if merge else []
            _bring(log, [*files, *([import_] if import_ else [])], mine=mine)
        elif undo:
            _undo(log, name)
        elif brought is not None:
            _note_home(log, brought)
        elif not (mend or export):
            with _hint_of_sections(Home.at(home), wanted=not (section or studio or sheet)):
                _note(log, numbers, Said(felt, tempo), minutes, sheet, day, name)
        if export is not None:
            written = export_log(log, export, form_of(export))
            remark(f"{written} entries written")
            put_out(export)


@contextmanager
def _hint_of_sections(home: Home, *, wanted: bool) -> Iterator[None]:
    """Where nothing can be noted, say how what a section played is noted, if one keeps a log here."""
    try:
        yield
    except RequestError as error:
        if not wanted or not any_section(home):
            raise
        raise RequestError(f"{error}; what a section played is noted with --section FILE") from None


def _refuse_together(doing: list[str], numbers: list[str] | None, *, noting: bool, merge: bool) -> None:
    """Refuse two actions in one, so that each can be taken back by itself.

    Raises:
        RequestError: there are two.
    """
    if len(doing) > 1:
        raise RequestError(f"{doing[0]} and {doing[1]} are two actions; do one after the other")
    if doing and (noting or (numbers and not merge)):
        raise RequestError(f"{doing[0]} notes nothing played; note it in a command of its own")
    if merge and not numbers:
        raise RequestError(
            "--merge needs the files of the other logs, like: scalewright played --merge laptop.jsonl"
        )


def _day_played(text: str | None) -> dt.date:
    """The day that --date names, if anything can have been played on it.

    Raises:
        RequestError: it is no day, or is still to come and nobody says that it is meant.
    """
    day = clock.day_named(text)
    ahead = (day - clock.today()).days
    if ahead > 1:
        told = f"{long_day(day)} is {ahead} days ahead of this computer's clock"
        if sys.stdin.isatty():
            if not typer.confirm(f"{told}. Note it for that day all the same?", err=True):
                raise RequestError("nothing was noted")
        elif ahead > _FARTHEST:
            raise RequestError(f"{told}; nothing was noted; is the year right?")
    return day


def _bring(log: PracticeLog, paths: list[Path], *, mine: bool) -> None:
    for brought in bring_together(log, paths, clock.today(), mine=mine):
        saved = brought.saved
        remark(f"{brought.path}: {saved.added} entries added, {saved.present} were there already")
        for counts, other in saved.differ:
            say(told_difference(counts, other))
        if brought.copy:
            remark(f"the log from before is kept as {brought.copy}")
        if not brought.whole:
            remark(
                f"{brought.path.name} does not say how many entries it should have: an earlier program wrote it"
            )


def _repair(path: Path) -> None:
    done = repair(path, clock.today())
    if done.aside is None:
        remark(f"the log is sound: {done.entries} entries; nothing was changed")
        return
    remark(f"the log was made anew: {done.entries} entries, {done.from_copies} of them from copies")
    for line in done.lost:
        say(f"missing: {line}")
    remark(f"the damaged file is kept as {done.aside}")


def _undo(log: PracticeLog, instrument: str | None) -> None:
    undone = take_back_last(log, clock.today(), utc_text(clock.now()), instrument)
    if not isinstance(undone, Undone):
        remark(
            f"taken back: the {undone.entries} entries imported from {undone.source} on "
            f"{weekday(undone.day)} {long_day(undone.day)}"
        )
        return
    numbers = ", ".join(map(str, undone.numbers))
    remark(
        f"taken back: sheet {undone.sheet}, number {numbers}, of {weekday(undone.day)} {long_day(undone.day)}"
    )


def _note(
    log: PracticeLog,
    numbers: list[str] | None,
    all_alike: Said,
    minutes: int | None,
    code: str | None,
    day: dt.date,
    instrument: str | None,
) -> None:
    latest = max(day, clock.today()) + dt.timedelta(days=_AHEAD)
    found = find_sheet(log, code, day, latest, instrument)
    if numbers:
        chosen = numbers_of(numbers, found)
        parts = shared_out(minutes, chosen, found) if minutes else {}
        whole = any(word.casefold() == "all" for text in numbers for word in text.replace(",", " ").split())
        said = {
            number: replace(
                all_alike,
                minutes=parts.get(number) or None,
                planned=found.rows[number - 1].minutes if whole and not minutes else None,
            )
            for number in chosen
        }
    else:
        said = _asked(found)
    _tell(found, note_played(log, found, said, day, utc_text(clock.now())), day)
    for line in daily_care(log, clock.today()):
        say(line)


def _note_home(log: PracticeLog, brought: BroughtHome) -> None:
    """Note what a sheet in one file brings home."""
    latest = max(brought.day, clock.today()) + dt.timedelta(days=_AHEAD)
    found = find_sheet(log, brought.code, brought.day, latest, None)
    _tell(found, note_home(log, found, brought, utc_text(clock.now())), brought.day)
    for line in daily_care(log, clock.today()):
        say(line)


def _asked(sheet: SheetRecord) -> dict[int, Said]:
    """Ask exercise by exercise; nothing is noted before the last answer."""
    if not sys.stdin.isatty():
        raise RequestError('nothing is noted: say which numbers, like "played all" or "played 1 2 5-7"')
    remark(f"sheet {sheet.code}, {weekday(sheet.day)} {long_day(sheet.day)}")
    remark(
        "Enter = steady; 1 lost, 2 shaky, 4 secure; a tempo beside it, like 4 88; - = not played; q = that was all"
    )
    said: dict[int, Said] = {}
    number = 1
    while number <= len(sheet.rows):
        print(f"{number}. {sheet.rows[number - 1].phrase}: ", end="", file=sys.stderr, flush=True)
        try:
            answer = input().strip().casefold()
        except EOFError:
            break
        if answer in ("q", "quit"):
            break
        one = _understood(answer)
        if isinstance(one, str):
            say(one)
            continue
        if one is not None:
            said[number] = one
        number += 1
    if not said:
        raise RequestError("nothing is noted")
    return said


def _understood(answer: str) -> Said | str | None:
    """What an answer says; None for not played, a text for what is wrong with it."""
    if answer in ("-", "n", "no"):
        return None
    felt = tempo = None
    for word in answer.split():
        if word in FELT:
            felt = FELT[word]
        elif word in ("1", "2", "3", "4"):
            felt = int(word)
        elif word.isascii() and word.isdigit() and len(word) < 5 and _SLOWEST <= int(word) <= 400:
            tempo = int(word)
        else:
            return f"{shown(word)} is not understood; Enter, 1 to 4, a tempo from 20 to 400, - or q"
    return Said(felt, tempo)


def _tell(sheet: SheetRecord, noted: Noted, day: dt.date) -> None:
    when = f"{weekday(day)} {long_day(day)}"
    if noted.new:
        remark(f"noted: sheet {sheet.code}, number {_runs(noted.new)}, {when}")
    if noted.changed:
        remark(f"changed: sheet {sheet.code}, number {_runs(noted.changed)}, {when}")
    if noted.same:
        remark(f"noted already, nothing changed: number {_runs(noted.same)}")
    for phrase in noted.reached:
        remark(f"goal reached, on {DAYS_AT_GOAL} days: {phrase}")
    for phrase, days in noted.at_goal:
        remark(f"at its goal on {count(days, 'day')}, reached with {DAYS_AT_GOAL}: {phrase}")
    if (noted.new or noted.changed) and (ahead := (day - clock.today()).days) > 1:
        remark(f"that is {ahead} days ahead of this computer's clock; it counts from that day on")
    if noted.new and day != sheet.day:
        remark(
            f"the sheet is of {long_day(sheet.day)}; if you played it then: played --undo, "
            f"and again with --sheet {sheet.code} --date {sheet.day}"
        )


def _runs(numbers: tuple[int, ...]) -> str:
    """``1-3, 5``."""
    parts: list[str] = []
    start = numbers[0]
    for here, following in zip(numbers, (*numbers[1:], None), strict=True):
        if following != here + 1:
            parts.append(str(start) if start == here else f"{start}-{here}")
            start = following or 0
    return ", ".join(parts)
