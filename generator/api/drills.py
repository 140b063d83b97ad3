"""Drills of a player's own passages: kept by name, and printed as a sheet of their own or beside other exercises."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generator.engraving.lilypond import Press
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.passage.drill import Drilled, drilled
from generator.passage.for_chair import written_for
from generator.passage.kept import KeptPassage, checked_name, goal_of, spot_of, text_of
from generator.passage.named import is_drill
from generator.passage.request import DrillRequest, parse_drill
from generator.passage.scales import scales_of
from generator.passage.source import ReadPassage, read_file, read_line
from generator.passage.store import Passages
from generator.phrase.expand import Built
from generator.phrase.vocabulary import UNIT_NAMES
from generator.publish.codes import sheet_code
from generator.publish.press import press_for
from generator.publish.sheet import SheetOrder, print_sheet

FOOTER = "three clean, then another place"


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageSource:
    """Where a passage comes from: a file or a typed line.

    Attributes:
        file: path of a file, or None.
        notes: a line of ABC, or "".
        bars: range of bars, or "".
        part: part of a score, or "".
        key: key of a MIDI file, or "".
    """

    file: Path | None = None
    notes: str = ""
    bars: str = ""
    part: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class DrillSheet:
    """What was printed.

    Attributes:
        paths: files written, in order.
        code: sheet code.
        exercises: in order.
        left_out: a line about each recipe that makes no sense for this passage.
        warnings: lines for the person.
    """

    paths: tuple[Path, ...]
    code: str
    exercises: tuple[Exercise, ...]
    left_out: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def read_passage(
    source: PassageSource, player: Player, *, name: str = "", words: str = "", goal: int | None = None,
    hard: str = "", concert: bool = False, quickly: bool = False,
) -> KeptPassage:  # fmt: skip
    """Read a passage and give it name, source line, goal and hard spot; nothing is kept yet.

    Args:
        source: file or typed line.
        player: for whom its pitches are written.
        name: what it is to be called; else as its source calls itself.
        words: where it is from, in the player's words.
        goal: beats per minute worked towards.
        hard: bar and beat of the hard spot, like "99.3".
        concert: its pitches are concert pitch, for every chair of a section.
        quickly: look for its scales among the commonest alone.

    Raises:
        RequestError: it cannot be drilled; the line names the bar and what can be done.
        OutputError: it cannot be read.
    """
    found = _read(source, player)
    passage = found.passage
    tune = found.tune
    called = name or found.title or "passage"
    spot = hard or (tune.said("hard") if tune else "")
    spot_of(passage, spot)
    sounding = concert or bool(tune and tune.said("pitch") == "concert")
    bpm = goal if goal is not None else tune.goal if tune else None
    return KeptPassage(
        checked_name(called if name else _plain(called)),
        passage,
        words or (tune.source if tune else ""),
        goal_of(bpm, passage),
        spot,
        player.instrument.name,
        sounding,
        tuple(f"concert {one}" if sounding else one for one in scales_of(passage, quickly=quickly)),
    )


def _plain(title: str) -> str:
    """A title without what parts a phrase."""
    return (
        " ".join("".join(c if c not in ",;:/\\" else " " for c in title).split())[:60].strip("-. ")
        or "passage"
    )


def _read(source: PassageSource, player: Player) -> ReadPassage:
    if bool(source.notes) == bool(source.file):
        raise RequestError("say which music: a file, or a line of notes with --notes")
    if source.file is not None:
        return read_file(source.file, source.bars, source.part, player.instrument, source.key)
    if source.bars or source.part:
        raise RequestError("--bars and --part choose from a file; a typed line is taken whole")
    return read_line(source.notes)


def for_player(kept: KeptPassage, player: Player) -> KeptPassage:
    """A passage as this player reads it: one in concert pitch is transposed and put into their octave."""
    return written_for(kept, player) if kept.concert else kept


def drill(
    kept: KeptPassage,
    request: DrillRequest,
    player: Player,
    order: SheetOrder | None = None,
    press: Press | None = None,
) -> DrillSheet:
    """Print the sheet of one passage.

    Args:
        kept: the passage.
        request: which recipes, how fast.
        player: for whom.
        order: folder, formats, paper, title and the like.
        press: a LilyPond started with the same formats.

    Raises:
        RequestError: none of the recipes makes sense.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    order = order or SheetOrder()
    mine = for_player(kept, player)
    with press_for(order.formats, press) as ready:
        foot = "" if request.recipes else "; ".join(mine.scales)
        made = drilled(mine, request, player, scales=foot)
        done = print_sheet(drill_order(order, mine, request, player), player, made.exercises, ready)
    return DrillSheet(done.paths, done.code, made.exercises, made.left_out, done.warnings)


