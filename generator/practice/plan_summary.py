"""What a plan amounts to: how much there is, the promise, the load, and what a shorter wait would need."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from generator.practice.aims import AimStanding, open_aims, standings
from generator.practice.growth import Growth
from generator.practice.line_log import events_of_list
from generator.practice.player_session import PlayerSession
from generator.practice.repertoire import Repertoire
from generator.practice.terms import is_brass, terms_of
from generator.practice_log import PracticeLog
from generator.rotation import (
    DaySheet,
    Event,
    Topic,
    lengths_of,
    minutes_needed,
    minutes_with_rest,
    plan_sheet,
    rest_minutes,
)
from generator.rotation.words import count

_OFFERS = (28, 21, 14, 10, 7)


@dataclass(frozen=True, slots=True)
class PlanSummary:
    """A plan in figures.

    Attributes:
        kinds: what each row keeps: phrase without key, how many exercises, minutes once through.
        exercises: how many there are.
        minutes: once through everything.
        sheet: today's sheet, for its promise and load.
        offers: longest waits below the promise, in practice days, and the minutes a day each needs.
        later: kinds that join when all of these have gone round, and how many exercises each.
        aims: what is to be ready by a day, and how far it is.
    """

    kinds: tuple[tuple[str, int, int], ...]
    exercises: int
    minutes: int
    sheet: DaySheet
    offers: tuple[tuple[int, int], ...]
    later: tuple[tuple[str, int], ...] = ()
    aims: tuple[AimStanding, ...] = ()


def summarize(session: PlayerSession, day: dt.date) -> PlanSummary:
    """Look a plan over; the log is read and not changed.

    Raises:
        OutputError: the log cannot be read.
    """
    events: list[Event] = []
    if session.home.log.exists():
        with PracticeLog.open(session.home.log) as log:
            events = events_of_list(log, session.repertoire, until=day)
    whole = session.repertoire
    session = Growth(session).on(day, events)
    items = session.repertoire.items(day)
    plan = session.plan
    aims = standings(session, day)
    sheet = plan_sheet(items, events, day, plan.minutes, aims=open_aims(aims), **terms_of(session))
    lengths = lengths_of(item.minutes for item in items)
    wanted = [days for days in (*_OFFERS, plan.longest_wait) if days and days < sheet.settled]
    offers = [
        (
            days,
            minutes_with_rest(
                minutes_needed(lengths, days, plan.share, gently=True), brass=is_brass(session)
            ),
        )
        for days in sorted(set(wanted), reverse=True)
    ]
    return PlanSummary(
        tuple(_kinds(session, {item.name for item in items})),
        len(items),
        sum(item.minutes for item in items),
        sheet,
        tuple(offers),
        tuple(_later(whole, session.repertoire, day)),
        aims,
    )


def _later(whole: Repertoire, now: Repertoire, day: dt.date) -> Iterator[tuple[str, int]]:
    """What the plan holds for later stages: each kind and how many exercises."""
    here = set(now.items(day).ids)
    counts = Counter(
        _kind(entry.name, entry.tonics) for entry in whole.entries if whole.item_id(entry.name) not in here
    )
    yield from counts.items()


def _kinds(session: PlayerSession, here: set[str]) -> Iterator[tuple[str, int, int]]:
    """Exercises of one kind together: the phrase with its key left open."""
    counts: Counter[str] = Counter()
    minutes: Counter[str] = Counter()
    for entry in session.repertoire.entries:
        if entry.name in here:
            kind = _kind(entry.name, entry.tonics)
            counts[kind] += 1
            minutes[kind] += entry.minutes
    for kind, number in counts.items():
        yield kind, number, minutes[kind]


def _kind(name: str, tonics: str) -> str:
    """``harmonic minor in thirds`` of ``C-sharp harmonic minor in thirds``, ``whole-tone`` of ``whole-tone on C``."""
    head, comma, rest = name.partition(",")
    if not tonics:
        return name
    if " on " in head:
        before, _, after = head.partition(" on ")
        return f"{before}{after.partition(' ')[1]}{after.partition(' ')[2]}{comma}{rest}"
    if " of " in head:  # a chord on the fifth of its key
        return f"{head.partition(' of ')[0]}{comma}{rest}"
    return f"{head.partition(' ')[2]}{comma}{rest}"


def summary_lines(found: PlanSummary, session: PlayerSession) -> Iterator[str]:
    """The summary in sentences."""
    player, plan, sheet = session.player, session.plan, found.sheet
    source = str(session.path) if session.path else "the starter plan"
    whose = f"{plan.player}, " if plan.player else ""
    if session.band:
        chairs = session.band.section.chairs
        copies = sum(chair.copies for chair in chairs)
        yield f"{source}: {whose}{count(len(chairs), 'part')}, {count(copies, 'player')}; concert pitch"
    else:
        yield f"{source}: {whose}{player.instrument.name}, {player.level}: {player.compass.words}"
    width = max((len(kind) for kind, _, _ in found.kinds), default=0)
    for kind, number, minutes in found.kinds:
        yield f"  {kind:<{width}}  {number:>3}  {count(minutes, 'minute'):>12}"
    if found.later:
        told = ", ".join(f"{kind} ({number})" for kind, number in found.later)
        times = {1: "once", 2: "twice"}.get(plan.rounds, f"{plan.rounds} times")
        yield f"  joining by and by, each stage when all before it has been played {times}: {told}"
    for one in session.repertoire.dated:
        yield f"  {one.name}: {len(one.names)} exercises for {one.day}"
    yield from (f"  aim: {one.goal} {one.state}" for one in found.aims)
    for phrase, reason in session.repertoire.unfit:
        yield f"  left out: {phrase}: {reason}"
    rest = rest_minutes(plan.minutes, brass=is_brass(session))
    yield (
        f"{found.exercises} exercises, {count(found.minutes, 'minute')} once through; "
        f"{count(plan.minutes, 'minute')} a day, {rest} of them rest"
    )
    first = f" (until all has begun {sheet.promise})" if sheet.promise > sheet.settled else ""
    yield (
        f"everything comes round within {count(sheet.settled, 'practice day')}{first}; no order whatever could keep "
        f"every wait below {count(sheet.lower_bound, 'practice day')}"
    )
    most = max((len(entry.asked) for entry in session.repertoire.entries), default=1)
    if most > 1:
        yield (
            f"where up to {most} things are asked of one exercise they take turns: each within "
            f"{count(most * sheet.settled, 'practice day')}"
        )
    yield f"the wanted gaps ask for {round(sheet.load)} minutes of playing a day; there are {sheet.playing_minutes}"
    for days, minutes in found.offers:
        yield f"a longest wait of {count(days, 'practice day')} needs {count(minutes, 'minute')} a day"
    for note in sheet.notes:
        if note.topic is not Topic.LOAD:  # said above, with a new list in mind
            yield note.text
