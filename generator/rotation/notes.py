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
    """All figures of one morning.

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


def notes_for(morning: DayFigures, rows: int, breaks: Breaks) -> tuple[Remark, ...]:
    """The notes of one sheet, most urgent first."""
    notes = [
        *_nothing(morning, rows),
        *(Remark(Topic.TOO_LONG, _left_out(item, morning)) for item in morning.too_long),
        *_dated_lists(morning),
        *_wish(morning),
        *_waits(morning),
        *_load(morning),
    ]
    if breaks.between_heavy:
        text = sentences.heavy_neighbours(breaks.between_heavy, breaks.extra_minutes)
        notes.append(Remark(Topic.REST, text))
    if morning.state.later:
        notes.append(Remark(Topic.LOG, sentences.unread(morning.state.later)))
    return tuple(notes)


def _left_out(item: Item, morning: DayFigures) -> str:
    return sentences.left_out(item.called, item.minutes, morning.floor.budget)


def _nothing(morning: DayFigures, rows: int) -> Iterator[Remark]:
    if rows:
        return
    if morning.queue.items:
        text = "Everything that fits has been on a sheet today."
    elif morning.too_long:
        text = "Every exercise of the list takes longer than the sheet."
    else:
        text = "The list is empty."
    yield Remark(Topic.NOTHING, text)


def _wish(morning: DayFigures) -> Iterator[Remark]:
    wished, floor = morning.wished, morning.floor
    if wished is None or floor.promise <= wished:
        return
    bound = lower_bound(morning.lengths, floor.budget)
    if bound > wished:
        total = total_minutes(morning.lengths)
        yield Remark(Topic.WISH, sentences.wish_impossible(total, floor.budget, morning.rest, bound, wished))
    playing = minutes_needed(morning.lengths, wished, morning.share)
    needed = minutes_with_rest(playing) if morning.rest else playing
    allowed = minutes_allowed(floor, min(morning.lengths), wished)
    text = sentences.wish_needs(floor.budget, morning.rest, floor.promise, wished, needed, allowed)
    yield Remark(Topic.WISH, text)


def _waits(morning: DayFigures) -> Iterator[Remark]:
    floor, outlook = morning.floor, morning.outlook
    if floor.short_days:
        long = {length: n for length, n in morning.lengths.items() if floor.is_long(length)}
        text = sentences.long_items(max(long), sum(long.values()), floor.promise, floor.short_days)
        yield Remark(Topic.LONG_ITEM, text)
    if outlook.settles_in and not morning.held_up:
        days = -int(-outlook.settles_in // morning.pace)
        text = sentences.for_now(outlook.promise_now, floor.promise, _later(morning.today, days))
        yield Remark(Topic.FOR_NOW, text)
    if floor.promise and _known_days(morning) >= WEEK and round(WEEK * morning.pace) < WEEK:
        yield Remark(Topic.DAYS_OFF, sentences.days_off(floor.promise, morning.pace))


def _known_days(morning: DayFigures) -> int:
    first = morning.state.first_day
    return 0 if first is None else (morning.today - first).days


def _later(day: dt.date, days: int) -> dt.date:
    return day + dt.timedelta(days=min(days, (dt.date.max - day).days))


def _load(morning: DayFigures) -> Iterator[Remark]:
    if morning.load > morning.floor.budget:
        yield Remark(Topic.LOAD, sentences.overload(morning.load, morning.floor.budget))


def _dated_lists(morning: DayFigures) -> Iterator[Remark]:
    budget = morning.floor.budget
    for ahead in morning.countdowns:
        expected = ahead.practice_days
        if expected >= ahead.window:
            continue
        waiting = _waiting(ahead, morning.queue)
        reached = sure_by((one.item.minutes for one in waiting), morning.floor)
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
    if morning.held_up:
        name = " and the ".join(ahead.name for ahead in morning.countdowns)
        days = morning.outlook.promise_now + morning.held_up
        yield Remark(Topic.DATED_LIST, sentences.others_wait(name, days))


def _waiting(ahead: Countdown, queue: Queue) -> list[Candidate]:
    """The items of a dated list in line."""
    places = [place for place, one in enumerate(ItemTable.of(queue.items).ids) if one in ahead.item_ids]
    return sorted(map(queue.candidate, places))


def _on_track(ahead: Countdown, waiting: Sequence[Candidate], reached: Sequence[int]) -> bool:
    """Whether the list was there in time: each item had its first play in the window, or is sure of it."""
    gone = ahead.window - ahead.practice_days
    pairs = zip(waiting, reached, strict=True)
    return all((one.played and one.waited <= gone) or day <= ahead.promise - gone for one, day in pairs)
