"""A section as a player: a plan, a list in concert pitch, and a log of its own.

The log lies in a folder of its own within the home, `sections/harbour-street-community-band/`, so that what a band
rehearses never mixes with what its director practises. The folder has the section's name. Where a section file was
given another title, the log that was kept from this very file goes on.

The plan is the one asked for, else the one the section file names (`plan = "band-plan.toml"`, from its folder), else
`plan.toml` in the section's folder of the home, else a built-in plan for a band, for strings or for a choir, by what
most chairs play and at which level most of them are.
"""

import contextlib
from collections import Counter
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from generator.catalogue.players import level_named
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.documents.marked_file import HEAD, MarkedFile
from generator.documents.plan_file import read_plan
from generator.documents.starter import section_starter, starter_file
from generator.errors import MachineError, RequestError
from generator.exercise.articulation import UNSLURRED
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument
from generator.files.home import Home
from generator.files.resources import is_there
from generator.files.text import slug
from generator.practice.band import Band, band_of
from generator.practice.growing_list import GrowingList
from generator.practice.player_session import PlayerSession
from generator.practice.whose_log import SECTIONS, has_sheet, logs_at
from generator.practice_log import PracticeLog
from generator.practice_log.facts import PLAN
from generator.theory.interval import UNISON
from generator.theory.pitch import Pitch

CONCERT_PITCH = "concert pitch"
"""What the log calls the instrument of a band."""
_LONGEST_NAME = 48
# Two octaves from any tonic, the widest that a section plays together, and room below for what turns under it.
_COMPASS = Compass(Pitch.parse("C3"), Pitch.parse("B6"), "two octaves in every key")
# A band's plan is for all its chairs, whose instruments, levels and pages the section file settles.
_NOT_A_BANDS = ("player", "instrument", "level", "low", "high", "show", "syllables")


def open_band(home: Home, file: Path, plan: Path | None = None, level: str | None = None) -> PlayerSession:
    """Read a section, find its log and its plan, and spell the plan out.

    Args:
        home: the home of whoever directs it.
        file: the section file, or a roster.
        plan: asked for in place of the section's own.
        level: of the built-in plan, in place of that of most chairs.

    Raises:
        BadFileError: the section or its plan has mistakes, all of them, one a line.
        RequestError: no such level, or nobody plays.
        OutputError: a file cannot be read.
    """
    band = band_of(file)
    if level:
        band = replace(band, level=level_named(level))
    own = band_home(home, band)
    path = plan or _own_plan(band, own)
    if level and path is not None:
        raise RequestError(
            f"--level chooses the built-in plan, but this section has its own, {path}; leave it out"
        )
    player = _player(band)
    source = path or _starter(band, player)
    read, head = read_plan(source, shared_catalogue(), rows=False)
    if path is not None:
        _refuse_a_players(head)
    read = replace(read, player=band.name)
    lists = GrowingList(head, read, player, own.cache, path is not None, band)
    repertoire = lists.up_to(None)
    head.refuse()
    return PlayerSession(own, path, read, player, repertoire, lists, band=band)


def band_home(home: Home, band: Band) -> Home:
    """Where a section's log and plan are: under its name, or under the name its file had before.

    Raises:
        OutputError: a log cannot be read.
    """
    own = home.within(SECTIONS, _folder_name(band.name))
    if own.log.exists():
        return own
    for log in section_logs(home):
        with contextlib.suppress(MachineError), PracticeLog.open(log) as found:
            if found.facts.get(PLAN) == str(band.file.absolute()):
                return home.within(SECTIONS, log.parent.name)
    return own


def section_logs(home: Home) -> list[Path]:
    """The logs of all sections of a home."""
    return sorted(home.log.parent.glob(f"{SECTIONS}/*/{home.log.name}"))


def section_log_with(home: Home, code: str) -> Path | None:
    """The log of the section that has a sheet of a code; None where no section has, or a player has one too.

    Raises:
        RequestError: several sections have.
    """
    found = [path for path in section_logs(home) if has_sheet(path, code)]
    if not found or any(has_sheet(path, code) for path in logs_at(home).values()):
        return None
    if len(found) > 1:
        names = " and ".join(path.parent.name for path in found)
        raise RequestError(f"{names} both have a sheet {code.strip().upper()}; say which with --section FILE")
    return found[0]


@dataclass(frozen=True, slots=True)
class NewPlan:
    """Where a new plan of a section belongs, and the built-in one it begins with."""

    path: Path
    starter: Path


def new_plan_for(home: Home, file: Path, level: str | None = None) -> NewPlan:
    """Where a new plan of a section belongs: where its file says, else within the home.

    Args:
        home: the home of whoever directs it.
        file: the section file, or a roster.
        level: of the built-in plan, in place of that of most chairs.

    Raises:
        RequestError: the section has mistakes, or there is no such level.
    """
    band = band_of(file)
    if level:
        band = replace(band, level=level_named(level))
    path = file.parent / band.section.plan if band.section.plan else band_home(home, band).plan
    return NewPlan(path, _starter(band, _player(band)))


def _own_plan(band: Band, own: Home) -> Path | None:
    if band.section.plan:
        path = band.file.parent / band.section.plan
        if not is_there(path):
            raise RequestError(
                f"{band.file.name}: plan: there is no file {path}; write one with: "
                f"scalewright plan new --section {band.file}"
            )
        return path
    return own.plan if is_there(own.plan) and own.plan.is_file() else None


def _refuse_a_players(file: MarkedFile) -> None:
    for field in _NOT_A_BANDS:
        if field in file.data:
            file.fault(
                HEAD, field, f"{field}: the plan of a section has none; its chairs are in the section file"
            )


def _starter(band: Band, player: Player) -> Path:
    if player.instrument.unpitched:
        return starter_file(band.level)
    return section_starter(band.level, band.kind)


def _player(band: Band) -> Player:
    """Who stands for all: somebody who reads concert pitch; for percussion alone one of them."""
    chairs = band.section.chairs
    if all(chair.unpitched for chair in chairs):
        return chairs[0].player
    winds: Counter[str] = Counter()
    for chair in chairs:
        wind = chair.player.instrument.wind
        winds[wind] += chair.copies if wind not in UNSLURRED else 0
    wind = winds.most_common(1)[0][0]
    instrument = Instrument(
        name=CONCERT_PITCH,
        label="Concert pitch",
        short="",
        family="",
        wind=wind,
        order=0,
        sounds=UNISON,
        clefs=("treble",),
        ottava=False,
        levels=tuple((level, _COMPASS) for level in LEVELS),
    )
    return Player(instrument, band.level, _COMPASS)


def _folder_name(name: str) -> str:
    """A folder for a section, another one for each name, whatever letters it is written in."""
    stem = slug(name, _LONGEST_NAME)
    plain = sum(character.isalnum() for character in name)
    if sum(character.isalnum() for character in stem) >= plain:
        return stem
    return f"{stem}-{sha256(name.encode()).hexdigest()[:6]}"
