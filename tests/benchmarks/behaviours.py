"""What players do to a promise: every kind of behaviour for some months, and whether what was printed held.

    python tests/benchmarks/behaviours.py [--days 120] [--seeds 3] [--only "one row"]

Each player lives with the program itself: sheets are chosen and stored, plays noted, taken back and brought in, plans
edited. Then every page is held to its word from the log alone, by a count of practice days that shares nothing with
the program's replay (tests/fixtures/counted_days.py). Two things are counted as broken:

    late    an exercise of a page's list had not been played when the practice days it named were over
    short   a page's marked rows were all played on its day, and yet the day was not a whole practice day (not asked
            where the log changed afterwards, or a dated list had the floor)

A line tells for each behaviour: pages, days with a play, practice days these were, the numbers printed, what broke.
"""

import argparse
import datetime as dt
import random
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.errors import RequestError
from generator.files.home import Home
from generator.practice.asking import by_line
from generator.practice.played import Said, note_played, take_back_last
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session
from generator.practice.sheet_record import SheetRecord
from generator.practice.terms import is_brass
from generator.practice.today import DayRequest, todays_page
from generator.practice_log import PracticeLog, utc_text
from generator.rotation import Event, rest_minutes
from tests.fixtures.counted_days import Morning, Page, broken, mornings, share_of

START = dt.date(2027, 1, 4)
HEAD = 'instrument = "{instrument}"\nminutes = {minutes}\ntheme = "{theme}"\n'
ROWS = (
    "all keys, major",
    "all keys, major arpeggio",
    "all keys, harmonic minor",
    "G, D and F major, two octaves, staccato, eighths",
    "whole-tone on C and D-flat",
)
MORE = ("all keys, minor arpeggio", "all keys, dorian in thirds", "chromatic on C", "C and G major in sixths")
MANY = tuple(
    f"all keys, {form}"
    for form in (
        "major",
        "harmonic minor",
        "melodic minor",
        "dorian",
        "mixolydian",
        "lydian",
        "natural minor",
    )
) + tuple(f"all keys, major in {figure}" for figure in ("thirds", "fourths", "sixths", "triads"))
THEMES = ("key of the day", "key of the week", "scattered")


@dataclass
class Life:
    """One player with a folder, a plan and a clock."""

    folder: Path
    chance: random.Random
    instrument: str = "alto saxophone"
    minutes: int = 20
    rows: tuple[str, ...] = ROWS
    lists: str = ""
    level: str | None = None
    day: dt.date = START
    pages: list[tuple[str, Page, SheetRecord]] = field(default_factory=list)
    seconds: int = 0
    steady: bool = True  # the log says on the day what it says for ever
    theme: str = ""

    def __post_init__(self) -> None:
        self.theme = self.chance.choice(THEMES)

    @property
    def moment(self) -> dt.datetime:
        """Now; every look is a second later."""
        self.seconds += 1
        return dt.datetime.combine(self.day, dt.time(8), dt.UTC) + dt.timedelta(seconds=self.seconds % 40_000)

    def session(self) -> PlayerSession:
        """The plan as it is now."""
        text = HEAD.format(instrument=self.instrument, minutes=self.minutes, theme=self.theme)
        text += "".join(f'[[keep]]\nphrase = "{row}"\n' for row in self.rows) + self.lists
        path = self.folder / f"plan-{self.instrument.replace(' ', '-')}.toml"
        path.write_text(text, "utf-8")
        return open_session(Home.at(self.folder), PlayerOptions(plan=path, level=self.level), self.folder)

    def page(self, minutes: int | None = None, number: int = 1) -> SheetRecord | None:
        """Today's sheet, or none if there is nothing left to play."""
        session = self.session()
        request = DayRequest(self.day, self.day, self.moment, minutes, number)
        try:
            sheet = todays_page(session, request).sheet
        except RequestError:
            return None
        if sheet.promise:
            playing = self.minutes - rest_minutes(self.minutes, brass=is_brass(session))
            items = sorted(session.repertoire.items(self.day), key=lambda item: item.tie)
            fit = {item.id: item.minutes for item in items if item.minutes <= playing}
            marked = frozenset(row.item for row in sheet.rows if row.floor)
            whole = (minutes or self.minutes) >= self.minutes and "audition" not in str(sheet.notes)
            page = Page(
                self.day,
                fit,
                playing,
                sheet.promise,
                gently=True,
                share=Fraction(1, 2),
                marked=marked,
                whole=whole,
            )
            self.pages.append((self.instrument, page, sheet))
        return sheet

    def play(self, sheet: SheetRecord, numbers: list[int], day: dt.date | None = None) -> None:
        """Note some numbers of a sheet."""
        said = {number: Said(felt=self.chance.choice([1, 2, 3, 3, 3, 4])) for number in numbers}
        with PracticeLog.open(self.folder / "log.sqlite") as log:
            note_played(log, sheet, said, day or self.day, utc_text(self.moment))

    def undo(self) -> None:
        """Take back what was noted last."""
        with PracticeLog.open(self.folder / "log.sqlite") as log:
            take_back_last(log, self.day, utc_text(self.moment), self.instrument)

    def events(self, instrument: str) -> list[Event]:
        """What the log says of an instrument."""
        with PracticeLog.open(self.folder / "log.sqlite") as log:
            return by_line(log.events(instrument=instrument), instrument)


