import datetime as dt
import os
from collections.abc import Callable, Iterable

import pytest
from hypothesis import HealthCheck, settings

from generator.rotation import DaySheet, Event, Item, plan_sheet

START = dt.date(2027, 1, 4)

# SCALEWRIGHT_EXAMPLES=5000 runs the property tests at length.
EXAMPLES = int(os.environ.get("SCALEWRIGHT_EXAMPLES", "60"))
settings.register_profile(
    "rotation",
    max_examples=EXAMPLES,
    deadline=None,
    database=None,
    derandomize="SCALEWRIGHT_EXAMPLES" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


class Diary:
    """A player's log that is written as the days go by. Minutes are playing minutes: no rest."""

    def __init__(self, items: Iterable[Item], minutes: int, **terms: object) -> None:
        self.items: list[Item] = []
        self.minutes = minutes
        self.terms = {"rest": 0, **terms}
        self.events: list[Event] = []
        self.day = START
        self.enter(items)

    def write(self, kind: str, item: str | None = None, **more: int | None) -> Event:
        event = Event(len(self.events) + 1, kind, self.day.isoformat(), item, **more)
        self.events.append(event)
        return event

    def enter(self, items: Iterable[Item]) -> None:
        for item in items:
            self.items.append(item)
            self.write("item_in", item.id)

    def leave(self, item_id: str) -> None:
        self.items = [item for item in self.items if item.id != item_id]
        self.write("item_out", item_id)

    def play(self, item_id: str, rating: int = 3, tempo: int | None = None, goal: int | None = None) -> Event:
        return self.write("play", item_id, rating=rating, tempo=tempo, goal=goal)

    def sheet(self, **other: object) -> DaySheet:
        minutes = other.pop("minutes", self.minutes)
        return plan_sheet(self.items, self.events, self.day, minutes, **{**self.terms, **other})

    def practise(self, rate: Callable[[str], int] = lambda _: 3, **other: object) -> DaySheet:
        """Play today's whole sheet and go on to the next day."""
        sheet = self.sheet(**other)
        for row in sheet.rows:
            self.play(row.item_id, rate(row.item_id))
        self.sleep()
        return sheet

    def sleep(self, days: int = 1) -> None:
        self.day += dt.timedelta(days=days)


@pytest.fixture(scope="session")
def diary() -> type[Diary]:
    return Diary


@pytest.fixture(scope="session")
def keys_by_figures() -> Callable[..., list[Item]]:
    """A list of exercises of one minute in all twelve keys."""

    def make(figures: int, keys: int = 12) -> list[Item]:
        return [
            Item(f"figure {figure} key {key}", key=key, catalogue=figure)
            for figure in range(figures)
            for key in range(keys)
        ]

    return make
