"""Sixty days of twelve kinds of player, level by family by minutes: what a teacher would ask about their sheets.

    python tests/benchmarks/sixty_days.py [--days 60] [--seed 7] [--only trumpet] [--show] [--starter]

Six days in seven are practised, sheets are played whole, ratings and tempi are those of a player who learns. For each
player one line

    majors      different major keys met in the first fortnight, of those on the list
    new         share of rows that are new on all sheets after the second, and of minutes on the fullest of them
    worn        the three articulations printed most, in per cent of the rows that wear any
    keys, rows, pages   of a sheet, on the average (signatures; pages by estimate, on letter)
    thread      rows in the key of the sheet in the second half of the days, in per cent
    double      longest wait of double tonguing, in days with a play, where it is asked for
    high        pairs of high or loud rows that stand side by side
    wait        longest wait of any exercise in practice days, and what was printed on the page when it began

and a line for each threshold that is missed. `plan_for` writes the plans, or the program's own starter plans are taken
with ``--starter``; any function of level, family, instrument and minutes can stand in their place. ``--show`` prints
every sheet.
"""

import argparse
import datetime as dt
import random
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from statistics import fmean

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.catalogue.tables import shared_catalogue
from generator.documents.new_plan import Answers, plan_text
from generator.documents.starter import rows_for, starter_file
from generator.exercise.request import row_name
from generator.files.home import Home
from generator.pages.paper import Paper
from generator.pages.sheet import Words, lay_out
from generator.phrase.read import parse
from generator.practice.asking import by_line
from generator.practice.growth import as_grown
from generator.practice.played import Said, note_played
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.terms import is_brass
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice_log import PracticeLog, utc_text
from generator.rotation import rest_minutes
from generator.theory.key import usual_name
from tests.fixtures.counted_days import Page, broken, mornings

START = dt.date(2027, 1, 4)
FORTNIGHT = 14
PLAYERS = (
    ("first notes", "woodwind", "clarinet", 10),
    ("first notes", "brass", "trumpet", 15),
    ("first notes", "strings", "violin", 10),
    ("standard", "woodwind", "alto saxophone", 20),
    ("standard", "woodwind", "flute", 30),
    ("standard", "brass", "trombone", 20),
    ("standard", "strings", "violin", 20),
    ("standard", "mallets", "marimba", 20),
    ("extended", "woodwind", "clarinet", 45),
    ("extended", "brass", "trumpet", 60),
    ("extended", "jazz", "tenor saxophone", 30),
    ("extended", "brass", "horn", 40),
)
PlanWriter = Callable[[str, str, str, int], str]

TONGUED = ["all tongued", "all slurred", "slur two tongue two", "slurred pairs", "staccato", "legato-tongued"]
MORE_TONGUED = [
    "tongue two slur two",
    "slur three tongue one",
    "crescendo up, diminuendo down",
    "accent on each beat",
]
DOUBLE = ["double tongue"]


def starter_for(level: str, family: str, instrument: str, minutes: int) -> str:
    """The program's own plan."""
    names = shared_catalogue()
    file = starter_file(level, "jazz" if family == "jazz" else "")
    rows = rows_for(file.read_text("utf-8"), names.instruments.find(instrument), names)
    text = plan_text(Answers(instrument=instrument, level=level, minutes=minutes), rows)
    return text.replace(f'instrument = "{instrument}"\n', "")


def plan_for(level: str, family: str, _instrument: str, minutes: int) -> str:
    """A plan in the order a teacher would begin things."""
    strokes = [*TONGUED[:4], *(TONGUED[4:] if level != "first notes" else [])]
    if level == "extended":
        strokes += MORE_TONGUED + (DOUBLE if family in ("brass", "woodwind") else [])
    if level == "first notes":
        keys = "C, F and G"
        rows = [
            (f"{keys} major, a fifth", ["all tongued", "all slurred"], ["quarters", "eighths"]),
            ("C long tones along the scale, major, a fifth", [], []),
            (f"{keys} major arpeggio, one octave", ["all tongued", "all slurred"], ["quarters"]),
            (
                f"{keys} major, one octave",
                ["all tongued", "all slurred", "slurred pairs"],
                ["quarters", "eighths"],
            ),
        ]
    else:
        forms = ["major", "major arpeggio", "harmonic minor", "minor arpeggio", "major in thirds"]
        forms += ["dominant seventh", "harmonic minor in thirds", "major in fourths"]
        if family == "jazz":
            forms[2:4] = ["dorian", "mixolydian", "bebop dominant", "minor seventh"]
        if level == "extended":
            forms += ["melodic minor", "major in sixths", "diminished arpeggio"]
        rhythms = ["sixteenths"] if level == "standard" else ["sixteenths", "triplets", "dotted both ways"]
        rows = [(f"all keys, {form}", strokes, rhythms if "arpeggio" not in form else []) for form in forms]
        rows.append(("whole-tone on C and D-flat", strokes[:3], []))
        if family == "brass":
            rows.insert(1, ("slurs over the partials", [], []))
            rows.insert(2, ("C long tones along the scale, major", [], []))
            rows.append(("C, B-flat and B major, one octave, from the top octave", strokes[:2], ["eighths"]))
    text = f'minutes = {minutes}\nlevel = "{level}"\n'
    for phrase, worn, rhythms in rows:
        text += f'[[keep]]\nphrase = "{phrase}"\nstart = 60\ngoal = 96\n'
        text += f"articulations = {worn}\n" if worn else ""
        text += f"rhythms = {rhythms}\n" if rhythms else ""
    return text


