"""Drills of a player's own passages on a page: looked at recipe by recipe, kept, dropped."""

import re
from dataclasses import dataclass, replace

from generator.api.desk import Desk
from generator.api.drills import PassageSource, for_player, read_passage
from generator.api.exercise_view import View, exercise_view
from generator.api.preview import player_of
from generator.api.sent_files import SentFile
from generator.engraving.render import signs
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.pages.screen import Screen
from generator.passage.drill import Drilled, drilled
from generator.passage.kept import KeptPassage, goal_of, spot_of
from generator.passage.parts import PartError
from generator.passage.request import DrillRequest
from generator.passage.store import Passages

_OPTION, _LIKE, _BEFORE = (
    re.compile(r" with --(\w+)"),
    re.compile(r"\b(like|or) --\w+ "),
    re.compile(r"--(\w+)"),
)
_READ, _DRILLED = "passage read", "passage drilled"


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillAsked:
    """A passage as a page asks for it: a kept one, a typed line or a file.

    Attributes:
        name: of a kept passage, or "".
        notes: a line of ABC, or "".
        file: a file of music, or None.
        bars: range of bars of the file, or "".
        part: part of a score, or "".
        key: key of a MIDI file, or "".
        hard: the hard spot, or ""; for a kept passage None leaves its own.
        goal: tempo worked towards, or None.
        concert: its pitches are concert pitch.
        instrument: whose; the player's own by default.
        level: which; the player's own by default.
    """

    name: str = ""
    notes: str = ""
    file: SentFile | None = None
    bars: str = ""
    part: str = ""
    key: str = ""
    hard: str | None = None
    goal: int | None = None
    concert: bool = False
    instrument: str | None = None
    level: str | None = None


def passages_view(desk: Desk) -> View:
    """The passages that are kept, in the order of the alphabet.

    Raises:
        OutputError: their folder cannot be read.
    """
    return {"passages": [_told(kept) for kept in Passages(desk.home.passages).all()]}


def _told(kept: KeptPassage) -> View:
    return {
        "name": kept.name,
        "place": kept.passage.name,
        "source": kept.source,
        "goal": kept.goal.bpm if kept.goal else None,
        "unit": str(kept.beat.length),
        "hard": kept.hard,
        "instrument": kept.instrument,
        "concert": kept.concert,
        "scales": [signs(one) for one in kept.scales],
    }


def drill_view(desk: Desk, asked: DrillAsked, screen: Screen, at: int = 0) -> View:
    """One recipe of a passage with its pictures, and which others there are.

    Args:
        desk: the desk.
        asked: the passage.
        screen: the room for music.
        at: which recipe, from 0; the last where there are fewer.

    Raises:
        RequestError: it cannot be drilled; the line names the bar and what can be done.
        MachineError: LilyPond failed, or the file cannot be read.
    """
    player, kept = passage_asked(desk, asked)
    made = _made(desk, kept, player)
    at = min(max(0, at), len(made.exercises) - 1)
    exercise = made.exercises[at]
    pages = desk.press.all_pictures(exercise, screen)
    return {
        **_told(kept),
        "kept": asked.name != "",
        "player": player.instrument.name,
        "recipes": [{"recipe": one.recipe, "heading": signs(one.heading)} for one in made.exercises],
        "left_out": [*made.left_out],
        "at": at,
        "count": len(made.exercises),
        **exercise_view(exercise, player, desk.settings().a4, *pages),
    }


def passage_asked(desk: Desk, asked: DrillAsked) -> tuple[Player, KeptPassage]:
    """The player, and the passage as they read it.

    Raises:
        RequestError: as `drill_view`.
        OutputError: it cannot be read.
    """
    player = player_of(desk, asked.instrument, asked.level)
    if asked.name:
        own = Passages(desk.home.passages).find(asked.name)
        return player, for_player(_changed(own, asked), player)
    with desk.lock:
        remembered = desk.memory.get(_READ)
        if remembered is None or remembered[0] != (asked, player):
            remembered = desk.memory[_READ] = (asked, player), _read(asked, player)
    return player, for_player(remembered[1], player)


def _changed(kept: KeptPassage, asked: DrillAsked) -> KeptPassage:
    """A kept passage with another goal or hard spot, where the page says one."""
    if asked.goal is not None:
        kept = replace(kept, goal=goal_of(asked.goal, kept.passage))
    if asked.hard is not None:
        spot_of(kept.passage, asked.hard)
        kept = replace(kept, hard=asked.hard)
    return kept


def _read(asked: DrillAsked, player: Player, name: str = "", words: str = "") -> KeptPassage:
    try:
        if asked.file is None:
            return _given(asked, PassageSource(notes=asked.notes), player, name, words)
        with asked.file.on_disk() as path:
            source = PassageSource(file=path, bars=asked.bars, part=asked.part, key=asked.key)
            return _given(asked, source, player, name, words)
    except RequestError as error:
        if isinstance(error, PartError):
            raise PartError(_in_page_words(str(error)), error.parts) from None
        raise RequestError(_in_page_words(str(error))) from None


def _given(asked: DrillAsked, source: PassageSource, player: Player, name: str, words: str) -> KeptPassage:
    return read_passage(
        source, player, name=name, words=words, goal=asked.goal, hard=asked.hard or "",
        concert=asked.concert, quickly=not name,
    )  # fmt: skip


def _in_page_words(line: str) -> str:
    """A refusal without the options of the command line: the page has a field of the same name for each.

    >>> _in_page_words("choose some with --bars, like --bars 10-14")
    'choose some (bars), like 10-14'
    """
    return _BEFORE.sub(r"\1", _LIKE.sub(r"\1 ", _OPTION.sub(r" (\1)", line)))


def _made(desk: Desk, kept: KeptPassage, player: Player) -> Drilled:
    with desk.lock:
        remembered = desk.memory.get(_DRILLED)
        if remembered is None or remembered[0] != (kept, player):
            made = drilled(kept, DrillRequest(kept.name), player)
            remembered = desk.memory[_DRILLED] = (kept, player), made
    found: Drilled = remembered[1]
    return found


def keep_passage(desk: Desk, asked: DrillAsked, name: str, words: str = "") -> View:
    """Keep a passage under a name; one of the same name is replaced.

    Args:
        desk: the desk.
        asked: the passage.
        name: what it is to be called.
        words: where it is from, in the player's words.

    Raises:
        RequestError: as `drill_view`, or that is no name.
        OutputError: it cannot be written.
    """
    passages = Passages(desk.home.passages)
    if asked.name:
        own = _changed(passages.find(asked.name), asked)
        kept = replace(own, name=name, source=words or own.source)
    else:
        kept = _read(asked, player_of(desk, asked.instrument, asked.level), name, words)
    with desk.lock:
        passages.keep(kept)
    return {"kept": kept.name, "phrase": f"drill {kept.name}", **passages_view(desk)}


def drop_passage(desk: Desk, name: str) -> View:
    """Take a passage away; a sheet that was printed of it stays as it is.

    Raises:
        UnknownNameError: there is none.
        OutputError: it cannot be removed.
    """
    with desk.lock:
        Passages(desk.home.passages).drop(name)
    return {"dropped": name, **passages_view(desk)}
