"""One day's sheet from the list, the log and the minutes: the whole rule in order."""

import datetime as dt
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import compress
from operator import and_, gt, truediv

from generator.errors import RequestError
from generator.rotation.begin import AHEAD, LISTED, Beginning, beginning
from generator.rotation.choose import Queue
from generator.rotation.dates import Countdown, attendance, countdowns, having_floor, wanted_gaps
from generator.rotation.gap import gap_ceiling
from generator.rotation.item_table import ItemTable
from generator.rotation.lanes import Chosen, Stock, choose_rows, new_in
from generator.rotation.notes import DayFigures, notes_for
from generator.rotation.playing_order import playing_order
from generator.rotation.promise import (
    HALF,
    Floor,
    best_floor,
    floor_of_day,
    lengths_of,
    lower_bound,
    third_of,
)
from generator.rotation.records import DatedList, DaySheet, Event, Item, check_items
from generator.rotation.replay import State, replay
from generator.rotation.rest import place_breaks
from generator.rotation.rows import row_maker
from generator.rotation.terms import Terms, checked_terms
from generator.rotation.theme import Theme, in_fourths, thread_of

RULE_VERSION = 2
"""Raised with every change that can alter a sheet; the log keeps it with each sheet that was made."""

LIGHT, MOST_LIGHT = 2, 10  # on the day of a dated list half of the usual, 10 minutes at most


def plan_sheet(
    items: Sequence[Item],
    events: Iterable[Event],
    today: dt.date,
    minutes: int,
    *,
    rest: int | None = None,
    share: Fraction = HALF,
    lists: Iterable[DatedList] = (),
    wished: int | None = None,
    number: int = 1,
    already: Collection[str] = (),
    usual: int | None = None,
    theme: Theme = Theme.SCATTERED,
    gently: bool = False,
    brass: bool = False,
    upkeep: Collection[str] = (),
    aims: Collection[str] = (),
) -> DaySheet:
    """Choose what to play today.

    The result depends on nothing but the arguments, and not on the order of `items` or `events`. Items are
    the list; the log says since when: an item whose entry is dated later, or that was taken out, is not on
    the list that day, and one the log has never heard of counts as there from the start (`list_changes`
    tells what to log so that this does not arise).

    Args:
        items: what is kept alive.
        events: the log, whole, or at least up to `today`. Plays of `today` and all later entries are not
            read; later ones are counted.
        today: the day of the sheet.
        minutes: all the minutes of the sheet, rest included.
        rest: how many of them are rest; `rest_minutes(minutes)` if None, 0 for none.
        share: share of the playing minutes that goes to the longest waiting, over 0 and at most 1. The
            promise is about 1 / share times the best there can be.
        lists: required lists with a date.
        wished: the longest gap the player wishes for, in practice days; only notes depend on it.
        number: 2 for a second sheet the same day, and so on: what the earlier ones had is left out.
        already: ids to leave out besides, such as those on earlier sheets made with other minutes.
        usual: the minutes of a usual day, rest included, on which the promise rests; `minutes` if None.
        theme: what key runs through the sheet.
        gently: begin what was never played a little at a time, see `begin`.
        brass: the lips rest about as long as they played.
        upkeep: ids of which one at least is to come, if one fits.
        aims: ids of what is to be ready soon: they come before all else that is chosen by need, in a third of the
            sheet at the most, and are begun first. The floor, and so the promise, knows nothing of them.

    Raises:
        RequestError: an impossible list or number.

    >>> sheet = plan_sheet([Item("G major"), Item("D major"), Item("A major")], [], dt.date(2027, 3, 5), 2)
    >>> [(row.item_id, str(row.lane), row.reason) for row in sheet.rows]
    [('A major', 'floor', 'new: the next to begin'), ('D major', 'need', 'new: the next to begin')]
    >>> sheet.promise
    3
    """
    terms = checked_terms(
        minutes, usual, rest, share, wished, theme, gently=gently, brass=brass, upkeep=upkeep, aims=aims
    )
    if number < 1:
        raise RequestError(f"There is no sheet number {number}; sheets of a day are numbered from 1.")
    table = ItemTable.of(items)
    state = replay(events, today, table, _ceiling(table, terms))
    if len(state.places) < len(state.ages):  # rows that share an id
        check_items(table)
    figures, stock = _figures(table, state, today, terms, lists)
    stock = stock.without(already)
    for _ in range(number - 1):
        stock = stock.without(choose_rows(stock).ids)
    return _sheet(choose_rows(stock), figures, stock, terms)


