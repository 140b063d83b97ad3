"""From a chosen item to a row: its figures, and the one line that says why it is there."""

import datetime as dt
from collections.abc import Callable

from generator.rotation import sentences
from generator.rotation.choose import Candidate
from generator.rotation.dates import Countdown
from generator.rotation.notes import DayFigures
from generator.rotation.records import Lane, Row


def row_maker(figures: DayFigures, floor_ids: set[str]) -> Callable[[Candidate, int], Row]:
    """How a chosen item becomes a row, given the seconds of rest after it.

    Args:
        figures: of the day.
        floor_ids: the rows that carry the promise.

    >>> from generator.rotation.day_sheet import plan_sheet
    >>> from generator.rotation.records import Item
    >>> [row.reason for row in plan_sheet([Item("G major")], [], dt.date(2027, 3, 5), 2).rows]
    ['new: the next to begin']
    """

    def row(candidate: Candidate, rest_after: int) -> Row:
        lane = Lane.FLOOR if candidate.item.id in floor_ids else Lane.NEED
        state = figures.state
        place = state.places[candidate.item.id]
        since = state.played[place] or state.entered[place]
        days = None if since is None else (figures.today - dt.date.fromisoformat(since)).days
        never = state.played[place] is None
        listed = _listed(candidate, lane, figures)
        return Row(
            item_id=candidate.item.id,
            lane=lane,
            minutes=candidate.item.minutes,
            waited_days=days or 0,
            waited_practice_days=state.today - (state.ages[place] >> 1),
            gap=candidate.gap,
            reason=_reason(candidate, lane, figures, listed, days, never=never),
            rest_after=rest_after,
            new=never,
            threaded=figures.queue.thread is not None and candidate.item.key == figures.queue.thread,
            listed=listed.name if listed else "",
        )

    return row


def _listed(candidate: Candidate, lane: Lane, figures: DayFigures) -> Countdown | None:
    """The dated list that brought a row."""
    for ahead in figures.countdowns:
        if candidate.item.id not in ahead.item_ids:
            continue
        wanted = lane is Lane.NEED and candidate.waited >= candidate.gap == ahead.wanted_gap
        if ahead.alone or ((lane is Lane.FLOOR and candidate.later == 0) if ahead.open else wanted):
            return ahead
    return None


def _reason(
    candidate: Candidate,
    lane: Lane,
    figures: DayFigures,
    listed: Countdown | None,
    days: int | None,
    *,
    never: bool,
) -> str:
    """The one line that says why a row is there."""
    if listed is not None:
        played = None if never else days
        if listed.alone:
            return sentences.because_alone(listed.name, listed.days, played)
        return sentences.because_listed(listed.name, listed.days, played, candidate.gap)
    threaded = figures.queue.thread is not None and candidate.item.key == figures.queue.thread
    if never or days is None:
        return sentences.because_new(days, threaded=threaded)
    if lane is Lane.FLOOR:
        return sentences.because_oldest(days)
    if candidate.item.id in figures.aims:
        return sentences.ago(days)
    return _needed(candidate, days, threaded=threaded)


def _needed(candidate: Candidate, days: int, *, threaded: bool) -> str:
    if candidate.waited >= candidate.gap:
        return sentences.because_due(days, candidate.gap)
    if threaded:
        return sentences.because_threaded(days)
    return sentences.because_room(days)
