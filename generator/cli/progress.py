"""``scalewright progress``: what has been covered, what is neglected, what got faster; and the week's record."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import clock, options
from generator.cli.messages import hush, put_out, remark, say, show_line
from generator.cli.whose import BOTH, session_of, told_to
from generator.errors import RequestError
from generator.pages.paper import Paper
from generator.practice.player_session import PlayerOptions, PlayerSession
from generator.practice.words import paper_of

_MOST_WEEKS = 1040


def progress(
    since: Annotated[
        str | None, typer.Option("--since", help="First day to look back on; of a record its first day.")
    ] = None,
    weeks: Annotated[
        int | None,
        typer.Option("--weeks", min=1, max=_MOST_WEEKS, help="How many weeks to look back on (usual: 8)."),
    ] = None,
    record: Annotated[bool, typer.Option("--record", help="A page with seven days, to be signed.")] = False,
    tempi: Annotated[
        bool, typer.Option("--tempi", help="A picture of each exercise: its tempo over time and its goal.")
    ] = False,
    date: options.Day = None,
    instrument: options.Instrument = None,
    plan: options.PlanFile = None,
    section: options.Together = None,
    out: options.Out = Path("out"),
    format_: Annotated[
        str | None, typer.Option("--format", "-f", help="Draw it: pdf, png, svg; several with commas.")
    ] = None,
    paper: options.PlanPaper = None,
    studio: options.StudioFile = None,
    pupil: options.PupilName = None,
    home: options.HomeFolder = None,
    quiet: options.Quiet = False,
) -> None:
    """Show what has been covered, what is due and what got faster; with --format, draw it."""
    hush(quiet)
    if record and weeks is not None:
        raise RequestError("a record has seven days; leave out --weeks, and say --since for its first day")
    if record and tempi:
        raise RequestError("--record and --tempi are two pages; ask for one at a time")
    today = clock.day_named(date)
    first = clock.day_named(since) if since else None
    if studio is not None or pupil is not None:
        # Loaded for teachers alone.
        from generator.cli.studio import StudioLook, answer_or_session  # noqa: PLC0415

        if section is not None:
            raise RequestError(BOTH)
        single = {"--plan": plan, "--instrument": instrument, "--record": record, "--tempi": tempi}
        looked = StudioLook(today, first, weeks, format_, out, paper)
        one = answer_or_session(studio, pupil, [name for name, said in single.items() if said], looked, home)
        if one is None:
            return
        session = one
    else:
        session = session_of(
            home, PlayerOptions(plan, instrument, fallback=options.DEFAULT_INSTRUMENT), section
        )
    if session.guessed:
        remark(
            f"no instrument named: this is for {session.player.instrument.name}; say --instrument for another"
        )
    wanted = format_ or ("pdf" if record or tempi else None)
    _answer(
        session,
        today,
        _ProgressRequest(first, weeks, record, tempi, wanted, out, paper_of(session.plan, paper, None)),
    )


@dataclass(frozen=True, slots=True)
class _ProgressRequest:
    """What is asked for; `formats` None is a report in words."""

    since: dt.date | None
    weeks: int | None
    record: bool
    tempi: bool
    formats: str | None
    out: Path
    paper: Paper


def _answer(session: PlayerSession, today: dt.date, request: _ProgressRequest) -> None:
    # Imports stand here on purpose: no other command shall pay for what only this one needs.
    from generator.progress import overview as use_case  # noqa: PLC0415
    from generator.progress.text import nothing_noted, report_lines  # noqa: PLC0415

    formats = use_case.parse_formats(request.formats) if request.formats else ()
    order = use_case.DrawingOrder(request.out, formats, request.paper)
    found = use_case.read_progress(session, today)
    if not found.history.plays:
        remark(nothing_noted(found))
        if not request.record:
            return
    if not formats:
        told = told_to(session)
        for line in report_lines(found, found.report(request.since, request.weeks)):
            show_line(told(line))
        return
    if request.record:
        drawn = use_case.draw_record(found, use_case.record_start(request.since, today), order)
    elif request.tempi:
        drawn = use_case.draw_tempi(found, found.report(request.since, request.weeks), order)
    else:
        drawn = use_case.draw_report(found, found.report(request.since, request.weeks), order)
    for warning in drawn.warnings:
        say(warning)
    for path in drawn.paths:
        put_out(path)