def drill_order(order: SheetOrder, kept: KeptPassage, request: DrillRequest, player: Player) -> SheetOrder:
    """The order with the words of a drill's page, and a code that another passage of the same name does not have."""
    name = kept.name[:1].upper() + kept.name[1:]
    goal = f"goal {_beat(kept)} = {kept.goal.bpm}" if kept.goal else ""
    code = sheet_code(
        [text_of(kept), request, player.instrument.name, player.compass.words, order.paper, order.title]
    )
    return replace(
        order,
        title=order.title or f"Drill: {name}, {kept.passage.name}",
        subtitle=" \u00b7 ".join(w for w in (order.subtitle, kept.source, goal) if w),
        code=order.code or code,
        footer=order.footer or FOOTER,
    )


def _beat(kept: KeptPassage) -> str:
    return next((name for name, value in UNIT_NAMES.items() if value == kept.beat), str(kept.beat))


def as_one(made: Drilled) -> Exercise:
    """The music of a drill as one exercise of a page with others: under one number."""
    first, *rest = (replace(one, called=None) for one in made.exercises)
    name = parse_drill(first.phrase).name
    first = replace(first, head=f"{name[:1].upper()}{name[1:]}: {first.head[:1].lower()}{first.head[1:]}")
    return replace(first, follows=tuple(replace(one, called="") for one in rest))


def drill_of_phrase(phrase: str, player: Player, passages: Passages) -> Exercise:
    """The one exercise that a drill phrase asks for on a page with others.

    Raises:
        RequestError: it cannot be read, there is no such passage, or nothing of it makes sense.
    """
    return as_one(_drilled(phrase, player, passages))


def recipes_of_phrase(phrase: str, player: Player, passages: Passages) -> tuple[Exercise, ...]:
    """The same, each recipe as an exercise of its own.

    Raises:
        RequestError: as `drill_of_phrase`.
    """
    return tuple(replace(one, called=None) for one in _drilled(phrase, player, passages).exercises)


def _drilled(phrase: str, player: Player, passages: Passages) -> Drilled:
    request = parse_drill(phrase)
    return drilled(for_player(passages.find(request.name), player), request, player, numbered=False)


def with_drills(
    phrases: Sequence[str],
    player: Player,
    passages: Passages | None,
    built: Callable[[tuple[str, ...]], Built],
    *,
    apart: bool = False,
) -> Built:
    """The exercises of some phrases, drills among them, in order.

    Args:
        phrases: as said.
        player: for whom.
        passages: the player's own, or None where there are none.
        built: makes the exercises of phrases that are no drills.
        apart: each way to drill a passage is an exercise of its own.

    Raises:
        RequestError: as for each of them alone.
    """
    made: list[Exercise] = []
    refused: list[tuple[str, str]] = []
    for phrase in phrases:
        if not is_drill(phrase):
            one = built((phrase,))
            made += one.exercises
            refused += one.refused
            continue
        try:
            if passages is None:
                raise RequestError("only a sheet or a day's page holds drills of a passage of your own")
            if apart:
                made += recipes_of_phrase(phrase, player, passages)
            else:
                made.append(drill_of_phrase(phrase, player, passages))
        except DoesNotFitError as error:
            if len(phrases) == 1:
                raise
            refused.append((phrase, str(error)))
    return Built(tuple(made), tuple(refused))
