"""One day's sheet from the list, the log and the minutes: the whole rule in order."""

import datetime as dt
import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import compress
from operator import and_, gt, truediv

from generator.errors import RequestError
from generator.rotation import sentences
from generator.rotation.choose import Candidate, Queue, floor_lane, need_lane
from generator.rotation.dates import Countdown, attendance, countdowns, having_floor, held_up, wanted_gaps
from generator.rotation.gap import gap_ceiling
from generator.rotation.item_table import ItemTable
from generator.rotation.notes import DayFigures, notes_for
from generator.rotation.playing_order import playing_order
from generator.rotation.promise import HALF, Floor, best_floor, lengths_of, lower_bound, outlook
from generator.rotation.records import DatedList, DaySheet, Event, Item, Lane, Row, check_items
from generator.rotation.replay import State, replay
from generator.rotation.rest import place_breaks, rest_minutes

RULE_VERSION = 1
"""Raised with every change that can alter a sheet; the log keeps it with each sheet that was made."""


@dataclass(frozen=True, slots=True)
class Terms:
    """What a player asks of every sheet.

    Attributes:
        rest: minutes of rest.
        playing: minutes left for exercises.
        share: share of these for the floor.
        wished: longest gap wished for the whole list, practice days, or None.
    """

    rest: int
    playing: int
    share: Fraction
    wished: int | None


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

    Raises:
        RequestError: an impossible list or number.

    >>> sheet = plan_sheet([Item("G major"), Item("D major"), Item("A major")], [], dt.date(2027, 3, 5), 2)
    >>> [(row.item_id, str(row.lane), row.reason) for row in sheet.rows]
    [('A major', 'floor', 'never played'), ('D major', 'need', 'never played')]
    >>> sheet.promise
    3
    """
    terms = _terms(minutes, rest, share, wished)
    if number < 1:
        raise RequestError(f"There is no sheet number {number}; sheets of a day are numbered from 1.")
    table = ItemTable.of(items)
    state = replay(events, today, table, _ceiling(table, terms.playing, share))
    if len(state.places) < len(state.ages):  # rows that share an id
        check_items(table)
    figures = _figures(table, state, today, terms, lists)
    queue = figures.queue.without(already) if already else figures.queue
    for _ in range(number - 1):
        floor_rows, need_rows = _lanes(queue, figures.floor)
        queue = queue.without({candidate.item.id for candidate in (*floor_rows, *need_rows)})
    return _sheet(*_lanes(queue, figures.floor), figures=figures)


def _ceiling(items: ItemTable, playing: int, share: Fraction) -> int:
    """The longest wanted gap of a list, practice days, whatever the log says."""
    fitting = {length: number for length, number in lengths_of(items.minutes).items() if length <= playing}
    return gap_ceiling(best_floor(fitting, playing, share).promise)


def _terms(minutes: int, rest: int | None, share: Fraction, wished: int | None) -> Terms:
    """Check the numbers of one call."""
    rest = rest_minutes(minutes) if rest is None else rest
    if minutes < 1 or not 0 <= rest < minutes:
        raise RequestError(
            f"{minutes} minutes with {rest} of rest leave nothing to play; at least 1 is needed."
        )
    if not 0 < share <= 1:
        raise RequestError(f"The share of the longest waiting is {share}; it must be over 0 and at most 1.")
    if wished is not None and wished < 1:
        raise RequestError(f"A longest gap of {wished} practice days cannot be; at least 1 is needed.")
    return Terms(rest=rest, playing=minutes - rest, share=share, wished=wished)


def _figures(
    items: ItemTable,
    state: State,
    today: dt.date,
    terms: Terms,
    lists: Iterable[DatedList],
) -> DayFigures:
    """All figures of the day, before any row is chosen."""
    playing = terms.playing
    here = [not gone for gone in state.absent[: len(items)]]
    fits = [length <= playing for length in items.minutes]
    stay = list(map(and_, here, fits))
    too_long = items.only(list(map(gt, here, fits)))  # here and does not fit
    on_list = items.only(stay)
    lengths = lengths_of(on_list.minutes)
    floor = best_floor(lengths, playing, terms.share)
    pace = attendance(state, today)
    ahead = countdowns(lists, on_list, floor, today, pace)
    queue = _queue(on_list, state, stay, ahead)
    view = outlook(on_list, queue.by_age(), queue.day, floor)
    return DayFigures(
        today=today,
        rest=terms.rest,
        share=terms.share,
        wished=terms.wished,
        lengths=lengths,
        too_long=tuple(sorted(too_long, key=lambda item: item.tie)),
        floor=floor,
        outlook=view,
        held_up=held_up(ahead, len(on_list), view.promise_now, pace),
        pace=pace,
        state=state,
        countdowns=ahead,
        queue=queue,
        load=math.fsum(map(truediv, on_list.minutes, queue.gaps)),
    )


def _queue(items: ItemTable, state: State, stay: Sequence[bool], ahead: Sequence[Countdown]) -> Queue:
    """The items of today's list in columns, with the gaps that are wanted today.

    Args:
        items: what is on the list and fits.
        state: what the log says; its first rows are the whole list.
        stay: which of the whole list that is.
        ahead: required lists.
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
    )