def _ceiling(items: ItemTable, terms: Terms) -> int:
    """The longest wanted gap of a list, practice days, whatever the log says."""
    fitting = {
        length: number for length, number in lengths_of(items.minutes).items() if length <= terms.usual
    }
    return gap_ceiling(best_floor(fitting, terms.usual, terms.share).promise)


def _figures(
    items: ItemTable,
    state: State,
    today: dt.date,
    terms: Terms,
    lists: Iterable[DatedList],
) -> tuple[DayFigures, Stock]:
    """All figures of the day, before any row is chosen, and what there is to choose from."""
    here = [not gone for gone in state.absent[: len(items)]]
    fits = [length <= terms.usual for length in items.minutes]
    stay = list(map(and_, here, fits))
    too_long = items.only(list(map(gt, here, fits)))  # here and does not fit
    on_list = items.only(stay)
    lengths = lengths_of(on_list.minutes)
    third = third_of(terms.usual, max(lengths, default=0)) if terms.gently else 0
    floor = best_floor(lengths, terms.usual, terms.share, third)
    pace = attendance(state, today)
    ahead = countdowns(lists, on_list, floor, today, pace)
    first = having_floor(ahead)
    keys = [] if terms.theme is Theme.SCATTERED or (first and first.alone) else _keys(on_list)
    thread = thread_of(terms.theme, keys, today, state.today, state.first_day)
    queue = _queue(on_list, state, stay, ahead, thread)
    never = [played is None for played in compress(state.played, stay)]
    fresh_ids = [one and item not in state.taken_back for one, item in zip(never, on_list.ids, strict=True)]
    entered = [day or "" for day in compress(state.entered, stay)]
    stock = _stock(queue, fresh_ids, entered, floor, terms, ahead)
    fresh = lengths_of(ItemTable.of(stock.fresh.items).minutes)
    start = beginning(fresh, terms.usual)
    figures = DayFigures(
        today=today,
        minutes=terms.minutes,
        rest=terms.usual_rest,
        brass=terms.brass,
        share=terms.share,
        wished=terms.wished,
        lengths=lengths,
        too_long=tuple(sorted(too_long, key=lambda item: item.tie)),
        floor=floor,
        beginning=start,
        to_begin=sum(never),
        promise=max(floor.promise, start.promise) + _held_up(first, len(on_list)),
        pace=pace,
        served=attendance(state, today, floor.minutes),
        state=state,
        countdowns=ahead,
        queue=queue,
        load=math.fsum(map(truediv, on_list.minutes, queue.gaps)),
        aims=terms.aims,
    )
    return figures, stock


def _held_up(first: Countdown | None, items: int) -> int:
    """Days up to its date that a list with the floor may keep from the others: every one may be practised."""
    return 0 if first is None or len(first.item_ids) == items else first.days + 1


def _keys(items: ItemTable) -> list[int]:
    """The keys of a list round the circle of fourths, from that of the item to be begun first."""
    keyed = [place for place, key in enumerate(items.keys) if key is not None]
    least = min(map(items.ranks.__getitem__, keyed), default=0)
    first = min((place for place in keyed if items.ranks[place] == least), key=items.tie, default=None)
    return [] if first is None else in_fourths(set(items.keys), items.keys[first] or 0)


def _queue(
    items: ItemTable, state: State, stay: Sequence[bool], ahead: Sequence[Countdown], thread: int | None
) -> Queue:
    """The items of today's list in columns, with the gaps that are wanted today.

    Args:
        items: what is on the list and fits.
        state: what the log says; its first rows are the whole list.
        stay: which of the whole list that is.
        ahead: required lists.
        thread: the key of the sheet, or None.
    """
    ages, gaps = list(compress(state.ages, stay)), list(compress(state.gaps, stay))
    wanted = wanted_gaps(ahead)
    for place, wish in enumerate(items.wishes):
        if wish is not None:
            gaps[place] = min(gaps[place], wish)
    for place, item_id in enumerate(items.ids) if wanted else ():
        if item_id in wanted:
            gaps[place] = min(gaps[place], wanted[item_id])
    first = having_floor(ahead)
    return Queue(
        items=items,
        ages=ages,
        gaps=gaps,
        day=state.today,
        front=first.item_ids if first else None,
        thread=thread,
    )


