"""Exercises from phrases, and what can be printed of them: a sheet, a book, a picture of each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from generator.engraving.lilypond import Press
from generator.engraving.parallel import Progress
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.passage.named import is_drill
from generator.passage.store import Passages
from generator.phrase import expand
from generator.phrase.ways import USUAL, Ways
from generator.publish.book import Bound, bind
from generator.publish.cropped import INSTEAD_OF_CLIPS, MOST_CLIPS, print_clips
from generator.publish.press import press_for
from generator.publish.sheet import INSTEAD_OF_A_SHEET, SheetOrder, most_of, print_sheet


@dataclass(frozen=True, slots=True)
class Sheet:
    """What was printed.

    Attributes:
        paths: files written, in order.
        code: sheet code, as in the footer; "" for pictures.
        exercises: in order.
        refused: phrase and reason of each single request that could not be carried out.
        warnings: lines for the person.
    """

    paths: tuple[Path, ...]
    code: str
    exercises: tuple[Exercise, ...]
    refused: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()


def exercises(
    *phrases: str,
    player: Player,
    exact: bool = False,
    syllables: Sequence[str] = (),
    ways: Ways = USUAL,
) -> tuple[Exercise, ...]:
    """Build every exercise that some phrases ask for, in written pitch.

    Args:
        phrases: as musicians say them: ``G major in thirds, two octaves``.
        player: for whom, see `player`.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables, in place of tu and ku.
        ways: what the player's plan settles about phrases, such as which minor a bare minor is.

    Raises:
        RequestError: a phrase cannot be read, or nothing of it fits.

    >>> from generator import exercises, player
    >>> scale = exercises("F major, one octave, quarters", player=player("tuba"))[0]
    >>> " ".join(pitch.name for pitch in scale.pitches)
    'F1 G1 A1 Bb1 C2 D2 E2 F2 E2 D2 C2 Bb1 A1 G1 F1'
    """
    return expand.exercises(phrases, player, exact=exact, syllables=tuple(syllables), ways=ways).exercises


def sheet(
    *phrases: str,
    player: Player,
    order: SheetOrder | None = None,
    exact: bool = False,
    syllables: Sequence[str] = (),
    press: Press | None = None,
    ways: Ways = USUAL,
    passages: Passages | None = None,
) -> Sheet:
    """Print a sheet: PDF, pictures, LilyPond text, MusicXML, MIDI, sound or JSON.

    Args:
        phrases: what to print; a key that does not fit is left out and told in the result.
        player: for whom.
        order: folder, formats, paper, title and the like; by default a PDF in ``out`` under the current folder.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables.
        press: a LilyPond started with the same formats by `press_for`; without it one is started first of all.
        ways: what the player's plan settles about phrases, such as which minor a bare minor is.
        passages: the player's own, for phrases like "drill scherzo".

    Raises:
        RequestError: a phrase cannot be read, nothing of it fits, or it asks for more than a sheet holds.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    order = order or SheetOrder()
    with press_for(order.formats, press) as ready:
        build = partial(
            expand.exercises,
            player=player,
            exact=exact,
            syllables=tuple(syllables),
            most=most_of(order.formats),
            instead=INSTEAD_OF_A_SHEET,
            ways=ways,
        )
        if any(map(is_drill, phrases)):
            from generator.api.drills import with_drills  # noqa: PLC0415  # few sheets have a passage

            built = with_drills(phrases, player, passages, build)
        else:
            built = build(phrases)
        done = print_sheet(order, player, built.exercises, ready)
    return Sheet(done.paths, done.code, built.exercises, built.refused, done.warnings)


def pictures(
    *phrases: str,
    player: Player,
    order: SheetOrder | None = None,
    exact: bool = False,
    syllables: Sequence[str] = (),
    progress: Progress = lambda _done, _all: None,
    ways: Ways = USUAL,
    passages: Passages | None = None,
) -> Sheet:
    """Print each exercise as a picture of its own, cut to the music.

    Args:
        phrases: what to print; a key that does not fit is left out and told in the result.
        player: for whom.
        order: folder, pictures among pdf, png and svg, paper and the like.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables.
        progress: told how many of how many are done.
        ways: what the player's plan settles about phrases, such as which minor a bare minor is.
        passages: the player's own, for phrases like "drill scherzo"; each way to drill one is a picture.

    Raises:
        RequestError: as `sheet`, and for a format that is no picture.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    build = partial(
        expand.exercises,
        player=player,
        exact=exact,
        syllables=tuple(syllables),
        most=MOST_CLIPS,
        instead=INSTEAD_OF_CLIPS,
        ways=ways,
    )
    if any(map(is_drill, phrases)):
        from generator.api.drills import with_drills  # noqa: PLC0415  # few pictures are of a passage

        built = with_drills(phrases, player, passages, build, apart=True)
    else:
        built = build(phrases)
    done = print_clips(order or SheetOrder(), player, built.exercises, progress)
    return Sheet(done.paths, done.code, built.exercises, built.refused, done.warnings)


def book(
    *phrases: str,
    player: Player,
    order: SheetOrder | None = None,
    exact: bool = False,
    syllables: Sequence[str] = (),
    progress: Progress = lambda _done, _all: None,
    tell: Callable[[str], None] = lambda _line: None,
    ways: Ways = USUAL,
) -> Bound:
    """Bind hundreds of exercises as one PDF with contents, bookmarks and running heads.

    Args:
        phrases: a chapter each; a key that does not fit is left out and told in the result.
        player: for whom.
        order: folder, title, paper and the like.
        exact: refuse a span that does not fit instead of narrowing it.
        syllables: a player's own tonguing syllables.
        progress: told how many pages of how many are done.
        tell: told before the work begins what a large book will come to, in words.
        ways: what the player's plan settles about phrases, such as which minor a bare minor is.

    Raises:
        RequestError: a phrase cannot be read, nothing of it fits, or the book would be too large.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    if any(map(is_drill, phrases)):
        raise RequestError(
            "a book is made of scales; print a drill on a sheet of its own, with: scalewright drill NAME"
        )
    order = order or SheetOrder()
    return bind(
        order, player, phrases, progress, tell=tell, exact=exact, syllables=tuple(syllables), ways=ways
    )
