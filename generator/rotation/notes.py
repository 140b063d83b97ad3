"""Which sentences belong under a sheet."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.rotation import sentences
from generator.rotation.choose import Candidate, Queue
from generator.rotation.dates import Countdown
from generator.rotation.item_table import ItemTable
from generator.rotation.promise import (
    Floor,
    Lengths,
    Outlook,
    lower_bound,
    minutes_allowed,
    minutes_needed,
    sure_by,
    total_minutes,
)
from generator.rotation.records import Item, Remark, Topic
from generator.rotation.replay import State
from generator.rotation.rest import Breaks, minutes_with_rest
from generator.rotation.sentences import WEEK


@dataclass(frozen=True, slots=True)
class DayFigures:
    """All figures of one figures.

    Attributes:
        today: the day of the sheet.
        rest: planned minutes of rest.
        share: share of the playing minutes asked for the floor.
        wished: longest gap the player wishes for the whole list, or None.
        lengths: how many items of each length are on the list and fit.
        too_long: items on the list that do not fit the playing minutes.
        floor: the floor and its promise.
        outlook: what today's state allows to promise.
        held_up: practice days that a dated list may add to the waits now running.
        pace: share of days practised.
        state: what the log says of each item.
        countdowns: required lists ahead.
        queue: every item on the list that fits, with its wait and gap.
        load: minutes a day the wanted gaps ask for.
    """

    today: dt.date
    rest: int
    share: Fraction
    wished: int | None
    lengths: Lengths
    too_long: tuple[Item, ...]
    floor: Floor
    outlook: Outlook
    held_up: int
    pace: Fraction
    state: State
    countdowns: tuple[Countdown, ...]
    queue: Queue
    load: float


def notes_for(figures: DayFigures, rows: int, breaks: Breaks) -> tuple[Remark, ...]:
    """The notes of one sheet, most urgent first.

    >>> from generator.rotation.day_sheet import plan_sheet
    >>> for note in plan_sheet([Item("G major", minutes=9)], [], dt.date(2027, 3, 5), 5, rest=0).notes[:1]:
    ...     print(note.topic, "|", note.text)
    nothing to play | Every exercise of the list takes longer than the sheet.
    """
    notes = [
        *_nothing(figures, rows),
        *(Remark(Topic.TOO_LONG, _left_out(item, figures)) for item in figures.too_long),
        *_dated_lists(figures),
        *_wish(figures),
        *_waits(figures),
        *_load(figures),
    ]
    if breaks.between_heavy:
        text = sentences.heavy_neighbours(breaks.between_heavy, breaks.extra_minutes)
        notes.append(Remark(Topic.REST, text))
    if figures.state.later:
        notes.append(Remark(Topic.LOG, sentences.unread(figures.state.later)))
    return tuple(notes)


def _left_out(item: Item, figures: DayFigures) -> str:
    return sentences.left_out(item.called, item.minutes, figures.floor.budget)


def _nothing(figures: DayFigures, rows: int) -> Iterator[Remark]:
    if rows:
        return
    if figures.queue.items:
        text = "Everything that fits has been on a sheet today."
    elif figures.too_long:
        text = "Every exercise of the list takes longer than the sheet."
    else:
        text = "The list is empty."
    yield Remark(Topic.NOTHING, text)


def _wish(figures: DayFigures) -> Iterator[Remark]:
    wished, floor = figures.wished, figures.floor
    if wished is None or floor.promise <= wished:
        return
    bound = lower_bound(figures.lengths, floor.budget)
    if bound > wished:
        total = total_minutes(figures.lengths)
        yield Remark(Topic.WISH, sentences.wish_impossible(total, floor.budget, figures.rest, bound, wished))
    playing = minutes_needed(figures.lengths, wished, figures.share)
    needed = minutes_with_rest(playing) if figures.rest else playing
    allowed = minutes_allowed(floor, min(figures.lengths), wished)
    text = sentences.wish_needs(floor.budget, figures.rest, floor.promise, wished, needed, allowed)
    yield Remark(Topic.WISH, text)


def _waits(figures: DayFigures) -> Iterator[Remark]:
    floor, outlook = figures.floor, figures.outlook
    if floor.short_days:
        long = {length: n for length, n in figures.lengths.items() if floor.is_long(length)}
        text = sentences.long_items(max(long), sum(long.values()), floor.promise, floor.short_days)
        yield Remark(Topic.LONG_ITEM, text)
    if outlook.settles_in and not figures.held_up:
        days = -int(-outlook.settles_in // figures.pace)
        text = sentences.for_now(outlook.promise_now, floor.promise, _later(figures.today, days))
        yield Remark(Topic.FOR_NOW, text)
    if floor.promise and _known_days(figures) >= WEEK and round(WEEK * figures.pace) < WEEK:
        yield Remark(Topic.DAYS_OFF, sentences.days_off(floor.promise, figures.pace))


def _known_days(figures: DayFigures) -> int:
    first = figures.state.first_day
    return 0 if first is None else (figures.today - first).days


def _later(day: dt.date, days: int) -> dt.date:
    return day + dt.timedelta(days=min(days, (dt.date.max - day).days))


def _load(figures: DayFigures) -> Iterator[Remark]:
    if figures.load > figures.floor.budget:
        yield Remark(Topic.LOAD, sentences.overload(figures.load, figures.floor.budget))


def _dated_lists(figures: DayFigures) -> Iterator[Remark]:
    budget = figures.floor.budget
    for ahead in figures.countdowns:
        expected = ahead.practice_days
        if expected >= ahead.window:
            continue
        waiting = _waiting(ahead, figures.queue)
        reached = sure_by((candidate.item.minutes for candidate in waiting), figures.floor)
        if _on_track(ahead, waiting, reached):
            continue
        if expected >= ahead.promise:
            text = sentences.list_in_reach(ahead.name, ahead.minutes, expected, budget)
        else:
            sure = sum(day <= expected for day in reached)
            text = sentences.list_out_of_reach(
                ahead.name, ahead.minutes, expected, budget, sure, len(waiting)
            )
        yield Remark(Topic.DATED_LIST, text)
    if figures.held_up:
        name = " and the ".join(ahead.name for ahead in figures.countdowns)
        days = figures.outlook.promise_now + figures.held_up
        yield Remark(Topic.DATED_LIST, sentences.others_wait(name, days))


def _waiting(ahead: Countdown, queue: Queue) -> list[Candidate]:
    """The items of a dated list in line."""
    places = [
        place for place, item_id in enumerate(ItemTable.of(queue.items).ids) if item_id in ahead.item_ids
    ]
    return sorted(map(queue.candidate, places))


def _on_track(ahead: Countdown, waiting: Sequence[Candidate], reached: Sequence[int]) -> bool:
    """Whether the list was there in time: each item had its first play in the window, or is sure of it."""
    gone = ahead.window - ahead.practice_days
    pairs = zip(waiting, reached, strict=True)
    return all(
        (candidate.played and candidate.waited <= gone) or day <= ahead.promise - gone
        for candidate, day in pairs
    )
