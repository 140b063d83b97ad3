"""The same exercises for a whole section: a part for every chair, a score, a cover."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from generator.catalogue.tables import shared_catalogue
from generator.documents.roster import ROSTERS, read_roster
from generator.documents.section import Section, at_levels, from_names
from generator.documents.section_file import read_section
from generator.engraving.parallel import Progress
from generator.errors import RequestError
from generator.passage.named import is_drill
from generator.passage.store import Passages
from generator.practice.required_handout import required_handout
from generator.publish.handout import HandedOut, HandoutOrder, hand_out
from generator.section.choir import has_chorale, parted
from generator.section.defaults import with_defaults
from generator.section.rehearsal import Rehearsal, first_key, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.together import Together
from generator.section.warm_up import warm_up as warm_up_turns
from generator.theory.written_key import Keys

if TYPE_CHECKING:
    from generator.passage.kept import KeptPassage


def handout(
    *phrases: str,
    section: Section | Path | str,
    order: HandoutOrder | None = None,
    own_range: bool = False,
    exact: bool = False,
    keys: Keys = "fewest",
    levels: tuple[str, ...] = (),
    together: Together = "fold",
    warm_up: int = 0,
    progress: Progress = lambda _done, _all: None,
    passages: Passages | None = None,
) -> HandedOut:
    """Print a part for every chair in its own written key, clef and range, lined up bar for bar.

    Args:
        phrases: in concert keys unless they say "written".
        section: who plays: a section, a section file (.toml), a roster (.csv, .xlsx), or ``flute, 2 clarinet, tuba``.
        order: folder, formats, score and the like; by default PDFs in a folder of ``out``.
        own_range: each chair plays its own widest range; bars do not line up then, and there is no score.
        exact: refuse a span that does not fit everyone.
        keys: which of two names of a written key is read: the fewest signs, sharps or flats.
        levels: the page once at each of these levels, same bars; a chair's own limits hold at every level.
        together: chairs that lack notes of the others ``fold`` the line by octaves, or ``leave out`` notes, or all
            ``narrow`` down to what everyone has.
        warm_up: minutes of a warm-up that comes first; 0 for none.
        progress: told how many documents of how many are done.
        passages: the conductor's own, for phrases like "drill chorale".

    Raises:
        RequestError: a phrase cannot be read, a file has mistakes, or nothing fits everyone.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    chairs = section if isinstance(section, Section) else _section(section)
    plan = RehearsalPlan(
        phrases, own_range=own_range, exact=exact, keys=keys, levels=levels, together=together,
        kept=passages_of(phrases, passages),
    )  # fmt: skip
    order, rehearsal = prepared(chairs, plan, order or HandoutOrder(), warm_up)
    return hand_out(order, rehearsal, progress)


def listed_handout(
    name: str,
    *,
    section: Section,
    order: HandoutOrder,
    here: Path,
    draw: int = 0,
    chance: Random | None = None,
    progress: Progress = lambda _done, _all: None,
) -> tuple[HandedOut, tuple[str, ...]]:
    """Print for every chair what a required list asks of its instrument, or a draw common to all.

    Args:
        name: of the list, or the path of a file.
        section: who plays.
        order: folder, formats, score and the like.
        here: the current folder, from which a path is meant.
        draw: how many exercises to draw; 0 takes all.
        chance: for the draw.
        progress: told how many documents of how many are done.

    Returns:
        What was written, and what is to be said about it, one line each.

    Raises:
        RequestError: no such list, it is for none of the instruments, or it is shorter than the draw.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    listed = required_handout(name, section, here, draw, chance)
    order = _for_section(replace(order, title=order.title or listed.title), section)
    order = replace(order, note=" ".join(w for w in (order.note, listed.note) if w))
    return hand_out(order, listed.rehearsal, progress), listed.told


def prepared(
    chairs: Section, plan: RehearsalPlan, order: HandoutOrder, warm_up: int = 0
) -> tuple[HandoutOrder, Rehearsal]:
    """A handout before anything is engraved: how it is printed, and the page of every chair.

    Args:
        chairs: who plays.
        plan: what.
        order: how to print.
        warm_up: minutes of a warm-up that comes first; 0 for none.

    Raises:
        RequestError: a phrase cannot be read, or nothing fits everyone.
    """
    if plan.levels:
        chairs = at_levels(chairs, plan.levels)
    plan = with_defaults(plan, chairs)
    if has_chorale([phrase for phrase in plan.phrases if not is_drill(phrase)]):
        chairs = parted(chairs)
    before = warm_up_turns(seats_of(chairs), first_key(plan), warm_up, plan) if warm_up else ()
    rehearsal = rehearse(chairs, plan, before)
    return _for_section(order, chairs), rehearsal


def _for_section(order: HandoutOrder, chairs: Section) -> HandoutOrder:
    """With the words of the section."""
    note = order.band_note or chairs.note
    return replace(order, band=order.band or chairs.title, band_note=note)


def passages_of(phrases: Sequence[str], passages: Passages | None) -> "tuple[KeptPassage, ...]":
    """The passages that the drills among some phrases name.

    Args:
        phrases: as said.
        passages: where they are kept, or None.

    Raises:
        UnknownNameError: there is none of a name, with the nearest ones.
        RequestError: a phrase or a passage's file cannot be read.
    """
    asked = [phrase for phrase in phrases if is_drill(phrase)]
    if not asked:
        return ()
    # Few handouts hold a passage.
    from generator.passage.request import parse_drill  # noqa: PLC0415

    if passages is None:
        raise RequestError(
            "no passages are kept here; keep one with: scalewright passage keep NAME FILE --concert"
        )
    return tuple({name: passages.find(name) for name in (parse_drill(one).name for one in asked)}.values())


def _section(named: Path | str) -> Section:
    instruments = shared_catalogue().instruments
    if isinstance(named, str):
        return from_names(named, "standard", instruments)
    if named.suffix.casefold() in ROSTERS:
        return read_roster(named)
    return read_section(named, instruments)
