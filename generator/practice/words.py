"""The words round a day's sheet: its title, the line under it, the reasons and the promise."""

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from generator.documents.plan import Plan
from generator.pages.paper import Paper
from generator.pages.sheet import Show
from generator.practice.sheet_record import SheetRecord, SheetRow
from generator.publish.sheet import SheetOrder
from generator.rotation.words import count, long_day, weekday

FIRST = "•"
_ORDINALS = ("", "", " second", " third", " fourth", " fifth")


def rest_words(seconds: int) -> str:
    """``half a minute``, ``a minute and a half``, ``4 minutes``, ``1 min 20 s``."""
    known = {30: "half a minute", 60: "a minute", 90: "a minute and a half"}
    if seconds in known:
        return known[seconds]
    minutes, rest = divmod(seconds, 60)
    if not rest:
        return f"{minutes} minutes"
    return f"{minutes} min {rest} s" if minutes else f"{rest} seconds"


def told_reason(row: SheetRow, rows: Sequence[SheetRow]) -> str:
    """The line under a heading: marked if it comes first when time is short, and the rest that follows."""
    reason = row.reason[:1].upper() + row.reason[1:]
    if row.floor and not all(one.floor for one in rows):
        reason = f"{FIRST} {reason}"
    return f"{reason} — then rest {rest_words(row.rest_after)}" if row.rest_after else reason


def promise_words(sheet: SheetRecord) -> str:
    """What the player may rely on."""
    return f"nothing waits longer than {count(sheet.promise, 'practice day')}"


def sheet_order(sheet: SheetRecord, plan: Plan, order: SheetOrder) -> SheetOrder:
    """How the sheet is printed: the words of the day; paper and size as asked for, or as the plan has them."""
    title = order.title or f"Today\u2019s{_ORDINALS[min(sheet.number, 5)]} sheet"
    playing = count(sheet.minutes - sheet.rest, "minute")
    time = f"{playing} of playing, {sheet.rest} of rest" if sheet.rest else playing
    marked = any(row.floor for row in sheet.rows) and not all(row.floor for row in sheet.rows)
    first = f"if time is short, first those marked {FIRST} · " if marked else ""
    return replace(
        order,
        title=title,
        subtitle=" · ".join(word for word in (weekday(sheet.day), plan.player, time) if word),
        date=long_day(sheet.day),
        note=" ".join([*([order.note] if order.note else []), *sheet.on_page]),
        code=sheet.code,
        footer=f"{first}{promise_words(sheet)}",
    )


def paper_of(plan: Plan, paper: str | None, size: str | None) -> Paper:
    """Paper and print size: as asked for, else as the plan has them, else letter and normal."""
    return Paper.of(paper or plan.paper or "letter", size or plan.print or "normal")


def show_of(plan: Plan, show: str | None) -> Show:
    """What is shown: as asked for, else as the plan has it, else the notes."""
    return cast("Show", show or plan.show or "notes")
