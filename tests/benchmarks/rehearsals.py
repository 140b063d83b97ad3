"""Bands that rehearse in rotation for a season: was what each sheet said kept, and did all play the same bars?

    python tests/benchmarks/rehearsals.py [--rehearsals 40] [--seeds 3]

Each band meets twice a week. One rehearsal in five falls out, and in the middle of the season three weeks do; on four
days in ten there are more minutes or fewer than usual; every eighth time a chair comes or goes; sometimes the marked
rows alone are played, sometimes nobody notes anything. Then every sheet is held to its word from the log alone, by a
count of rehearsals that shares nothing with the program's replay (tests/fixtures/counted_days.py):

    late     an exercise of a sheet's list was not played when the rehearsals it named were over
    apart    parts of one sheet that do not have the same bars, or sound other notes than the rest but for the octave

A line tells for each band and seed: sheets, how many were noted, the rehearsals they named, concert keys, what broke.
"""

import argparse
import datetime as dt
import random
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.files.home import Home
from generator.files.resources import data_folder
from generator.practice.asking import by_line
from generator.practice.band_session import open_band
from generator.practice.band_words import requests_of
from generator.practice.growth import as_grown
from generator.practice.played import Said, note_played
from generator.practice.player_session import PlayerSession
from generator.practice.repertoire import Repertoire
from generator.practice.sheet_record import SheetRecord
from generator.practice.today import DayRequest, todays_page
from generator.practice_log import PracticeLog, utc_text
from generator.rotation import rest_minutes
from generator.section.day_sheet import day_rehearsal
from generator.section.rehearsal import Rehearsal
from tests.fixtures.counted_days import Page, broken, mornings

START = dt.date(2027, 1, 5)
CHAIR = '[[chair]]\ninstrument = "{}"\nlevel = "{}"\n'
COMING = (
    CHAIR.format("oboe", "standard"),
    CHAIR.format("baritone saxophone", "first notes"),
    CHAIR.format("glockenspiel", "standard"),
    CHAIR.format("euphonium in treble clef", "first notes"),
)
MISSED, FORGOTTEN, UNEVEN, MARKED_ALONE = 0.2, 0.1, 0.4, 0.3
HOLIDAY = range(18, 24)


@dataclass(frozen=True)
class Kind:
    """A kind of band: its chairs, and the usual minutes of its plan."""

    name: str
    chairs: str
    minutes: int


def _chairs(level: str, *instruments: str) -> str:
    return "".join(CHAIR.format(instrument, level) for instrument in instruments)


BANDS = (
    Kind(
        "Harbour Street", (data_folder("shared") / "examples" / "harbour-street.toml").read_text("utf-8"), 15
    ),
    Kind(
        "Harbour Street beginners",
        'title = "Harbour Street Beginners"\n'
        + _chairs("first notes", "flute", "clarinet", "alto saxophone", "trumpet", "trombone", "snare drum"),
        10,
    ),
    Kind(
        "Harbour Street strings",
        'title = "Harbour Street Strings"\n' + _chairs("standard", "violin", "viola", "cello", "double bass"),
        15,
    ),
    Kind(
        "Harbour Street orchestra",
        'title = "Harbour Street Orchestra"\n'
        + _chairs("standard", "flute", "oboe", "clarinet", "bassoon", "horn", "trumpet", "trombone", "tuba")
        + _chairs("standard", "timpani", "drum set", "xylophone", "harp", "piano", "violin", "cello"),
        20,
    ),
    Kind(
        "Harbour Street choir",
        'title = "Harbour Street Choir"\n'
        + _chairs("standard", "soprano voice", "alto voice", "tenor voice", "bass voice"),
        10,
    ),
)