@dataclass
class Sixty:
    """What was printed in the days of one player."""

    name: str
    pages: list[TodaysPage] = field(default_factory=list)
    said: list[Page] = field(default_factory=list)
    high: int = 0
    majors: tuple[int, int] = (0, 0)
    late: int = 0
    longest: int = 0
    double: int = 0
    keys: list[list[bool]] = field(default_factory=list)
    signatures: list[int] = field(default_factory=list)

    @property
    def after(self) -> list[TodaysPage]:
        """Sheets after the second."""
        return self.pages[2:]


def live(
    level: str, family: str, instrument: str, minutes: int, asked: argparse.Namespace, write: PlanWriter
) -> Sixty:
    """Sixty days of one player."""
    chance = random.Random(f"{asked.seed} {instrument} {minutes}")
    found = Sixty(f"{level}, {instrument}, {minutes} min")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "plan.toml"
        path.write_text(f'instrument = "{instrument}"\n{write(level, family, instrument, minutes)}', "utf-8")
        plays: Counter[str] = Counter()
        for number in range(asked.days):
            day = START + dt.timedelta(days=number)
            if number % 7 == 6:
                continue
            session = open_session(Home.at(folder), PlayerOptions(plan=path), folder)
            moment = dt.datetime.combine(day, dt.time(8), dt.UTC)
            with PracticeLog.open(folder / "log.sqlite") as log:
                session = as_grown(session, log, day)
            page = todays_page(session, DayRequest(day, day, moment))
            items = {item.id: item for item in session.repertoire.items(day)}
            playing = minutes - rest_minutes(minutes, brass=is_brass(session))
            in_order = sorted(items.values(), key=lambda item: item.tie)
            fit = {item.id: item.minutes for item in in_order if item.minutes <= playing}
            found.said.append(Page(day, fit, playing, page.sheet.promise, gently=True))
            found.pages.append(page)
            places = [items[row.item].key for row in page.sheet.rows]
            name_of_key = page.sheet.thread.split(": ")[-1].split()[0]
            at = next((k for k in range(12) if usual_name(7 * k % 12, 0).words == name_of_key), None)
            found.keys.append([place == at for place in places])
            found.signatures.append(len(set(places)))
            heavy = [items[row.item].heavy for row in page.sheet.rows]
            found.high += sum(one and two for one, two in pairwise(heavy))
            said = {}
            for place, row in enumerate(page.sheet.rows, 1):
                plays[row.item] += 1
                skill = min(0.95, 0.35 + 0.12 * plays[row.item])
                felt = 1 + sum(chance.random() < skill for _ in range(3))
                said[place] = Said(
                    felt=felt, tempo=(row.aim + chance.choice([-4, 0, 4, 4])) if row.aim else None
                )
            with PracticeLog.open(folder / "log.sqlite") as log:
                note_played(log, page.sheet, said, day, utc_text(moment))
        with PracticeLog.open(folder / "log.sqlite") as log:
            own = session.player.instrument.name
            events = by_line(log.events(instrument=own), own)
        days = mornings(events)
        found.late = sum(len(broken(one, days)) for one in found.said)
        found.longest = longest_wait(found.said[-1], [morning.played for morning in days])
        keys = {entry.key for entry in session.repertoire.entries if is_major(entry.name)}
        found.majors = (len(majors_met(found.pages)), len(keys))
        found.double = upkeep_wait(found.pages) if "double tongue" in path.read_text("utf-8") else 0
    return found


def is_major(name: str) -> bool:
    """Whether a line is a major scale, straight."""
    request = parse(name, shared_catalogue())
    return row_name(getattr(request, "form", None)) == "major" and request.figure is None


