"""Keeps a log on two or three computers at random, brings the logs together in any order, and looks what is left.

    python tests/exhaustive/log_merging.py [--histories 10000] [--seed 1]

The computers print the same sheets, note, note differently, take back, import from each other, take imports back, and
their clocks differ by hours. In the end each has been given the others' exports, in an order of its own and some of
them twice. Then all of them must hold every entry that anybody ever noted, must give byte for byte the same export and
the same events, and what counts must be what a second reading of the stated rule makes of the entries: of those about
one thing that nobody took back, the one saved last.

Exits with 1 at the first history that does not come out so, with its seed.
"""

import argparse
import contextlib
import datetime as dt
import random
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.errors import RequestError
from generator.practice.played import Said, note_played, take_back_last
from generator.practice.sheet_record import SheetRecord, SheetRow
from generator.practice_log import Entry, Kind, PracticeLog, utc_text
from generator.practice_log.database import open_database
from generator.practice_log.transfer import OtherLog, take_in
from generator.practice_log.written import End, as_csv, as_json_lines, read_csv, read_json_lines

START = dt.date(2027, 1, 4)
PHRASES = ("G major", "D major in thirds", "A harmonic minor")


def sheet_of(day: dt.date, code: str = "ABCD", instrument: str = "clarinet") -> SheetRecord:
    """The sheet of a day; every computer prints the same."""
    rows = tuple(SheetRow(phrase, phrase, True, 2, "", 0, 80, 100) for phrase in PHRASES)
    return SheetRecord(code, instrument, day, 1, "m", "standard", "E3", "C6", 6, 0, 3, rows, (), 1)


class Computer:
    """One computer with its log and its clock."""

    def __init__(self, random_: random.Random) -> None:
        self.log = PracticeLog(open_database(Path(":memory:"), busy_seconds=1))
        self.random = random_
        self.ahead = dt.timedelta(minutes=random_.choice((0, 0, 90, -600, 3000)))
        self.steps = 0

    def moment(self, day: dt.date) -> str:
        """What its clock says at its next action of a day."""
        self.steps += 1
        midnight = dt.datetime.combine(day, dt.time(8), dt.UTC)
        return utc_text(midnight + self.ahead + dt.timedelta(seconds=self.random.choice((0, 1, self.steps))))

    def act(self, day: dt.date) -> None:
        """Do something that a player may do on a day."""
        moment, choice = self.moment(day), self.random
        action = choice.randrange(6)
        if action == 0:
            self.log.append([sheet_of(day).entry(moment)])
        elif action == 1:
            item = choice.choice(PHRASES)
            self.log.append(
                [Entry(f"item_in {item} {day} 0", Kind.ITEM_IN, day, moment, item=item, minutes=2)]
            )
        elif action < 5:
            said = {
                number: Said(choice.choice((None, 1, 4)), choice.choice((None, 60, 100)))
                for number in choice.sample((1, 2, 3), choice.randint(1, 3))
            }
            note_played(self.log, sheet_of(day), said, day, moment)
        else:
            with contextlib.suppress(RequestError):
                take_back_last(self.log, day, moment, choice.choice((None, "clarinet")))

    def give(self) -> str:
        """Its export."""
        write = self.random.choice((as_csv, as_json_lines))
        return write(self.log.as_saved(), self.log.facts.ids())

    def take(self, text: str) -> None:
        """Import what another gave."""
        lines = list((read_csv if text.startswith("uid,") else read_json_lines)(text))
        end = lines[-1][1]
        assert isinstance(end, End), end
        entries = tuple((number, one) for number, one in lines[:-1] if isinstance(one, Entry))
        assert len(entries) == end.entries == len(lines) - 1
        take_in(self.log, OtherLog(Path("other.csv"), entries, end.logs, whole=True), START)


@contextmanager
def computers(random_: random.Random) -> Iterator[list[Computer]]:
    """Two or three of them."""
    made = [Computer(random_) for _ in range(random_.choice((2, 3)))]
    try:
        yield made
    finally:
        for one in made:
            one.log.close()


def run(seed: int) -> int:
    """One history; the number of entries at its end.

    Raises:
        AssertionError: the logs do not come out as promised.
    """
    random_ = random.Random(seed)
    with computers(random_) as all_:
        noted: dict[str, Entry] = {}
        for number in range(random_.randint(2, 14)):
            one = random_.choice(all_)
            if random_.random() < 0.2:
                one.take(random_.choice(all_).give())
            else:
                one.act(START + dt.timedelta(days=number // 5))
            noted |= {entry.seal: entry for computer in all_ for entry in computer.log.as_saved()}
        given = [one.give() for one in all_]
        for one in all_:
            for text in random_.sample(given, len(given)):
                one.take(text)
            one.take(random_.choice(given))
        check(all_, noted)
        return len(noted)


def check(all_: list[Computer], noted: dict[str, Entry]) -> None:
    """Whether all hold the same, everything, and count what the rule says."""
    first = all_[0].log
    for computer in all_:
        log = computer.log
        assert {entry.seal for entry in log.as_saved()} == set(noted), "an entry is lost, or one too many"
        assert as_csv(log.as_saved(), log.facts.ids()) == as_csv(first.as_saved(), first.facts.ids()), "order"
        assert [e[1:7] for e in log.events()] == [e[1:7] for e in first.events()], "events"
        assert log.facts.get("sum") == first.facts.get("sum"), "sum"
        counting = {entry.seal for entry in log.entries(kinds=(Kind.PLAY,))}
        assert counting == counting_of(noted.values()), "another play counts than the rule says"


def counting_of(entries: object) -> set[str]:
    """The plays that count, read from the rule once more."""
    gone = {(e.takes_back, e.version) for e in entries if e.kind is Kind.VOID}  # type: ignore[attr-defined]
    about: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for entry in entries:  # type: ignore[attr-defined]
        if entry.kind is Kind.PLAY and (entry.uid, entry.seal) not in gone:
            about[entry.uid].append((entry.recorded_at, entry.seal))
    return {max(those)[1] for those in about.values()}


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--histories", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    total = 0
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        for seed in range(asked.seed, asked.seed + asked.histories):
            try:
                total += run(seed)
            except AssertionError as error:
                sys.exit(f"history {seed}: {error}")
    print(f"{asked.histories} histories, {total} entries: every log came out the same, nothing was lost")


if __name__ == "__main__":
    main()
