"""A playing test of a section: candidates' sheets, score sheets, a mark book, and the marks added up."""

from dataclasses import replace
from pathlib import Path
from random import Random

from generator.documents.section import Section
from generator.engraving.parallel import Progress
from generator.errors import RequestError
from generator.passage.named import is_drill
from generator.practice.required_handout import required_scales
from generator.publish.handout import HandoutOrder
from generator.publish.playing_tests import PrintedTest, print_test
from generator.section.audition import Audition
from generator.section.playing_tests import assembled, audition
from generator.section.rehearsal_plan import RehearsalPlan
from generator.theory.written_key import Keys


def playing_test(
    *phrases: str,
    section: Section,
    order: HandoutOrder,
    keys: Keys = "fewest",
    listed: tuple[str, Path] | None = None,
    draw: int = 0,
    seed: int | None = None,
    numbers: bool = False,
    progress: Progress = lambda _done, _all: None,
) -> tuple[PrintedTest, Audition]:
    """Print a playing test; each candidate plays the complete octaves of their own notes.

    Args:
        phrases: what is played; else what the section's file says.
        section: who is tested.
        order: folder, paper and the like.
        keys: which of two names of a written key is read.
        listed: a required list in place of phrases, and the folder from which a path is meant.
        draw: how many exercises of the list to draw; 0 takes all.
        seed: of the draw and of the numbers.
        numbers: candidates have numbers in place of names.
        progress: told how many documents of how many are done.

    Raises:
        RequestError: nothing is asked for, a phrase cannot be read, or nothing of it fits anybody.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    if any(map(is_drill, phrases)):
        raise RequestError("the marks of a playing test are for scales; print the passage without --test")
    chance = Random(seed) if numbers else None  # noqa: S311  # whose turn it is, not a secret
    if listed:
        title, note, scales, told = required_scales(listed[0], section, listed[1], draw, Random(seed))  # noqa: S311
        order = replace(
            order,
            title=order.title or section.test.title or f"Playing test: {title}",
            note=" ".join(w for w in (order.note, note) if w),
        )
        made = assembled(section, scales, chance)
        made = replace(made, told=(*told, *made.told))
    elif phrases or section.test.items:
        made = audition(section, RehearsalPlan(phrases, keys=keys), chance)
    else:
        raise RequestError(
            "say what is played, like 'concert F major', or ask for a --list, or write [[test_item]] rows into the "
            "section file"
        )
    order = replace(order, band=order.band or section.title, band_note=order.band_note or section.note)
    return print_test(order, section, made, seed if numbers else None, progress), made