def _stock(
    queue: Queue,
    never: Sequence[bool],
    entered: Sequence[str],
    floor: Floor,
    terms: Terms,
    ahead: Sequence[Countdown],
) -> Stock:
    """What there is to choose from: the line, and beside it what is to be begun."""
    table = ItemTable.of(queue.items)
    first = having_floor(ahead)
    if first is not None and first.alone:
        return _alone(queue, first, terms)
    budget = terms.playing
    front = queue.front or frozenset()
    new = [
        one and length <= floor.reserve and item not in front
        for one, length, item in zip(never, table.minutes, table.ids, strict=True)
    ]
    fresh = queue.where(new)
    floor_minutes = floor_of_day(floor, budget, terms.share)
    listed = terms.aims.union(*(countdown.item_ids for countdown in ahead))
    known = {
        table.tie(place): (
            entered[place],
            table.ranks[place]
            - AHEAD * (queue.thread is not None and table.keys[place] == queue.thread)
            - LISTED * (table.ids[place] in listed),
        )
        for place, one in enumerate(new)
        if one
    }
    return Stock(
        line=queue.where([not one for one in new]),
        fresh=fresh,
        new=new_in(fresh, known) if any(new) else (),
        budget=budget,
        floor=floor_minutes,
        begin=_begin(floor, floor_minutes, budget),
        upkeep=terms.upkeep,
        aims=terms.aims,
    )


def _begin(floor: Floor, floor_minutes: int, budget: int) -> Beginning:
    """Minutes and rows for what is new on a day, on a longer one never more than leaves the room usually left."""
    start = beginning({}, budget)
    spare = budget - floor_minutes - (floor.budget - floor.minutes - floor.reserve)
    return replace(start, minutes=min(start.minutes, spare)) if budget >= floor.budget else start


def _alone(queue: Queue, first: Countdown, terms: Terms) -> Stock:
    """A sheet that a dated list has to itself: the last days before its date, and a light one on the day."""
    budget = terms.playing
    mine = queue.where([item in first.item_ids for item in ItemTable.of(queue.items).ids])
    if first.days == 0:
        shortest = min(ItemTable.of(mine.items).minutes, default=1)
        budget = max(shortest, min(budget // LIGHT, MOST_LIGHT))
        mine = replace(mine, ages=[-gap for gap in mine.gaps], front=None)  # the most secure first
    return Stock(mine, mine.where([False] * len(mine.items)), (), budget, budget, beginning({}, budget))


def _sheet(chosen: Chosen, figures: DayFigures, stock: Stock, terms: Terms) -> DaySheet:
    """Put the rows in playing order, with their rests, reasons and notes."""
    new = {
        candidate.item.id
        for candidate in (*chosen.floor, *chosen.need)
        if figures.state.played[figures.state.places[candidate.item.id]] is None
    }
    thread = figures.queue.thread
    ordered = playing_order([*chosen.floor, *chosen.need], thread, new)
    lengths = [candidate.item.minutes for candidate in ordered]
    rest = terms.rest * stock.budget // terms.playing  # a light sheet has less
    breaks = place_breaks(lengths, [candidate.item.heavy for candidate in ordered], rest, each=terms.brass)
    row = row_maker(figures, {candidate.item.id for candidate in chosen.floor})
    alone = having_floor(figures.countdowns)
    return DaySheet(
        rows=tuple(row(candidate, after) for candidate, after in zip(ordered, breaks.after, strict=True)),
        playing_minutes=stock.budget,
        rest_minutes=rest + breaks.extra_minutes,
        floor_minutes=stock.floor,
        promise=figures.promise,
        settled=figures.floor.promise,
        to_begin=figures.to_begin,
        thread=thread,
        given_to=alone.name if alone and alone.alone else "",
        lower_bound=lower_bound(figures.lengths, figures.floor.budget),
        load=figures.load,
        attendance=figures.pace,
        too_long=tuple(item.id for item in figures.too_long),
        notes=notes_for(figures, len(ordered), breaks),
        future_entries=figures.state.later,
        rule_version=RULE_VERSION,
    )
