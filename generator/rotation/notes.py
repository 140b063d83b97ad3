"""Which sentences belong under a sheet."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from generator.rotation import sentences
from generator.rotation.begin import Beginning
from generator.rotation.choose import Candidate, Queue
from generator.rotation.dates import Countdown
from generator.rotation.item_table import ItemTable
from generator.rotation.promise import (
    Floor,
    Lengths,
    lower_bound,
    minutes_allowed,
    minutes_needed,
    sure_by,
    total_minutes,
)
from generator.rotation.records import Item, Remark, Topic
from generator.rotation.replay import State
from generator.rotation.rest import MOST_MINUTES, Breaks, minutes_with_rest
from generator.rotation.sentences import WEEK


@dataclass(frozen=True, slots=True)
class DayFigures:
    """All figures of one figures.

    Attributes:
        today: the day of the sheet.
        minutes: of the sheet, rest included.
        rest: how many of the usual minutes are rest.
        brass: the lips rest as long as they played.
        share: share of the playing minutes asked for the floor.
        wished: longest gap the player wishes for the whole list, or None.
        lengths: how many items of each length are on the list and fit.
        too_long: items on the list that do not fit the playing minutes.
        floor: the floor at the usual minutes, and its promise.
        beginning: how what was never played is begun.
        to_begin: how many that are.
        promise: practice days until all comes round, see `DaySheet`.
        pace: share of days practised.
        served: the same, days with less than the floor counted in part.
        state: what the log says of each item.
        countdowns: required lists ahead.
        queue: every item on the list that fits, with its wait and gap.
        load: minutes a day the wanted gaps ask for.
        aims: ids of what is to be ready soon.
    """

    today: dt.date
    minutes: int
    rest: int
    brass: bool
    share: Fraction
    wished: int | None
    lengths: Lengths
    too_long: tuple[Item, ...]
    floor: Floor
    beginning: Beginning
    to_begin: int
    promise: int
    pace: Fraction
    served: Fraction
    state: State
    countdowns: tuple[Countdown, ...]
    queue: Queue
    load: float
    aims: frozenset[str] = frozenset()


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
    if figures.minutes > MOST_MINUTES:
        notes.append(Remark(Topic.REST, sentences.too_much(figures.minutes)))
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
    playing = minutes_needed(figures.lengths, wished, figures.share, gently=floor.reserve > 0)
    needed = minutes_with_rest(playing, brass=figures.brass) if figures.rest else playing
    allowed = minutes_allowed(floor, min(figures.lengths), wished)
    text = sentences.wish_needs(floor.budget, figures.rest, floor.promise, wished, needed, allowed)
    yield Remark(Topic.WISH, text)


def _waits(figures: DayFigures) -> Iterator[Remark]:
    floor = figures.floor
    if floor.short_days:
        long = {length: n for length, n in figures.lengths.items() if floor.is_long(length)}
        text = sentences.long_items(max(long), sum(long.values()), floor.promise, floor.short_days)
        yield Remark(Topic.LONG_ITEM, text)
    if figures.to_begin and figures.beginning.promise:
        text = sentences.still_to_begin(figures.to_begin, figures.beginning.promise)
        yield Remark(Topic.BEGINNING, text)
    if figures.promise and _known_days(figures) >= WEEK and round(WEEK * figures.served) < WEEK:
        yield Remark(Topic.DAYS_OFF, sentences.days_off(figures.promise, figures.served))


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
        if ahead.days == 0:
            continue  # too late for sums
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
    yield from _others(figures)


def _others(figures: DayFigures) -> Iterator[Remark]:
    """What the dated lists cost the rest of the list."""
    for ahead in figures.countdowns:
        if len(ahead.item_ids) == len(figures.queue.items) or ahead.days == 0:
            continue  # nobody is outside, or it is over tomorrow
        if ahead.open:
            yield Remark(Topic.DATED_LIST, sentences.others_wait(ahead.name, figures.promise))
        elif ahead.practice_days - ahead.window <= figures.promise:
            opens = ahead.days - int(ahead.window / figures.pace)
            text = sentences.others_will_wait(ahead.name, _later(figures.today, max(0, opens)))
            yield Remark(Topic.DATED_LIST, text)


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
