"""Single exercises as pictures, cut down to the music: for slides and other people's pages."""

from functools import partial

from generator.engraving.include import ENGRAVED, house_style
from generator.engraving.parallel import AT_A_TIME, Job, Progress, engrave_all
from generator.engraving.render import render_clips
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.files.atomic import place_in
from generator.files.resources import data_folder
from generator.files.text import slug
from generator.pages.sheet import Words, lay_out
from generator.publish.codes import sheet_code
from generator.publish.fingering import help_code, helped
from generator.publish.sheet import Printed, SheetOrder, syllables

RESOLUTION = 300  # dots an inch: sharp when a slide is as wide as the page
# Slides of a whole term; more files at once are a mistake, and take LilyPond minutes.
MOST_CLIPS = 500
INSTEAD_OF_CLIPS = f"pictures are made of {MOST_CLIPS} at once; ask for fewer"
# Pictures of one run of LilyPond.
RUN = 24


def print_clips(
    order: SheetOrder,
    player: Player,
    exercises: tuple[Exercise, ...],
    progress: Progress = lambda _done, _all: None,
) -> Printed:
    """Print each exercise as a picture of its own, named by its number and heading.

    Args:
        order: how to print; of the formats only pdf, png and svg.
        player: for whom.
        exercises: in order.
        progress: told how many of how many are done.

    Raises:
        RequestError: another format is asked for.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    files, warnings = make_clips(order, player, exercises, progress)
    return Printed(place_in(order.out, files), "", warnings)


def make_clips(
    order: SheetOrder,
    player: Player,
    exercises: tuple[Exercise, ...],
    progress: Progress = lambda _done, _all: None,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The pictures of `print_clips` by file name, and lines for the person; nothing is placed.

    Raises:
        RequestError: another format is asked for.
        MachineError: LilyPond failed.
    """
    other = [name for name in order.formats if name not in ENGRAVED]
    if other:
        raise RequestError(f"--crop makes pictures: {', '.join(ENGRAVED)}, not {other[0]}")
    templates = data_folder("templates")
    exercises, bare = helped(exercises, player.instrument, order.help)
    show = "notes" if order.show == "both" else order.show
    # The same exercise asked for twice is one picture.
    stems = {_stem(order, player, exercise): exercise for exercise in exercises}
    jobs = []
    for at in range(0, len(stems), RUN):
        run = tuple(stems)[at : at + RUN]
        sheet = lay_out([stems[stem] for stem in run], Words("", ""), order.paper, show)
        text = partial(render_clips, sheet, run, templates)
        jobs.append(Job(text, run, crop=True, resolution=RESOLUTION))
    # A LilyPond that stays saves a third of each run, but its own start pays only from the third run on.
    alike = len(jobs) > AT_A_TIME
    files, warnings = engrave_all(
        jobs, house_style(templates), order.formats, progress, order.cache, alike=alike
    )
    names = [f"{stem}.{kind}" for stem in stems for kind in order.formats]
    return {name: files[name] for name in names}, (*warnings, *bare)


def _stem(order: SheetOrder, player: Player, exercise: Exercise) -> str:
    """Name of a picture: the same for the same exercise, another for another."""
    whose = (player.instrument.name, player.compass.words)
    code = sheet_code(
        [exercise.phrase, *syllables([exercise]), *whose, order.paper, order.show, *help_code(order.help)]
    )
    return f"{slug(exercise.heading, 48)}-{slug(player.instrument.name, 32)}-{code.lower()}"
