"""The sheet that ``scalewright drill`` prints: of a passage that is kept, of a file, or of a typed line."""

from pathlib import Path

from generator.api.drills import PassageSource, drill, read_passage
from generator.catalogue.players import player_named
from generator.cli import options
from generator.cli.asked_drill import AskedDrill
from generator.cli.kept_page import kept_page
from generator.cli.messages import Message, put_out, tell
from generator.engraving.lilypond import Press
from generator.errors import RequestError
from generator.exchange.playback import Playback
from generator.exercise.build import Player
from generator.files.home import Home
from generator.pages.paper import Paper
from generator.passage.kept import KeptPassage
from generator.passage.named import WORD
from generator.passage.request import DrillRequest, parse_drill
from generator.passage.store import Passages
from generator.practice.whose_log import instrument_played_last
from generator.publish.sheet import SheetOrder, parse_formats


def print_drill(asked: AskedDrill, press: Press | None) -> None:
    """Print it, and tell where it lies.

    Args:
        asked: what was typed.
        press: a LilyPond that gets ready.

    Raises:
        GeneratorError: as for each step; nothing half-written is left.
    """
    order = SheetOrder(
        out=asked.out,
        formats=parse_formats(asked.formats),
        paper=Paper.of(asked.paper, asked.print_size),
        title=asked.title,
        note=asked.note,
        playback=Playback.asked("every", "none", 440, 1, each=False),
        cache=options.cache(asked.home, off=asked.no_cache),
    )
    places = Home.at(asked.home)
    fallback = asked.instrument or instrument_played_last(places) or options.DEFAULT_INSTRUMENT
    player = player_named(fallback, asked.level, asked.low, asked.high)
    kept, request = _passage_of(asked, player, Passages(places.passages))
    if not asked.instrument and kept.instrument:
        fallback = kept.instrument  # who kept it plays it
        player = player_named(fallback, asked.level, asked.low, asked.high)
    done = drill(kept, request, player, order, press)
    lines = [] if asked.instrument else [Message(f"no --instrument given: written for {fallback}")]
    lines += [Message(f"left out: {line}") for line in done.left_out]
    if places.passages.is_dir() and _is_kept(Passages(places.passages), kept):
        lines += kept_page(places, done.code, player, done.exercises)
    tell((*lines, *(Message(warning, loud=True) for warning in done.warnings)))
    for path in done.paths:
        put_out(path)


def _passage_of(asked: AskedDrill, player: Player, passages: Passages) -> tuple[KeptPassage, DrillRequest]:
    """The passage, and what is asked of it."""
    only = f", {asked.only}" if asked.only else ""
    if asked.passage is not None and not asked.notes and not _is_file(asked.passage):
        request = parse_drill(f"{WORD} {asked.passage}{only}")
        if asked.bars or asked.part or asked.key or asked.goal or asked.hard:
            raise RequestError(
                "--bars, --part, --key, --goal and --hard belong to a file; a kept passage has its own"
            )
        return passages.find(request.name), request
    source = PassageSource(
        file=Path(asked.passage) if asked.passage is not None else None,
        notes=asked.notes, bars=asked.bars, part=asked.part, key=asked.key,
    )  # fmt: skip
    kept = read_passage(source, player, goal=asked.goal, hard=asked.hard, quickly=True)
    return kept, parse_drill(f"{WORD} {kept.name}{only}")


def _is_file(text: str) -> bool:
    """Whether words name a file rather than a passage that is kept: there is one, or they end like one."""
    ending = Path(text).suffix.casefold()
    try:
        return Path(text).exists() or ending[1:] in {
            "musicxml",
            "mxl",
            "xml",
            "abc",
            "mid",
            "midi",
            "krn",
            "mei",
        }
    except OSError:
        return False


def _is_kept(passages: Passages, kept: KeptPassage) -> bool:
    return any(one.name == kept.name for one in passages.all())