@dataclass
class Season:
    """One band with a folder and a calendar."""

    kind: Kind
    folder: Path
    chance: random.Random
    day: dt.date = START
    moments: int = 0
    pages: list[tuple[Page, SheetRecord]] = field(default_factory=list)
    apart: list[str] = field(default_factory=list)
    noted: int = 0

    def session(self, number: int) -> PlayerSession:
        """The band as it is for the so manieth rehearsal."""
        here = [chair for place, chair in enumerate(COMING) if (number // 8 + place) % 3 == 1]
        path = self.folder / "section.toml"
        path.write_text(self.kind.chairs + "".join(here), "utf-8")
        return open_band(Home.at(self.folder), path)

    def moment(self) -> dt.datetime:
        """Now; every look is a second later."""
        self.moments += 1
        return dt.datetime.combine(self.day, dt.time(19), dt.UTC) + dt.timedelta(seconds=self.moments % 3000)

    def rehearse(self, number: int) -> None:
        """Print the sheet, look at its parts, and note what was played."""
        session = self.session(number)
        usual = session.plan.minutes
        minutes = (
            self.chance.choice([usual // 2, usual + 5, 2 * usual]) if self.chance.random() < UNEVEN else None
        )
        page = todays_page(session, DayRequest(self.day, self.day, self.moment(), minutes))
        sheet = page.sheet
        if sheet.promise:
            self.pages.append((self.page(session, sheet), sheet))
        assert session.band is not None
        made = day_rehearsal(session.band.section, requests_of(sheet))
        self.apart += [f"{sheet.code}: {told}" for told in parted(made)]
        if self.chance.random() < FORGOTTEN:
            return
        rows = list(enumerate(sheet.rows, 1))
        if self.chance.random() < MARKED_ALONE:
            rows = [(place, row) for place, row in rows if row.floor] or rows
        said = {place: Said(felt=self.chance.choice([1, 2, 3, 3, 3, 4])) for place, _ in rows}
        with PracticeLog.open(session.home.log) as log:
            note_played(log, sheet, said, self.day, utc_text(self.moment()))
        self.noted += 1

    def page(self, session: PlayerSession, sheet: SheetRecord) -> Page:
        """What was printed."""
        playing = sheet.usual - rest_minutes(sheet.usual)
        items = sorted(grown(session, self.day).items(self.day), key=lambda item: item.tie)
        return Page(
            self.day,
            {item.id: item.minutes for item in items if item.minutes <= playing},
            playing,
            sheet.promise,
            gently=True,
            share=Fraction(1, 2),
            marked=frozenset(row.item for row in sheet.rows if row.floor),
        )

    def late(self) -> Iterator[str]:
        """What was not played in time."""
        home = self.session(0).home
        with PracticeLog.open(home.log) as log:
            instrument = self.pages[0][1].instrument
            days = mornings(by_line(log.events(instrument=instrument), instrument))
        for page, sheet in self.pages:
            for one in broken(page, days):
                yield f"{sheet.code} of {page.day} said {page.promise}: {one}"

    def keys(self) -> set[int]:
        """Concert keys that were printed, as pitch classes."""
        return {one.keys[0].pitch_class for _, sheet in self.pages for one in requests_of(sheet)}


def grown(session: PlayerSession, day: dt.date) -> Repertoire:
    """The list as far as it has grown."""
    with PracticeLog.open(session.home.log) as log:
        return as_grown(session, log, day).repertoire


def parted(made: Rehearsal) -> Iterator[str]:
    """Where parts have other bars than the rest, or sound other notes but for the octave."""
    for number, turn in enumerate(made.turns):
        pitched = [part for part in made.parts if not part.unpitched]
        bars = {tuple(bar.filled for bar in part.exercises[number].bars) for part in made.parts}
        if len(bars) > 1:
            yield f"{turn.heading}: bars"
        lines = []
        for part in pitched:
            sounds = part.player.instrument.sounds.semitones
            notes = [note for bar in part.exercises[number].bars for note in bar.notes]
            lines.append([None if n.pitch is None else (n.pitch.height + sounds) % 12 for n in notes])
        whole = next((line for line in lines if None not in line), lines[0])
        for part, line in zip(pitched, lines, strict=True):
            if len(line) == len(whole) and any(a not in (None, b) for a, b in zip(line, whole, strict=True)):
                yield f"{turn.heading}: {part.chairs[0].name}"


@dataclass(frozen=True)
class Result:
    """What became of one season."""

    sheets: int
    noted: int
    promises: tuple[int, int]
    keys: int
    late: list[str]
    apart: list[str]


def live(kind: Kind, seed: int, rehearsals: int, folder: Path) -> Result:
    """A season of so many rehearsals, others on the calendar falling out."""
    season = Season(kind, folder, random.Random(f"{kind.name} {seed}"))
    held = date = 0
    while held < rehearsals:
        if date not in HOLIDAY and season.chance.random() >= MISSED:
            season.rehearse(held)
            held += 1
        season.day += dt.timedelta(days=2 if date % 2 else 5)
        date += 1
    promised = [page.promise for page, _ in season.pages]
    return Result(
        len(season.pages),
        season.noted,
        (min(promised), max(promised)),
        len(season.keys()),
        list(season.late()),
        season.apart,
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rehearsals", type=int, default=40)
    parser.add_argument("--seeds", type=int, default=3)
    asked = parser.parse_args()
    wrong = 0
    print(f"{'band':28}seed sheets noted   named  keys  late  apart")
    for kind in BANDS:
        for seed in range(asked.seeds):
            with tempfile.TemporaryDirectory() as name:
                found = live(kind, seed, asked.rehearsals, Path(name))
            least, most = found.promises
            print(
                f"{kind.name:28}{seed:4}{found.sheets:7}{found.noted:6}{f'{least}-{most}':>8}{found.keys:6}"
                f"{len(found.late):6}{len(found.apart):7}",
                flush=True,
            )
            for line in (*found.late[:3], *found.apart[:3]):
                print(f"    {line}")
            wrong += len(found.late) + len(found.apart)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
