"""What ``scalewright handout`` does once its options are read."""

from generator.catalogue.percussion import all_instruments
from generator.catalogue.tables import shared_catalogue
from generator.cli.again import cache_at
from generator.cli.asked import Asked
from generator.cli.messages import remark, say
from generator.cli.progress_bar import bar
from generator.documents.section import Section, at_levels, from_names
from generator.documents.section_file import read_roster, read_section
from generator.errors import RequestError, shown
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.publish.handout import HandoutOrder, export, hand_out
from generator.publish.sheet import parse_formats
from generator.section.rehearsal import Rehearsal, first_key, rehearse, seats_of
from generator.section.turns import RehearsalPlan
from generator.section.warm_up import warm_up
from generator.section.written_key import KEYS


def run(asked: Asked) -> None:
    """Read the section, make its pages, print them, and say where they are.

    Raises:
        RequestError: what was asked for cannot be done.
        MachineError: LilyPond or the disk failed.
    """
    section = _section(asked)
    plan = _plan(asked)
    if plan.levels:
        section = at_levels(section, plan.levels)
    before = warm_up(seats_of(section), first_key(plan), asked.warm_up, plan) if asked.warm_up else ()
    order = _order(asked, section)
    rehearsal = rehearse(section, plan, before)
    _say_what_changed(rehearsal)
    with bar(quiet=asked.quiet) as progress:
        done = hand_out(order, rehearsal, progress)
    for warning in done.warnings:
        say(warning)
    if asked.export:
        print(export(done.given, asked.export))
    for path in done.paths:
        print(path)


def _section(asked: Asked) -> Section:
    table = all_instruments(shared_catalogue().instruments, data_folder("shared"))
    if sum(map(bool, (asked.section, asked.instruments, asked.roster))) != 1:
        raise RequestError(
            "say who plays with one of --section FILE, --roster FILE or --instruments 'flute, tuba'"
        )
    if asked.section:
        return read_section(asked.section, table)
    if asked.roster:
        return read_roster(asked.roster, table, asked.level)
    return from_names(asked.instruments, asked.level, table)


def _plan(asked: Asked) -> RehearsalPlan:
    keys = next((k for k in KEYS if k == asked.keys), None)
    if keys is None:
        raise RequestError(f"unknown --keys {shown(asked.keys)}; it can be {', '.join(KEYS)}")
    if not asked.phrases and not asked.warm_up:
        raise RequestError("say what to play, like 'concert B-flat major in thirds', or ask for a --warm-up")
    if asked.test and asked.own_range:
        raise RequestError("a playing test needs the same scales for everyone; leave out --own-range")
    levels = tuple(w.strip() for w in asked.levels.split(",") if w.strip())
    return RehearsalPlan(asked.phrases, asked.own_range, asked.exact, keys, levels)


def _order(asked: Asked, section: Section) -> HandoutOrder:
    return HandoutOrder(
        out=asked.out,
        formats=parse_formats(asked.formats),
        paper=Paper.of(asked.paper, asked.size),
        title=asked.title,
        band=section.title,
        note=" ".join(w for w in (asked.note, section.note) if w),
        score=asked.score,
        concert_score=asked.concert_score,
        test=asked.test,
        two_sided=asked.two_sided,
        cache=cache_at(None, off=asked.no_cache),
    )


def _say_what_changed(rehearsal: Rehearsal) -> None:
    for number, turn in enumerate(rehearsal.turns, 1):
        first = turn.read[0]
        if rehearsal.together and first.asked_span not in ("", "full range", first.span):
            remark(f"{number}. {turn.heading}: {first.asked_span} will not fit everyone; {first.span} will")
    for _, reason in rehearsal.refused:
        say(f"left out: {reason}")
    if not rehearsal.together:
        remark("each chair plays its own range, so there is no score")