def every(sheet: SheetRecord) -> list[int]:
    """All numbers of a sheet."""
    return list(range(1, len(sheet.rows) + 1))


def marked(sheet: SheetRecord) -> list[int]:
    """The numbers that carry the promise."""
    return [number for number, row in enumerate(sheet.rows, 1) if row.floor]


def rows_played(choose: Callable[[SheetRecord, random.Random], list[int]]) -> Callable[[Life, int], None]:
    """A day on which some rows of the sheet are played."""

    def day(life: Life, _: int) -> None:
        sheet = life.page()
        numbers = choose(sheet, life.chance) if sheet else []
        if sheet and numbers:
            life.play(sheet, numbers)

    return day


def some(sheet: SheetRecord, chance: random.Random) -> list[int]:
    """Each row with even chances."""
    return [number for number in every(sheet) if chance.random() < 0.5]


def unmarked(sheet: SheetRecord, _: random.Random) -> list[int]:
    """What the promise does not rest on."""
    return [number for number in every(sheet) if number not in marked(sheet)]


whole_sheet = rows_played(lambda sheet, _: every(sheet))
marked_rows = rows_played(lambda sheet, _: marked(sheet))


def minutes_of(choose: Callable[[Life, int], int | None]) -> Callable[[Life, int], None]:
    """A day with other minutes than usual."""

    def day(life: Life, number: int) -> None:
        sheet = life.page(choose(life, number))
        if sheet:
            life.play(sheet, every(sheet) if life.chance.random() < 0.5 else marked(sheet) or every(sheet))

    return day


def days_off(life: Life, number: int) -> None:
    """Four days in ten without practice."""
    if life.chance.random() < 0.6:
        whole_sheet(life, number)


def holidays(life: Life, number: int) -> None:
    """Two weeks, a month, a week."""
    if not (20 <= number < 34 or 50 <= number < 80 or 100 <= number < 107):
        marked_rows(life, number)