def majors_met(pages: list[TodaysPage]) -> set[str]:
    """Major scales of the first fortnight."""
    first = [page for page in pages if (page.sheet.day - START).days < FORTNIGHT]
    return {row.item for page in first for row in page.sheet.rows if is_major(row.item.split(": ", 1)[1])}


def longest_wait(page: Page, played: list[set[str]]) -> int:
    """The longest wait in days with a play, from the first play on."""
    longest = 0
    for item in page.minutes:
        on = [number for number, some in enumerate(played) if item in some]
        longest = max([longest, *(b - a for a, b in pairwise([*on, len(played)]))]) if on else longest
    return longest


def upkeep_wait(pages: list[TodaysPage]) -> int:
    """The longest stretch of sheets from one with double tonguing to the next."""
    on = [n for n, page in enumerate(pages) if any("double tongue" in row.phrase for row in page.sheet.rows)]
    return max((b - a for a, b in pairwise([0, *on, len(pages)])), default=0)


def line(found: Sixty) -> str:
    """The figures of one player."""
    rows = [row for page in found.pages for row in page.sheet.rows]
    later = [[(row.reason.startswith("new"), row.minutes) for row in page.sheet.rows] for page in found.after]
    worn = strokes_of(found)
    top = ", ".join(f"{name} {100 * n // sum(worn.values())}" for name, n in worn.most_common(3))
    keys = fmean(found.signatures)
    pages = [
        lay_out(page.exercises, Words("", ""), Paper.of("letter", "normal")).pages for page in found.pages
    ]
    settled = [key for one in found.keys[len(found.keys) // 2 :] for key in one]
    thread = sum(settled)
    new = sum(one for some in later for one, _ in some) / max(1, sum(map(len, later)))
    return (
        f"{found.name:34} majors {found.majors[0]}/{found.majors[1]}  new {100 * new:.0f} % (at most "
        f"{100 * fullest(later):.0f})  worn {top}  keys {keys:.1f}  rows {len(rows) / len(found.pages):.1f}  "
        f"pages {fmean(pages):.1f}  thread {100 * thread // max(1, len(settled))} %  double {found.double}  "
        f"high {found.high}  wait {found.longest} of {found.said[0].promise}-{found.said[-1].promise}"
    )


def fullest(later: list[list[tuple[bool, int]]]) -> float:
    """The largest share of new minutes, one row always being allowed."""
    return max(
        (
            sum(minutes for new, minutes in some if new) / sum(minutes for _, minutes in some)
            for some in later
            if sum(new for new, _ in some) > 1
        ),
        default=0.0,
    )


def strokes_of(found: Sixty) -> Counter[str]:
    """How often each articulation was printed."""
    counted: Counter[str] = Counter()
    for page in found.pages:
        for row in page.sheet.rows:
            name = row_name(parse(row.phrase, shared_catalogue()).articulation)
            if name:
                counted[name] += 1
    return counted


def missed(found: Sixty, level: str, minutes: int) -> list[str]:
    """The thresholds that are missed."""
    told = []
    later = [[(row.reason.startswith("new"), row.minutes) for row in page.sheet.rows] for page in found.after]
    worn = strokes_of(found)
    if minutes >= 20 and found.majors[0] < found.majors[1]:
        told.append("majors missing after a fortnight")
    if fullest(later) > 1 / 3:
        told.append(f"a sheet of which {100 * fullest(later):.0f} % are new")
    if level != "first notes" and worn and worn.most_common(1)[0][1] > 0.4 * sum(worn.values()):
        told.append("one articulation on more than four rows in ten")
    if found.high:
        told.append("high rows side by side")
    if found.double > 3:
        told.append("double tonguing not kept alive")
    if found.late:
        told.append(f"{found.late} exercises later than printed")
    return told


def show(found: Sixty) -> None:
    """Every sheet."""
    for page in found.pages:
        print(f"  {page.sheet.day} {page.sheet.thread}, {page.sheet.minutes} min, {page.sheet.rest} rest")
        for exercise, row in zip(page.exercises, page.sheet.rows, strict=True):
            print(f"    {row.minutes} {exercise.heading}: {exercise.reason}")


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--days", type=int, default=60)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", default="")
    parser.add_argument("--show", action="store_true")
    parser.add_argument("--starter", action="store_true")
    asked = parser.parse_args()
    wrong = 0
    for level, family, instrument, minutes in PLAYERS:
        if asked.only not in f"{level} {family} {instrument}":
            continue
        found = live(level, family, instrument, minutes, asked, starter_for if asked.starter else plan_for)
        print(line(found), flush=True)
        if asked.show:
            show(found)
        for text in missed(found, level, minutes):
            print(f"    MISSED: {text}")
            wrong += 1
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
