"""Whose turn it is: what is asked of a line this time, and in which dress.

What is asked of one line comes in turn, the longest unmet first. So where the line comes round within N practice days
and k things are asked of it, each of them comes within k times N. What a play met is read from the phrase it was
printed with; a play without a phrase, noted by hand or brought in, met what was due.
"""

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.practice.asking import Asking, line_id
from generator.practice.repertoire import KeptExercise, Repertoire
from generator.practice_log import Kind, PracticeLog
from generator.rotation import Event

MOST_READ = 400  # plays of an exercise whose phrases are looked up; older ones count as what was due


@dataclass(frozen=True, slots=True)
class PastPlay:
    """A play of one exercise.

    Attributes:
        phrase: as printed, or None where nobody knows.
        tempo: in its own beat.
        rating: how it felt, 1 to 4.
    """

    phrase: str | None
    tempo: int | None
    rating: int | None


@dataclass(frozen=True, slots=True)
class Past:
    """What the log says of one exercise, as far as one asking goes.

    Attributes:
        plays: how often it was played so.
        tempo: the last tempo noted, in its own beat.
        rating: how the last play felt, 1 to 4.
    """

    plays: int = 0
    tempo: int | None = None
    rating: int | None = None


@dataclass(frozen=True, slots=True)
class Due:
    """What is asked of an exercise this time.

    Attributes:
        asking: it.
        shift: place of the exercise in the row that asks.
        past: what was played of it so.
    """

    asking: Asking
    shift: int
    past: Past


def plays_of(
    log: PracticeLog, events: Iterable[Event], before: str, kept: Mapping[str, KeptExercise], instrument: str
) -> dict[str, list[PastPlay]]:
    """The plays of some exercises before a day, by id.

    Phrases are read for those alone of which more than one thing is asked.

    Args:
        log: the log.
        events: what the log says, under the names of lines.
        before: the day, as 2027-03-05.
        kept: the exercises by id.
        instrument: whose.
    """
    entries = [event for event in events if event.kind == "void" or event.item in kept]
    gone = {event.ref for event in entries if event.kind == "void"}
    found: dict[str, list[Event]] = {}
    for event in entries:
        if event.kind == "play" and event.item and event.day < before and event.seq not in gone:
            found.setdefault(event.item, []).append(event)
    days = {
        event.day
        for item, plays in found.items()
        if len(kept[item].asked) > 1
        for event in plays[-MOST_READ:]
    }
    phrases: dict[tuple[str, str], list[str | None]] = {}
    for day in days:
        for entry in log.entries(
            since=dt.date.fromisoformat(day), until=dt.date.fromisoformat(day), instrument=instrument
        ):
            if entry.kind is Kind.PLAY and entry.item:
                phrases.setdefault((day, line_id(entry.item, instrument)), []).append(entry.phrase)
    return {item: _with_phrases(plays, phrases) for item, plays in found.items()}


def _with_phrases(
    plays: Sequence[Event], phrases: Mapping[tuple[str, str], Sequence[str | None]]
) -> list[PastPlay]:
    """Plays with what was printed; of one day they come in the same order on both sides."""
    found = []
    seen: dict[str, int] = {}
    for event in plays:
        of_day = phrases.get((event.day, event.item or ""), ())
        place = seen.get(event.day, 0)
        seen[event.day] = place + 1
        found.append(PastPlay(of_day[place] if place < len(of_day) else None, event.tempo, event.rating))
    return found


def turn_of(
    kept: KeptExercise, repertoire: Repertoire, plays: Sequence[PastPlay], day: str, listed: str = ""
) -> Due:
    """What is asked this time.

    Args:
        kept: the exercise.
        repertoire: the list.
        plays: its plays, in order.
        day: the day, as 2027-03-05.
        listed: name of the dated list that brought it on the sheet, or "".
    """
    asked = [
        (repertoire.askings[number], shift) for number, shift in zip(kept.asked, kept.shifts, strict=True)
    ]
    live = [pair for pair in asked if pair[0].lasts(day)] or asked
    mine = [pair for pair in live if listed and pair[0].listed == listed] or live
    if len(asked) == 1:
        asking, shift = asked[0]
        return Due(asking, shift, _past(plays))
    met: list[list[PastPlay]] = [[] for _ in mine]
    last = [-1] * len(mine)
    for number, play in enumerate(plays):
        for place in _met_by(play, [asking for asking, _ in mine], last):
            met[place].append(play)
            last[place] = number
    due = min(range(len(mine)), key=lambda place: last[place])
    asking, shift = mine[due]
    return Due(asking, shift, _past(met[due]))


def _met_by(play: PastPlay, askings: Sequence[Asking], last: Sequence[int]) -> Collection[int]:
    """The places of what a play met."""
    if play.phrase is None:
        return (min(range(len(askings)), key=lambda place: last[place]),)
    try:
        played = parse(play.phrase, shared_catalogue(), LOGGED)
    except RequestError:
        return ()
    places = range(len(askings))
    return [place for place in places if askings[place].is_met_by(played)] or [
        place for place in places if askings[place].is_met_by(played, bare=True)
    ]


def _past(plays: Sequence[PastPlay]) -> Past:
    tempo = next((play.tempo for play in reversed(plays) if play.tempo), None)
    return Past(len(plays), tempo, plays[-1].rating if plays else None)