def rows_added(life: Life, number: int) -> None:
    """The list grows every three weeks."""
    life.rows = ROWS + MORE[: number // 21]
    marked_rows(life, number)


def rows_changed(life: Life, number: int) -> None:
    """Rows leave and come back, others are dressed anew, the minutes change."""
    if number % 9 == 4:
        kept = [row for row in (*ROWS, *MORE) if life.chance.random() < 0.7]
        life.rows = tuple(kept) or ROWS
    if number % 30 == 17:
        life.minutes = life.chance.choice([15, 20, 30])
    rows_played(lambda sheet, _: every(sheet))(life, number)


def undone(life: Life, number: int) -> None:
    """A third of what is noted is taken back, sometimes days later."""
    whole_sheet(life, number)
    if life.chance.random() < 0.35:
        for _ in range(life.chance.randint(1, 2)):
            try:
                life.undo()
            except RequestError:
                return


def noted_late(life: Life, number: int) -> None:
    """What was played is noted one to three days later."""
    sheet = life.page()
    waiting = getattr(life, "waiting", [])
    for due, late, day in list(waiting):
        if due <= number:
            life.play(late, every(late), day)
            waiting.remove((due, late, day))
    if sheet:
        waiting.append((number + life.chance.randint(1, 3), sheet, life.day))
    life.__dict__["waiting"] = waiting


def brought_in(life: Life, number: int) -> None:
    """Another device's log, in which other days were lived, is brought in every two weeks."""
    other = life.__dict__.setdefault("other", Life(life.folder / "other", life.chance))
    other.folder.mkdir(exist_ok=True)
    other.day, other.theme = life.day, life.theme
    (other if number % 3 == 1 else life).minutes = 20
    marked_rows(other if number % 3 == 1 else life, number)
    if number % 14 == 13:
        logs = [folder / "log.sqlite" for folder in (life.folder, other.folder)]
        for one, two in (logs, logs[::-1]):
            with PracticeLog.open(one) as source, PracticeLog.open(two) as target:
                target.append(source.as_saved())


def dated_lists(life: Life, number: int) -> None:
    """Two auditions, the second noticed late."""
    first = START + dt.timedelta(days=45)
    second = START + dt.timedelta(days=90)
    row = '[[list]]\nname = "florida-middle-school"\ncalled = "audition"\ndate = {}\n'
    life.lists = row.format(first) if number <= 45 else row.format(second) if number >= 80 else ""
    marked_rows(life, number)


def second_sheets(life: Life, number: int) -> None:
    """A second sheet on most days, now and then without the first one being played."""
    first = life.page()
    if first and life.chance.random() < 0.7:
        life.play(first, every(first))
    second = life.page(number=2)
    if second and life.chance.random() < 0.8:
        life.play(second, every(second))


def other_levels(life: Life, number: int) -> None:
    """Another level for a while."""
    life.level = {0: None, 1: "first notes", 2: "extended"}[number // 20 % 3]
    whole_sheet(life, number)


def reprinted(life: Life, number: int) -> None:
    """Printed again after half of it was played, then with other minutes, then played to the end."""
    sheet = life.page()
    if sheet is None:
        return
    life.play(sheet, every(sheet)[: len(sheet.rows) // 2])
    life.page()
    again = life.page(life.chance.choice([None, 20, 30, 10]))
    if again:
        life.play(again, every(again))


def two_instruments(life: Life, number: int) -> None:
    """Flute and alto saxophone by turns, one log."""
    life.instrument = "flute" if number // 3 % 2 else "alto saxophone"
    whole_sheet(life, number)


def forgotten(life: Life, number: int) -> None:
    """On three evenings in ten nothing is noted."""
    if life.chance.random() < 0.7:
        marked_rows(life, number)
    else:
        life.page()


def mixed(life: Life, number: int) -> None:
    """Anything of the above from day to day."""
    life.steady = False
    life.chance.choice(
        [
            whole_sheet,
            marked_rows,
            rows_played(some),
            rows_played(unmarked),
            rows_changed,
            undone,
            noted_late,
            second_sheets,
            reprinted,
            forgotten,
            days_off,
            minutes_of(lambda life, _: life.chance.randint(5, 60)),
        ]
    )(life, number)


@dataclass(frozen=True)
class Behaviour:
    """A way of living with the program."""

    name: str
    day: Callable[[Life, int], None]
    steady: bool = True
    rows: tuple[str, ...] = ROWS
    minutes: int = 20


BEHAVIOURS = (
    Behaviour("whole sheet", whole_sheet),
    Behaviour("marked rows only", marked_rows),
    Behaviour("first half of the page", rows_played(lambda sheet, _: every(sheet)[: len(sheet.rows) // 2])),
    Behaviour("one row", rows_played(lambda sheet, _: [1])),
    Behaviour("unmarked rows only", rows_played(unmarked)),
    Behaviour("rows by chance", rows_played(some)),
    Behaviour("days off", days_off),
    Behaviour("holidays", holidays),
    Behaviour("minutes up and down", minutes_of(lambda life, _: life.chance.randint(5, 60))),
    Behaviour("sixty on Saturdays", minutes_of(lambda life, _: 60 if life.day.weekday() == 5 else None)),
    Behaviour("five minutes every other day", minutes_of(lambda _, number: 5 if number % 2 else None)),
    Behaviour("five minutes under a plan of twenty", minutes_of(lambda _, __: 5)),
    Behaviour("rows added", rows_added),
    Behaviour("rows taken out and put back", rows_changed),
    Behaviour("undone", undone, steady=False),
    Behaviour("noted late", noted_late, steady=False),
    Behaviour("logs brought in", brought_in, steady=False),
    Behaviour("dated lists", dated_lists),
    Behaviour("second sheets", second_sheets),
    Behaviour("132 exercises, ten minutes", marked_rows, rows=MANY, minutes=10),
    Behaviour("other levels", other_levels),
    Behaviour("printed again", reprinted),
    Behaviour("two instruments", two_instruments),
    Behaviour("evenings forgotten", forgotten),
    Behaviour("all of it mixed", mixed, steady=False),
)


@dataclass(frozen=True)
class Result:
    """What became of one life."""

    pages: int
    days: int
    counted: Fraction
    promises: tuple[int, int]
    late: list[str]
    short: list[str]

    @property
    def violations(self) -> int:
        """Everything that broke."""
        return len(self.late) + len(self.short)


def live(behaviour: Behaviour, seed: int, days: int, folder: Path) -> Result:
    """Live some days and hold every page to its word."""
    life = Life(
        folder, random.Random(f"{behaviour.name} {seed}"), rows=behaviour.rows, minutes=behaviour.minutes
    )
    for number in range(days):
        behaviour.day(life, number)
        life.day += dt.timedelta(days=1)
    late, short, counted, played = [], [], Fraction(0), 0
    for instrument in {instrument for instrument, _, _ in life.pages}:
        log = mornings(life.events(instrument))
        pages = [(page, sheet) for name, page, sheet in life.pages if name == instrument]
        known: dict[tuple[object, ...], dict[dt.date, Fraction]] = {}
        for page, sheet in pages:
            key = (tuple(sorted(page.minutes.items())), page.playing)
            shares = known.setdefault(key, {})
            for morning in log:
                if morning.day not in shares:
                    shares[morning.day] = share_of(page, morning)
            late += [
                f"{sheet.code} of {page.day} said {page.promise}: {one}" for one in _late(page, log, shares)
            ]
        if pages:
            counted += sum(
                known[(tuple(sorted(pages[-1][0].minutes.items())), pages[-1][0].playing)].values()
            )
        played += len(log)
        if behaviour.steady:
            short += list(_short(pages, log))
    numbers = [page.promise for _, page, _ in life.pages]
    return Result(len(life.pages), played, counted, (min(numbers), max(numbers)), late, short)


def _late(page: Page, log: list[Morning], shares: dict[dt.date, Fraction]) -> list[str]:
    return broken(page, log, shares)


def _short(pages: list[tuple[Page, SheetRecord]], log: list[Morning]) -> Iterator[str]:
    """Whole pages whose day was not a whole practice day."""
    last = {page.day: (page, sheet) for page, sheet in pages}
    by_day = {morning.day: morning for morning in log}
    for day, (page, sheet) in last.items():
        morning = by_day.get(day)
        if (
            morning
            and page.whole
            and page.marked
            and page.marked <= morning.played
            and share_of(page, morning) < 1
        ):
            yield f"{sheet.code} of {day}: {share_of(page, morning)}"


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--days", type=int, default=120)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--only", default="")
    asked = parser.parse_args()
    total = 0
    print(f"{'behaviour':38}seed pages  days  practice days  printed  broken")
    for behaviour in BEHAVIOURS:
        if asked.only not in behaviour.name:
            continue
        for seed in range(asked.seeds):
            with tempfile.TemporaryDirectory() as name:
                found = live(behaviour, seed, asked.days, Path(name))
            total += found.violations
            least, most = found.promises
            print(
                f"{behaviour.name:38}{seed:4}{found.pages:6}{found.days:6}{float(found.counted):15.1f}"
                f"{f'{least}-{most}':>9}{found.violations:8}",
                flush=True,
            )
            for line in (*found.late[:3], *found.short[:3]):
                print(f"    {line}")
    print(f"broken: {total}")
    sys.exit(1 if total else 0)


if __name__ == "__main__":
    main()