def _lanes(queue: Queue, floor: Floor) -> tuple[list[Candidate], list[Candidate]]:
    """The floor rows and the need rows of one sheet."""
    floor_rows = floor_lane(queue, floor.budget, floor.minutes)
    room = floor.budget - sum(candidate.item.minutes for candidate in floor_rows)
    return floor_rows, need_lane(queue, room, floor_rows)


def _sheet(floor_rows: list[Candidate], need_rows: list[Candidate], figures: DayFigures) -> DaySheet:
    """Put the rows in playing order, with their rests, reasons and notes."""
    ordered = playing_order([*floor_rows, *need_rows])
    floor_ids = {candidate.item.id for candidate in floor_rows}
    lengths = [candidate.item.minutes for candidate in ordered]
    breaks = place_breaks(lengths, [candidate.item.heavy for candidate in ordered], figures.rest)
    row = _row_maker(figures, floor_ids)
    floor = figures.floor
    return DaySheet(
        rows=tuple(row(candidate, after) for candidate, after in zip(ordered, breaks.after, strict=True)),
        playing_minutes=floor.budget,
        rest_minutes=figures.rest + breaks.extra_minutes,
        floor_minutes=floor.minutes,
        promise=floor.promise,
        promise_now=figures.outlook.promise_now + figures.held_up,
        lower_bound=lower_bound(figures.lengths, floor.budget),
        load=figures.load,
        attendance=figures.pace,
        too_long=tuple(item.id for item in figures.too_long),
        notes=notes_for(figures, len(ordered), breaks),
        future_entries=figures.state.later,
        rule_version=RULE_VERSION,
    )


def _row_maker(figures: DayFigures, floor_ids: set[str]) -> Callable[[Candidate, int], Row]:
    """How a chosen item becomes a row."""

    def row(candidate: Candidate, rest_after: int) -> Row:
        lane = Lane.FLOOR if candidate.item.id in floor_ids else Lane.NEED
        state = figures.state
        place = state.places[candidate.item.id]
        since = state.played[place] or state.entered[place]
        days = None if since is None else (figures.today - dt.date.fromisoformat(since)).days
        return Row(
            item_id=candidate.item.id,
            lane=lane,
            minutes=candidate.item.minutes,
            waited_days=days or 0,
            waited_practice_days=candidate.waited,
            gap=candidate.gap,
            reason=_reason(candidate, lane, figures, days, never=state.played[place] is None),
            rest_after=rest_after,
        )

    return row


def _reason(candidate: Candidate, lane: Lane, figures: DayFigures, days: int | None, *, never: bool) -> str:
    """The one line that says why a row is there."""
    for ahead in figures.countdowns:
        if candidate.item.id not in ahead.item_ids:
            continue
        wanted = lane is Lane.NEED and candidate.waited >= candidate.gap == ahead.wanted_gap
        if (lane is Lane.FLOOR and candidate.later == 0) if ahead.open else wanted:
            return sentences.because_listed(ahead.name, ahead.days, None if never else days, candidate.gap)
    if never or days is None:
        return sentences.because_new(days)
    if lane is Lane.FLOOR:
        return sentences.because_oldest(days, candidate.waited, figures.floor.promise)
    if candidate.waited >= candidate.gap:
        return sentences.because_due(days, candidate.gap)
    return sentences.because_room(days, candidate.gap - candidate.waited)
