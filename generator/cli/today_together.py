"""``scalewright today --section``: what is due for a band or a class, a part for every chair."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from generator.api.band_days import BandDay, today_together
from generator.cli import clock
from generator.cli.messages import Message, put_out, tell
from generator.cli.progress_bar import progress_bar
from generator.engraving.cache import Cache
from generator.errors import RequestError
from generator.pages.own_page import OwnPage
from generator.practice.band_words import REHEARSAL, in_rehearsals, time_words
from generator.practice.circumstances import Mood
from generator.practice.words import promise_words, told_reason
from generator.publish.fingering import HandHelp
from generator.publish.handout import HandoutOrder
from generator.publish.sheet import parse_formats
from generator.rotation.words import count, long_day, weekday

_WHY = {
    "--silent": "a section does not play without a sound",
    "--instrument": "the section file says what each chair plays",
    "--low": "the section file says how far each chair goes",
    "--high": "the section file says how far each chair goes",
    "--player": "a section has one log",
    "--show": "every chair reads its notes",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line says of the day."""

    date: str | None
    days: int
    minutes: int | None
    level: str | None
    plan: Path | None
    number: int
    together: bool
    easy: bool
    paper: str | None
    size: str | None
    own_page: OwnPage
    home: Path | None
    quiet: bool


def refuse_alone(*given: tuple[str, object]) -> None:
    """Refuse what is for a player alone.

    Args:
        given: options, and whether they were given.

    Raises:
        RequestError: one was.
    """
    for name, value in given:
        if value not in (None, False, ""):
            raise RequestError(
                f"{name} is not for a --section: {_WHY.get(name, 'it is for a player alone')}; leave it out"
            )


def order_of(
    out: Path, formats: str, title: str, note: str, cache: Cache, help_: HandHelp | None
) -> HandoutOrder:
    """How the pages are printed.

    Raises:
        RequestError: no such format.
    """
    return HandoutOrder(
        out=out, formats=parse_formats(formats), title=title, note=note, cache=cache, help=help_
    )


def print_together(section: Path, asked: Asked, order: HandoutOrder) -> None:
    """Print a section's day or days, and say what is on it and why."""
    try:
        with progress_bar(quiet=asked.quiet) as progress:
            done = today_together(
                clock.now(),
                section,
                day=clock.day_named(asked.date),
                days=asked.days,
                home=asked.home,
                plan=asked.plan,
                level=asked.level,
                minutes=asked.minutes,
                number=asked.number,
                together=asked.together,
                mood=Mood(easy=True) if asked.easy else None,
                order=order,
                paper=asked.paper,
                size=asked.size,
                own_page=asked.own_page,
                progress=progress,
            )
    except RequestError as error:
        if in_rehearsals(str(error)) == str(error):
            raise
        raise RequestError(in_rehearsals(str(error))) from None
    for number, one in enumerate(done):
        tell(_lines(one, first=not number))
    for one in done:
        for path in one.handed.paths:
            put_out(path)


def _lines(done: BandDay, *, first: bool) -> Iterator[Message]:
    """A line for each exercise, then the promise, then what else is good to know."""
    page, rehearsal = done.page, done.handed.rehearsal
    sheet = page.sheet
    when = f"{weekday(sheet.day)} {long_day(sheet.day)}"
    for number, (turn, row) in enumerate(zip(rehearsal.turns, sheet.rows, strict=True), 1):
        yield Message(f"{number}. {turn.heading}: {in_rehearsals(told_reason(row, sheet.rows))}")
        for sentence in turn.told:
            yield Message(f"   {sentence}")
    once_more = "printed again; " if page.again else ""
    yield Message(
        f"sheet {sheet.code}, {when}: {once_more}{time_words(sheet)}; {promise_words(sheet, REHEARSAL)}"
    )
    for _, text in sheet.notes:
        yield Message(in_rehearsals(text))
    for line in (*page.remarks, *done.handed.warnings):
        yield Message(line, loud=True)
    if first:
        yield from _list_lines(done)


def _list_lines(done: BandDay) -> Iterator[Message]:
    """About list and plan."""
    page, session = done.page, done.session
    if page.unfit:
        phrase, reason = page.unfit[0]
        more = f", and {count(len(page.unfit) - 1, 'more')}" if len(page.unfit) > 1 else ""
        yield Message(f"left out: {phrase}: {reason}{more}")
    if session.band and session.path is None:
        kind = {"band": "a band", "choir": "a choir"}.get(session.band.kind, session.band.kind)
        yield Message(
            f"this is the built-in plan for {kind} at {session.band.level}; write your own with: "
            f"scalewright plan new --section {session.band.file}"
        )
