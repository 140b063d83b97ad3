"""Compares ways of choosing what to practise, on seeded lists and an invented player.

    python tests/benchmarks/rotation_simulation.py [--full]

A list has every figure in all twelve keys; hard items cluster in the keys with many accidentals. Each rule
chooses for 365 practice days; a calendar day is missed with some chance. For each rule it prints

    wait / bound   longest wait over what no rule can beat (list minutes / daily minutes): mean and worst
    over promise   runs in which something waited longer than was promised, where the rule promises anything
    never played   items never played at all in the worst run
    hard share     share of the time that went to the hardest quarter; 0.25 would be even
    keys           different keys on a sheet, as a share of the most there can be
    ms a day       time to choose

How well the player gets is not printed: the player is invented, and only the waits do not depend on him.
The rule of the memory model is left out with a word if the package `fsrs` is not installed.
"""

import argparse
import datetime as dt
import importlib.util
import itertools
import random
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.rotation import Item, best_floor, lengths_of, lower_bound
from generator.rotation.choose import Queue, floor_lane, need_lane
from generator.rotation.gap import FIRST_GAP, gap_ceiling, next_gap
from generator.rotation.promise import HALF, Floor
from generator.rotation.replay import NEVER_ENTERED

DAYS = 365
START = dt.datetime(2027, 1, 1, 12, tzinfo=dt.UTC)
LASTING, LEARNING = 0.985, 0.35  # of the invented player: what is left after a day, what a play adds
RATINGS = (0.25, 0.5, 0.75)
WIDTHS = (16, 14, 14, 12, 7, 10)


@dataclass(frozen=True)
class Setting:
    """One run: how many items, whether they have lengths, daily minutes, chance of a missed day, seed."""

    items: int
    timed: bool
    budget: int
    missed: float
    seed: int


