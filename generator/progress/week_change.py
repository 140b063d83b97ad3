"""What changed in the last seven days: what is new, what got faster, what slipped, and one thing to do about it. Pure.

An exercise slipped where the last tempo of these days lies below the last one before, or where it last felt lost or
shaky and felt better before. One thing is proposed, never a list: the worst slip first, then whatever has waited far
too long, then a goal that has been reached and reached again.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from generator.exercise.tempo import MARKS
from generator.progress.report import LONG_OVERDUE, WEEK, Cell, Play
from generator.rotation.words import count

FELT = ("", "lost", "shaky", "steady", "secure")
STEADY = 3
AT_GOAL = 3  # days at the goal before a faster one is proposed
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Change:
    """One exercise that changed: its tempo, or how it felt, before these days and last."""

    item_id: str
    name: str
    before: int
    now: int

    @property
    def part(self) -> float:
        """How large the change is, as a part of what was."""
        return abs(self.now - self.before) / self.before


@dataclass(frozen=True, slots=True)
class WeekChange:
    """The last seven days beside what was before.

    Attributes:
        practised: days with a play.
        earlier: the same in the seven days before, or None where there was no play before these days.
        new: exercises played for the first time.
        faster: tempi that rose, the most first.
        slower: tempi that fell, the most first.
        shakier: feelings that fell, the most first.
        proposal: one thing to do.
    """

    practised: int
    earlier: int | None
    new: tuple[str, ...]
    faster: tuple[Change, ...]
    slower: tuple[Change, ...]
    shakier: tuple[Change, ...]
    proposal: str


@dataclass(frozen=True, slots=True)
class _Story:
    """The plays of one exercise before these days and within them."""

    before: tuple[Play, ...]
    week: tuple[Play, ...]

    @property
    def name(self) -> str:
        return (self.week or self.before)[-1].name

    def tempi(self) -> tuple[int, int] | None:
        """The last tempo before and the last one now."""
        before = [play.tempo for play in self.before if play.tempo]
        now = [play.tempo for play in self.week if play.tempo]
        return (before[-1], now[-1]) if before and now else None

    def felt(self) -> tuple[int, int] | None:
        """How it last felt before and now."""
        before = [play.rating for play in self.before if play.rating]
        now = [play.rating for play in self.week if play.rating]
        return (before[-1], now[-1]) if before and now else None


def week_change(plays: Iterable[Play], kept: Sequence[Cell], today: dt.date) -> WeekChange:
    """Compare the last seven days with what was before.

    Args:
        plays: the plays that stand, in the order of playing.
        kept: the list as it stands today.
        today: the last of the seven days.
    """
    played = [play for play in plays if play.day <= today]
    stories = _stories(played, today)
    faster, slower = _changes(stories, _Story.tempi)
    _, fallen = _changes(stories, _Story.felt)
    shakier = tuple(one for one in fallen if one.now < STEADY)
    days = {play.day for play in played}
    early = today - dt.timedelta(days=min(WEEK, (today - dt.date.min).days))
    return WeekChange(
        practised=sum(early < day for day in days),
        earlier=sum(_fortnight(today) < day <= early for day in days)
        if days and min(days) <= early
        else None,
        new=tuple(story.name for story in stories.values() if not story.before),
        faster=faster,
        slower=slower,
        shakier=shakier,
        proposal=_proposal(bool(days) and max(days) > early, slower, shakier, stories, kept),
    )


def _fortnight(today: dt.date) -> dt.date:
    return today - dt.timedelta(days=min(2 * WEEK, (today - dt.date.min).days))


def _stories(played: Sequence[Play], today: dt.date) -> dict[str, _Story]:
    before: dict[str, list[Play]] = {}
    week: dict[str, list[Play]] = {}
    for play in played:
        (week if (today - play.day).days < WEEK else before).setdefault(play.item_id, []).append(play)
    return {
        item: _Story(tuple(before.get(item, ())), tuple(week.get(item, ()))) for item in {**before, **week}
    }


def _changes(
    stories: Mapping[str, _Story], told: Callable[[_Story], tuple[int, int] | None]
) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
    """What rose and what fell, the largest change first."""
    found = [
        Change(item, story.name, *pair)
        for item, story in stories.items()
        if story.week and (pair := told(story)) is not None
    ]
    found.sort(key=lambda one: (-one.part, one.name))
    return tuple(o for o in found if o.now > o.before), tuple(o for o in found if o.now < o.before)


def _proposal(
    here: bool,
    slower: Sequence[Change],
    shakier: Sequence[Change],
    stories: Mapping[str, _Story],
    kept: Sequence[Cell],
) -> str:
    if not here:
        return "Begin small: ten minutes are a whole sheet (scalewright today -m 10)."
    if slower or shakier:
        # What is both slower and shakier says it twice; a feeling goes before a few beats.
        twice = {one.item_id for one in slower}
        worst = sorted(shakier, key=lambda one: one.item_id not in twice) or slower
        return _mend(worst[0], stories)
    waiting = max((cell for cell in kept if cell.due), key=lambda cell: cell.share, default=None)
    if waiting is not None and waiting.share >= LONG_OVERDUE:
        return f"Play {waiting.name} first: it has waited {count(waiting.waited, 'practice day')}."
    for cell in kept:
        story, goal = stories.get(cell.item_id), cell.goal
        if story is None or goal is None:
            continue
        days = {play.day for play in (*story.before, *story.week) if (play.tempo or 0) >= goal}
        faster = next((mark for mark in MARKS if mark > goal), None)
        if len(days) >= AT_GOAL and faster:
            reached = f"it reached {goal} on {len(days)} days"
            return f"Give {cell.name} a faster goal: {reached} (goal = {faster} in the plan)."
    return "Go on like this: nothing has slipped, and nothing has waited too long."


def _mend(change: Change, stories: Mapping[str, _Story]) -> str:
    """Where to begin again with what slipped: at the last tempo that felt steady, below the one it slipped from."""
    story = stories[change.item_id]
    plays = [*story.before, *story.week]
    tempi = [play.tempo for play in plays if play.tempo]
    steady = [play.tempo for play in plays if play.tempo and (play.rating or 0) >= STEADY]
    last = tempi[-1] if tempi else None
    easier = min(steady[-1], last) if steady and last else last
    at = f", at {easier}," if easier else ", slowly,"
    return f"Take {change.name} first on the next day{at} until it is steady again."


def week_lines(change: WeekChange) -> Iterator[str]:
    """The seven days in a few sentences, the proposal last."""
    before = "" if change.earlier is None else f" ({change.earlier} in the seven days before)"
    yield f"practised on {change.practised} of {WEEK} days{before}"
    if change.new and change.earlier is not None:
        yield f"new: {_named(change.new)}"
    for word, changes in (("faster", change.faster), ("slower", change.slower)):
        if changes:
            yield f"{word}: {_named([f'{one.name} {one.before} to {one.now}' for one in changes])}"
    if change.shakier:
        told = [f"{one.name} ({FELT[one.before]}, now {FELT[one.now]})" for one in change.shakier]
        yield f"shakier: {_named(told)}"
    yield f"one thing: {change.proposal}"


def _named(names: Sequence[str]) -> str:
    """The first few, and how many more."""
    more = len(names) - MOST_NAMED
    told = "; ".join(names[:MOST_NAMED])
    return f"{told}; and {more} more" if more > 0 else told
