"""``scalewright played``: what was played, how fast, how it felt, in seconds."""

import sys
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.catalogue.tables import shared_catalogue
from generator.cli import clock, options
from generator.cli.messages import hush, put_out, remark, say
from generator.errors import RequestError, shown
from generator.files.home import Home
from generator.practice.played import (
    Noted,
    Said,
    find_sheet,
    note_played,
    numbers_of,
    shared_out,
    take_back_last,
)
from generator.practice.sheet_record import SheetRecord, check_sheet
from generator.practice_log import Format, PracticeLog, export_log, import_log, utc_text
from generator.rotation.words import long_day, weekday

FORMATS = {".csv": Format.CSV, ".jsonl": Format.JSON_LINES}
_FELT = {"lost": 1, "shaky": 2, "fine": 3, "easy": 4}
_SLOWEST = 20


def played(
    numbers: Annotated[
        list[str] | None, typer.Argument(metavar="[NUMBERS | all]", help="all, or numbers like 1 2 5-7.")
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", help="Code at the foot of the page; else the newest.")
    ] = None,
    tempo: Annotated[
        int | None, typer.Option("--tempo", min=20, max=400, help="Beats per minute reached.")
    ] = None,
    felt: Annotated[
        int | None, typer.Option("--felt", min=1, max=4, help="1 lost, 2 shaky, 3 fine (usual), 4 easy.")
    ] = None,
    minutes: Annotated[
        int | None,
        typer.Option("--minutes", "-m", min=1, max=600, help="Minutes for all the numbers together."),
    ] = None,
    date: options.Day = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take the last action back.")] = False,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write the whole log to a new .csv or .jsonl file.")
    ] = None,
    import_: Annotated[
        Path | None, typer.Option("--import", help="Add the entries of a .csv or .jsonl file.")
    ] = None,
    instrument: options.Instrument = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Note what you played; without numbers it asks, exercise by exercise."""
    hush(quiet)
    day = clock.day_named(date)
    name = shared_catalogue().instruments.find(instrument).name if instrument else None
    with PracticeLog.open(Home.at(home).log) as log:
        if export or import_:
            _transfer(log, export, import_)
        elif undo:
            _undo(log, name)
        else:
            found = find_sheet(log, sheet, max(day, clock.today()), name)
            if numbers:
                chosen = numbers_of(numbers, found)
                parts = shared_out(minutes, chosen, found) if minutes else {}
                said = {number: Said(felt, tempo, parts.get(number) or None) for number in chosen}
            else:
                said = _asked(found)
            noted = note_played(log, found, said, day, utc_text(clock.now()))
            _tell(found, noted, clock.day_named(date).isoformat())


def _transfer(log: PracticeLog, export: Path | None, import_: Path | None) -> None:
    for path in (export, import_):
        if path is not None and path.suffix.casefold() not in FORMATS:
            raise RequestError(f"{path.name!r} must end in .csv or .jsonl, which says how it is written")
    if import_ is not None:
        saved = import_log(log, import_, FORMATS[import_.suffix.casefold()], check_sheet)
        remark(f"{saved.added} entries added, {saved.present} were there already")
    if export is not None:
        count = export_log(log, export, FORMATS[export.suffix.casefold()])
        remark(f"{count} entries written")
        put_out(export)


def _undo(log: PracticeLog, instrument: str | None) -> None:
    undone = take_back_last(log, clock.today(), utc_text(clock.now()), instrument)
    numbers = ", ".join(map(str, undone.numbers))
    remark(
        f"taken back: sheet {undone.sheet}, number {numbers}, of {weekday(undone.day)} {long_day(undone.day)}"
    )


def _asked(sheet: SheetRecord) -> dict[int, Said]:
    """Ask exercise by exercise; nothing is noted before the last answer."""
    if not sys.stdin.isatty():
        raise RequestError('nothing is noted: say which numbers, like "played all" or "played 1 2 5-7"')
    remark(f"sheet {sheet.code}, {weekday(sheet.day)} {long_day(sheet.day)}")
    remark(
        "Enter = fine; 1 lost, 2 shaky, 4 easy; a tempo beside it, like 4 88; - = not played; q = that was all"
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
        if word in _FELT:
            felt = _FELT[word]
        elif word in ("1", "2", "3", "4"):
            felt = int(word)
        elif word.isascii() and word.isdigit() and len(word) < 5 and _SLOWEST <= int(word) <= 400:
            tempo = int(word)
        else:
            return f"{shown(word)} is not understood; Enter, 1 to 4, a tempo from 20 to 400, - or q"
    return Said(felt, tempo)


def _tell(sheet: SheetRecord, noted: Noted, day: str) -> None:
    when = f"{weekday(clock.day_named(day))} {long_day(clock.day_named(day))}"
    if noted.new:
        remark(f"noted: sheet {sheet.code}, number {_runs(noted.new)}, {when}")
    if noted.changed:
        remark(f"changed: sheet {sheet.code}, number {_runs(noted.changed)}, {when}")
    if noted.same:
        remark(f"noted already, nothing changed: number {_runs(noted.same)}")
    for phrase in noted.reached:
        remark(f"goal reached: {phrase}")
    if noted.new and day != sheet.day.isoformat():
        remark(
            f"the sheet is of {long_day(sheet.day)}; if you played it then: played --undo, "
            f"and again with --date {sheet.day}"
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