class Player:
    """The invented player and everything a rule may look at."""

    def __init__(self, setting: Setting) -> None:
        self.chance = random.Random(f"{setting.seed} {setting.items} {setting.timed}")
        self.budget, self.missed = setting.budget, setting.missed
        places = range(setting.items)
        self.minutes = [self.chance.randint(1, 5) if setting.timed else 1 for _ in places]
        self.items = [
            Item(str(place), self.minutes[place], place % 12, catalogue=place // 12) for place in places
        ]
        self.hardness = [self._hardness(item) for item in self.items]
        self.level = [0.0] * setting.items
        self.last = [0] * setting.items
        self.last_date = [0] * setting.items
        self.ages = [NEVER_ENTERED] * setting.items
        self.gaps = [FIRST_GAP] * setting.items
        self.ratings: list[int | None] = [None] * setting.items
        self.day = self.date = 0
        self.lengths = lengths_of(self.minutes)
        self.ceiling = gap_ceiling(best_floor(self.lengths, self.budget).promise)

    def _hardness(self, item: Item) -> float:
        accidentals = min(item.key or 0, 12 - (item.key or 0))
        return 0.45 * accidentals / 6 + 0.55 * self.chance.betavariate(2, 2.5)

    def queue(self) -> Queue:
        """The list as the rotation sees it."""
        return Queue(self.items, self.ages, self.gaps, self.day, None)

    def next_day(self) -> None:
        """Sleep, and miss a day now and then."""
        self.day += 1
        self.date += 1
        while self.chance.random() < self.missed:
            self.date += 1

    def play(self, place: int) -> int:
        """Play one item; how it felt."""
        self.level[place] *= LASTING ** (self.date - self.last_date[place])
        felt = self.level[place] + self.chance.gauss(0, 0.08)
        rating = 1 + sum(felt > limit for limit in RATINGS)
        self.level[place] += (1 - self.level[place]) * LEARNING * (1 - 0.8 * self.hardness[place])
        waited = self.day - self.last[place]
        self.gaps[place] = next_gap(self.gaps[place], waited, rating, None, None, self.ceiling)
        self.ages[place], self.last[place], self.last_date[place] = 2 * self.day, self.day, self.date
        self.ratings[place] = rating
        return rating

    def fill(self, order: Iterable[int], *, stop: bool = False) -> list[int]:
        """The first of an order that fit the day; `stop` at the first that does not."""
        chosen, left = [], self.budget
        for place in order:
            if self.minutes[place] <= left:
                chosen.append(place)
                left -= self.minutes[place]
            elif stop:
                break
            if not left:
                break
        return chosen


class Rule:
    """A way of choosing. What it promises, if anything, is worked out when it meets the list."""

    name = ""

    def __init__(self, player: Player) -> None:
        self.promise: int | None = None

    def choose(self, player: Player) -> list[int]:
        """The places to play today."""
        raise NotImplementedError

    def told(self, player: Player, place: int, rating: int) -> None:
        """How a play felt."""


class Chance(Rule):
    """Uniformly at random."""

    name = "random"

    def choose(self, player: Player) -> list[int]:
        """See above."""
        return player.fill(player.chance.sample(range(len(player.items)), len(player.items)))


class Stale(Rule):
    """At random, weighted by days waited."""

    name = "staleness weighted"

    def choose(self, player: Player) -> list[int]:
        """See above; drawing without replacement by the exponential trick."""
        drawn = [player.chance.expovariate(player.day - last) for last in player.last]
        return player.fill(sorted(range(len(drawn)), key=drawn.__getitem__))


class RoundRobin(Rule):
    """Strictly the longest waiting."""

    name = "round robin"

    def choose(self, player: Player) -> list[int]:
        """See above."""
        order = sorted(range(len(player.items)), key=lambda one: (player.last[one], player.items[one].tie))
        return player.fill(order, stop=True)


class EarliestDue(Rule):
    """Due at last play plus a fixed gap, from a guess of the true hardness that no program has."""

    name = "EDF, fixed gaps"

    def __init__(self, player: Player) -> None:
        super().__init__(player)
        wish = [1.2 - hard + player.chance.gauss(0, 0.05) for hard in player.hardness]
        wish = [max(0.1, one) for one in wish]
        load = sum(minutes / gap for minutes, gap in zip(player.minutes, wish, strict=True))
        self.gaps = [gap * load / player.budget for gap in wish]

    def choose(self, player: Player) -> list[int]:
        """See above."""
        return player.fill(sorted(range(len(self.gaps)), key=lambda one: player.last[one] + self.gaps[one]))


class Memory(Rule):
    """The scheduler of the fsrs package: due first, then unseen, then soonest due."""

    name = "fsrs"

    def __init__(self, player: Player) -> None:
        super().__init__(player)
        self.fsrs = importlib.import_module("fsrs")
        self.scheduler = self.fsrs.Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
        self.cards = [self.fsrs.Card(card_id=place + 1) for place in range(len(player.items))]

    def choose(self, player: Player) -> list[int]:
        """See above."""
        now = START + dt.timedelta(days=player.date)

        def rank(place: int) -> tuple[int, float]:
            if player.ratings[place] is None:
                return (1, place)
            due = self.cards[place].due
            return (0 if due <= now else 2, due.timestamp())

        return player.fill(sorted(range(len(self.cards)), key=rank))

    def told(self, player: Player, place: int, rating: int) -> None:
        """Hand the rating on."""
        now = START + dt.timedelta(days=player.date)
        card, _ = self.scheduler.review_card(self.cards[place], self.fsrs.Rating(rating), now)
        self.cards[place] = card


class NeedOnly(Rule):
    """The need lane alone."""

    name = "need only"

    def choose(self, player: Player) -> list[int]:
        """See above."""
        return [int(row.item.id) for row in need_lane(player.queue(), player.budget, [])]


class TwoLanes(Rule):
    """The rotation as it is, at one share for the floor."""

    share = HALF

    def __init__(self, player: Player) -> None:
        super().__init__(player)
        self.floor: Floor = best_floor(player.lengths, player.budget, self.share)
        self.promise = self.floor.promise

    def choose(self, player: Player) -> list[int]:
        """See above."""
        rows = floor_lane(player.queue(), player.budget, self.floor.minutes)
        room = player.budget - sum(row.item.minutes for row in rows)
        return [int(row.item.id) for row in (*rows, *need_lane(player.queue(), room, rows))]


class KeyOfTheDay(TwoLanes):
    """The rotation with one key running through each sheet, the keys by turns."""

    name = "two lanes 1/2, key of the day"

    def choose(self, player: Player) -> list[int]:
        """See above."""
        queue = replace(player.queue(), thread=-player.day % 12)
        rows = floor_lane(queue, player.budget, self.floor.minutes)
        room = player.budget - sum(row.item.minutes for row in rows)
        return [int(row.item.id) for row in (*rows, *need_lane(queue, room, rows))]


def two_lanes(share: Fraction) -> type[Rule]:
    """The rotation at another share."""
    return type("TwoLanes", (TwoLanes,), {"name": f"two lanes {share}", "share": share})


@dataclass(frozen=True)
class Outcome:
    """What one run came to."""

    wait_to_bound: float
    over: bool | None
    never: int
    hard_share: float
    keys: float
    seconds: float


def run(rule_type: Callable[[Player], Rule], setting: Setting) -> Outcome:
    """One rule, one setting, a year of practice days."""
    player = Player(setting)
    rule = rule_type(player)
    number = len(player.items)
    longest, spent = [0] * number, [0] * number
    keys, seconds = [], 0.0
    for _ in range(DAYS):
        player.next_day()
        start = time.perf_counter()
        chosen = rule.choose(player)
        seconds += time.perf_counter() - start
        longest = [max(most, player.day - last) for most, last in zip(longest, player.last, strict=True)]
        for place in chosen:
            rule.told(player, place, player.play(place))
            spent[place] += player.minutes[place]
        if chosen:
            keys.append(len({player.items[place].key for place in chosen}) / min(len(chosen), 12))
    longest = [max(most, player.day + 1 - last) for most, last in zip(longest, player.last, strict=True)]
    hardest = sorted(range(number), key=player.hardness.__getitem__)[-(number // 4) :]
    bound = lower_bound(player.lengths, player.budget)
    return Outcome(
        max(longest) / bound,
        None if rule.promise is None else max(longest) > rule.promise,
        spent.count(0),
        sum(spent[place] for place in hardest) / sum(spent),
        statistics.fmean(keys),
        seconds,
    )


def settings_of(*, full: bool) -> list[Setting]:
    """All settings, or a few that are done in a minute."""
    lists = (24, 60, 180, 600) if full else (60, 180)
    missed = (0.0, 0.2, 0.4) if full else (0.2,)
    seeds = (11, 22, 33) if full else (11, 22)
    budgets = {False: (6, 12, 20), True: (15, 30, 45)} if full else {False: (12,), True: (30,)}
    return [
        Setting(items, timed, budget, chance, seed)
        for items, timed, chance, seed in itertools.product(lists, (False, True), missed, seeds)
        for budget in budgets[timed]
    ]


def say(line: str) -> None:
    """One line for whoever started this."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    """Run every rule on every setting and print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--full", action="store_true", help="all lists, budgets, missed days and seeds")
    settings = settings_of(full=parser.parse_args().full)
    rules: list[type[Rule]] = [Chance, Stale, RoundRobin, EarliestDue, Memory, NeedOnly]
    rules += [two_lanes(Fraction(2, 3)), two_lanes(HALF), two_lanes(Fraction(1, 3)), KeyOfTheDay]
    say(f"{len(settings)} runs of {DAYS} practice days for each rule")
    heads = ("wait / bound", "over promise", "never played", "hard share", "keys", "ms a day")
    say(f"{'rule':30}" + "".join(f"{head:>{width}}" for head, width in zip(heads, WIDTHS, strict=True)))
    for rule in rules:
        if rule is Memory and importlib.util.find_spec("fsrs") is None:
            say(f"{rule.name:30}left out: the package fsrs is not installed")
            continue
        done = [run(rule, setting) for setting in settings]
        waits = [one.wait_to_bound for one in done]
        promised = Counter(one.over for one in done)
        say(
            f"{rule.name:30}{statistics.fmean(waits):9.2f}{max(waits):7.1f}"
            f"{'none made' if promised[None] else promised[True]:>14}"
            f"{max(one.never for one in done):14}{statistics.fmean(one.hard_share for one in done):12.2f}"
            f"{statistics.fmean(one.keys for one in done):7.2f}"
            f"{1000 * sum(one.seconds for one in done) / len(done) / DAYS:10.2f}"
        )


if __name__ == "__main__":
    main()
