"""The pupils of a studio, each a player with a list and a log of their own."""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.plan import Plan
from generator.documents.plan_file import read_plan
from generator.documents.starter import starter_file
from generator.documents.studio import Pupil, Studio
from generator.errors import RequestError, shown
from generator.exercise.build import Player
from generator.files.home import Home
from generator.practice.growing_list import GrowingList, OwnRows
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import SheetRecord, sheet_called
from generator.practice.today import DayRequest, TodaysPage, todays_page
from generator.practice.week_ahead import pages_ahead
from generator.practice_log import PracticeLog


@dataclass(frozen=True, slots=True)
class PupilWeek:
    """What a pupil is to play.

    Attributes:
        pupil: who.
        session: plan, instrument and list.
        pages: a sheet for each day.
    """

    pupil: Pupil
    session: PlayerSession
    pages: tuple[TodaysPage, ...]

    @property
    def codes(self) -> tuple[str, ...]:
        """Of the sheets."""
        return tuple(page.sheet.code for page in self.pages)


def home_of_pupil(root: Home, pupil: Pupil) -> Home:
    """The home of one pupil: a log of their own, and the passages of the studio."""
    own = root.log.parent / "pupils" / pupil.folder
    cache = root.cache / "pupils" / pupil.folder
    return Home(own / root.log.name, own / root.plan.name, cache, root.passages)


def log_path(root: Home, pupil: Pupil) -> Path:
    """The log of a pupil."""
    return home_of_pupil(root, pupil).log


def open_pupil(root: Home, pupil: Pupil) -> PlayerSession:
    """Read a pupil's list.

    What the studio says of a pupil goes before what the plan says; level and range of a plan count for its own
    instrument alone, as everywhere.

    Args:
        root: the home of the studio.
        pupil: who.

    Raises:
        BadFileError: the plan has mistakes.
        RequestError: the instrument cannot have the limits.
        OutputError: the plan cannot be read.
    """
    home = home_of_pupil(root, pupil)
    source = pupil.plan or starter_file(pupil.level or "standard")
    plan, head = read_plan(source, shared_catalogue(), rows=False)
    player = _player(pupil, plan)
    plan = replace(
        plan,
        player=pupil.name,
        instrument=player.instrument.name,
        minutes=pupil.minutes or plan.minutes,
        reader=pupil.reader or plan.reader,
        lists=() if pupil.keep else plan.lists,
    )
    own = OwnRows(pupil.keep, pupil.week) if pupil.keep or pupil.week else None
    lists = GrowingList(head, plan, player, home.cache, strict=False, own=own)
    repertoire = lists.up_to(None)
    head.refuse()
    return PlayerSession(home, pupil.plan, plan, player, repertoire, lists)


def _player(pupil: Pupil, plan: Plan) -> Player:
    if pupil.level or pupil.low or pupil.high or plan.instrument != pupil.instrument:
        return player_named(
            pupil.instrument, pupil.level or "standard", pupil.low or None, pupil.high or None
        )
    return player_named(pupil.instrument, plan.level or "standard", plan.low or None, plan.high or None)


def pupil_week(root: Home, pupil: Pupil, request: DayRequest, days: int) -> PupilWeek:
    """The sheets of some days, noted in the pupil's log: the first is that of the day, the others a forecast.

    Args:
        root: the home of the studio.
        pupil: who; a number of sheets a week of their own makes fewer.
        request: for the first day; codes of the other pupils are among those taken.
        days: how many.

    Raises:
        RequestError: there is nothing to play, or the plan has mistakes.
        OutputError: a file cannot be read, or the log cannot be written.
    """
    session = open_pupil(root, pupil)
    wanted = min(days, pupil.days or days)
    first = todays_page(session, request)
    more = pages_ahead(session, request, first.sheet, wanted) if wanted > 1 else ()
    return PupilWeek(pupil, session, (first, *more))


def sheet_of(root: Home, studio: Studio, code: str, until: dt.date) -> tuple[Pupil, SheetRecord]:
    """Whose sheet has a code.

    Raises:
        RequestError: nobody's, or several pupils'.
        OutputError: a log cannot be read.
    """
    found: list[tuple[Pupil, SheetRecord]] = []
    for pupil in studio.pupils:
        path = log_path(root, pupil)
        if path.exists():
            with PracticeLog.open(path) as log:
                sheet = sheet_called(log, code, until)
            if sheet is not None:
                found.append((pupil, sheet))
    if len(found) == 1:
        return found[0]
    if found:
        told = " and ".join(pupil.label for pupil, _ in found)
        raise RequestError(f"{told} both have a sheet {shown(code.upper())}; say whose with --pupil")
    raise RequestError(f"no pupil has a sheet {shown(code.upper())}; it stands at the foot of each page")


def only(studio: Studio, name: str | None) -> Studio:
    """The studio with one pupil alone; with all of them where nobody is named.

    Raises:
        RequestError: there is nobody of that name.
    """
    return studio if name is None else replace(studio, pupils=(studio.find(name),), refused=())
