"""The words round a day's sheet: its title, the line under it, the reasons and the promise."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan import Plan
from generator.pages.own_page import NO_PAGE, OwnPage
from generator.pages.paper import Paper
from generator.pages.sheet import Show
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import AHEAD, SheetRecord, SheetRow
from generator.publish.fingering import HandHelp
from generator.publish.sheet import SheetOrder
from generator.rotation import Theme
from generator.rotation.words import count, long_day, weekday
from generator.theory.key import usual_name

if TYPE_CHECKING:
    from generator.exercise.fingering import Hint

FIRST = "•"
_RESTS = {1: "half a minute", 2: "a minute", 3: "a minute and a half"}
_ORDINALS = ("", "", " second", " third", " fourth", " fifth")


def rest_words(seconds: int) -> str:
    """A rest in round figures, as one would say it.

    >>> [rest_words(seconds) for seconds in (10, 25, 50, 80, 85, 130, 150, 300)]
    ['15 seconds', 'half a minute', 'a minute', 'a minute and a half', 'a minute and a half', '2 minutes', \
'2 and a half minutes', '5 minutes']
    """
    if seconds < 23:
        return "15 seconds"
    halves = max(1, (seconds + 15) // 30)
    if halves in _RESTS:
        return _RESTS[halves]
    # From five minutes on nobody counts halves.
    minutes, rest = divmod(halves if halves < 10 else halves + 1, 2)
    return f"{minutes} and a half minutes" if rest and halves < 10 else f"{minutes} minutes"


def told_reason(row: SheetRow, rows: Sequence[SheetRow]) -> str:
    """The line under a heading: marked if it comes first when time is short, and the rest that follows."""
    reason = row.reason[:1].upper() + row.reason[1:]
    if row.floor and not all(one.floor for one in rows):
        reason = f"{FIRST} {reason}"
    return f"{reason} — then rest {rest_words(row.rest_after)}" if row.rest_after else reason


def thread_words(theme: Theme, place: int | None) -> str:
    """``key of the day: B-flat major``.

    Args:
        theme: how long a key runs through the sheets.
        place: of the key on the circle of fifths, or None.
    """
    if place is None:
        return ""
    tonic = usual_name(7 * place % 12, 0)
    return f"{theme}: {tonic.words} major"


def promise_words(sheet: SheetRecord, day: str = "practice day") -> str:
    """What the player may rely on, and what for.

    Args:
        sheet: the sheet.
        day: what a day with a play is called.
    """
    if sheet.mood == AHEAD:
        return "a forecast: it takes every sheet before it as played"
    if sheet.mood:
        return "what is left out today waits a day longer"
    if sheet.rule == 1:
        return f"nothing waits longer than {count(sheet.promise, day)}"
    if sheet.given_to:
        return f"these days belong to the {sheet.given_to}"
    if not sheet.promise:
        return "a further sheet: what is owed stands on the first one"
    often = f"every {day}" if sheet.promise == 1 else f"within {count(sheet.promise, day)}"
    within = f"everything comes round {often} of {count(sheet.usual, 'minute')}"
    return f"play what is marked {FIRST}, and {within}" if _marked(sheet) else f"played whole, {within}"


def _marked(sheet: SheetRecord) -> bool:
    """Whether some rows are marked: some carry the promise and some do not."""
    return any(row.floor for row in sheet.rows) and not all(row.floor for row in sheet.rows)


def help_of(session: PlayerSession) -> HandHelp | None:
    """Help for the hand as the plan has it; its file of hints lies beside the plan.

    Raises:
        BadFileError: the hints have mistakes.
        OutputError: they cannot be read.
    """
    plan, path = session.plan, session.path
    hints: tuple[Hint, ...] = ()
    if plan.hints and path:
        # Loaded for those alone who have hints.
        from generator.documents.hints_file import read_hints  # noqa: PLC0415

        hints = read_hints(path.parent / plan.hints, shared_catalogue())
    return HandHelp(charts=plan.fingerings, hints=hints) if plan.fingerings or hints else None


def sheet_order(sheet: SheetRecord, plan: Plan, order: SheetOrder) -> SheetOrder:
    """How the sheet is printed: the words of the day; paper and size as asked for, or as the plan has them."""
    title = order.title or f"Today\u2019s{_ORDINALS[min(sheet.number, 5)]} sheet"
    playing = count(sheet.minutes - sheet.rest, "minute")
    time = f"{playing} of playing, {sheet.rest} of rest" if sheet.rest else playing
    first = (
        f"if time is short, first those marked {FIRST} \u00b7 " if _marked(sheet) and sheet.rule == 1 else ""
    )
    words = (weekday(sheet.day), plan.player, sheet.thread, time)
    return replace(
        order,
        title=title,
        subtitle=" \u00b7 ".join(word for word in words if word),
        date=long_day(sheet.day),
        note=" ".join([*([order.note] if order.note else []), *sheet.on_page]),
        code=sheet.code,
        footer=f"{first}{promise_words(sheet)}",
    )


def week_order(sheet: SheetRecord, plan: Plan, order: SheetOrder, days: Sequence[dt.date]) -> SheetOrder:
    """How one of several days' sheets is printed: the title names the day, and a strip of days is there to tick.

    Args:
        sheet: the sheet.
        plan: the plan.
        order: how to print.
        days: all the days.
    """
    titled = order.title or f"{weekday(sheet.day)}\u2019s sheet"
    worded = sheet_order(sheet, plan, replace(order, title=titled))
    return replace(worded, strip=tuple(f"{weekday(day)[:2]} {day.day}" for day in days))


def paper_of(plan: Plan, paper: str | None, size: str | None, page: OwnPage = NO_PAGE) -> Paper:
    """Paper and print size: as asked for, else as the plan has them, else letter and normal.

    Args:
        plan: the plan, with what its reader needs.
        paper: asked for.
        size: print size asked for; it goes before the reader's own staff.
        page: staff and side of the paper asked for.

    Raises:
        RequestError: no such paper, size or staff.
    """
    reader = page.of(plan.reader, size)
    return Paper.of(paper or plan.paper or "letter", size or plan.print or "normal", reader)


def show_of(plan: Plan, show: str | None) -> Show:
    """What is shown: as asked for, else as the plan has it, else the notes."""
    return cast("Show", show or plan.show or "notes")
