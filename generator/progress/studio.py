"""How a teacher's pupils stand: days practised, what is oldest, what slipped. A line for each, read from their logs."""

import datetime as dt
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from generator.documents.studio import Pupil, RefusedPupil, Studio
from generator.errors import GeneratorError
from generator.files.home import Home
from generator.practice.studio import open_pupil
from generator.progress.overview import period_of, read_progress
from generator.progress.report import WEEK, total
from generator.progress.week_change import FELT, WeekChange, week_change
from generator.rotation.words import count, long_day, weekday

USUAL_WEEKS = 4
_WIDTH, _MOST_NAMED = 110, 3


class Slip(NamedTuple):
    """An exercise that slipped: its name, and how, like "secure, now shaky" or "92 to 76"."""

    name: str
    how: str

    @property
    def words(self) -> str:
        """In one line."""
        return f"{self.name}: {self.how}"


@dataclass(frozen=True, slots=True)
class PupilStanding:
    """One pupil.

    Attributes:
        label: who.
        instrument: as it stands on pages.
        days: for each of the last seven, whether something was played.
        earlier: days practised in the seven before, or None where nothing was played before.
        minutes: noted in the last seven days, or None.
        practised: days practised in the whole period.
        length: days of the period.
        begun: exercises of the list that were ever played.
        kept: exercises of the list.
        oldest: what was played and has waited longest, with the days, or "".
        slipped: what feels worse or got slower, the worst first.
        proposal: how to mend the worst of it, or "".
    """

    label: str
    instrument: str
    days: tuple[bool, ...]
    earlier: int | None
    minutes: int | None
    practised: int
    length: int
    begun: int
    kept: int
    oldest: str
    slipped: tuple[Slip, ...]
    proposal: str

    @property
    def week(self) -> int:
        """Days practised of the last seven."""
        return sum(self.days)


@dataclass(frozen=True, slots=True)
class StudioStanding:
    """All of them.

    Attributes:
        title: of the studio.
        today: the day of the report.
        pupils: in the order of the file.
        refused: who could not be read, and why.
    """

    title: str
    today: dt.date
    pupils: tuple[PupilStanding, ...]
    refused: tuple[RefusedPupil, ...]

    @property
    def seven(self) -> tuple[dt.date, ...]:
        """The last seven days."""
        return _seven(self.today)


def _seven(today: dt.date) -> tuple[dt.date, ...]:
    first = max(today.toordinal() - WEEK + 1, 1)
    return tuple(dt.date.fromordinal(first + n) for n in range(WEEK))


def studio_standing(
    root: Home, studio: Studio, today: dt.date, since: dt.date | None = None, weeks: int | None = None
) -> StudioStanding:
    """Read everyone's log; none is changed, nor made where there is none.

    Args:
        root: the home of the studio.
        studio: the pupils.
        today: the day of the report.
        since: first day of the period that days are counted in.
        weeks: how many weeks instead; without either, the last four.

    Raises:
        RequestError: the period begins after the day of the report.
    """
    period_of(since, weeks or USUAL_WEEKS, today, None)
    found: list[PupilStanding] = []
    refused = list(studio.refused)
    for pupil in studio.pupils:
        try:
            found.append(_standing(root, pupil, today, since, weeks))
        except GeneratorError as error:  # a bad plan, or a damaged log
            refused.append(RefusedPupil(pupil.label, str(error)))
    return StudioStanding(studio.title or "Studio", today, tuple(found), tuple(refused))


def _standing(
    root: Home, pupil: Pupil, today: dt.date, since: dt.date | None, weeks: int | None
) -> PupilStanding:
    session = open_pupil(root, pupil)
    progress = read_progress(session, today)
    figures = progress.report(since, None if since and not weeks else weeks or USUAL_WEEKS)
    plays = progress.history.plays
    change = week_change(plays, figures.kept, today)
    begun = [cell for cell in figures.kept if not cell.never]
    oldest = max(begun, key=lambda cell: (cell.days or 0, cell.waited), default=None)
    seven = _seven(today)
    on = {play.day for play in plays}
    return PupilStanding(
        label=pupil.label,
        instrument=session.player.instrument.label,
        days=tuple(day in on for day in seven),
        earlier=change.earlier,
        minutes=total(play.minutes for play in plays if play.day in seven),
        practised=figures.practised,
        length=len(figures.days),
        begun=len(begun),
        kept=len(figures.kept),
        oldest=f"{oldest.name}, {_ago(oldest.days or 0)}" if oldest else "",
        slipped=_slipped(change),
        proposal=change.proposal if change.slower or change.shakier else "",
    )


def _ago(days: int) -> str:
    return count(days, "day") if days else "today"


def _slipped(change: WeekChange) -> tuple[Slip, ...]:
    """What feels worse, then what is slower; an exercise that is both is told once."""
    told = {one.item_id: Slip(one.name, f"{FELT[one.before]}, now {FELT[one.now]}") for one in change.shakier}
    for one in change.slower:
        told.setdefault(one.item_id, Slip(one.name, f"{one.before} to {one.now}"))
    return tuple(told.values())


def first_of(slipped: Sequence[Slip], most: int) -> str:
    """The first few of what slipped, and how many more."""
    more = f"; and {len(slipped) - most} more" if slipped[most:] else ""
    return "; ".join(one.words for one in slipped[:most]) + more


def standing_lines(standing: StudioStanding) -> Iterator[str]:
    """The report, line by line."""
    yield f"{standing.title}, {long_day(standing.today)}"
    if not standing.pupils:
        return
    width = max(len(_who(one)) for one in standing.pupils)
    heads = "".join(f"{weekday(day)[:2]:>3}" for day in standing.seven)
    yield f"{'':<{width}} {heads}   x: played, .: nothing noted"
    for one in standing.pupils:
        boxes = "".join(f"{'x' if played else '.':>3}" for played in one.days)
        yield f"{_who(one):<{width}} {boxes}   {_counts(one)}"
        for word, told in (
            ("oldest", one.oldest),
            ("slipped", first_of(one.slipped, _MOST_NAMED)),
            ("one thing", one.proposal),
        ):
            if told:
                yield from textwrap.wrap(
                    f"{word}: {told}", _WIDTH, initial_indent="    ", subsequent_indent="      "
                )


def _who(one: PupilStanding) -> str:
    return f"{one.label}, {one.instrument}"


def _counts(one: PupilStanding) -> str:
    before = "" if one.earlier is None else f" ({one.earlier} before)"
    minutes = f", {count(one.minutes, 'minute')}" if one.minutes is not None else ""
    whole = f"; {one.practised} of {one.length}" if one.length > WEEK else ""
    return f"{one.week} of {WEEK} days{before}{whole}{minutes}; {one.begun} of {one.kept} begun"
