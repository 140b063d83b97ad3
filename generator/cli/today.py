"""``scalewright today``: the exercises that are due, each with its reason."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.api.days import Today
from generator.api.days import today as todays_sheet
from generator.api.week import Week, week
from generator.cli import clock, options
from generator.cli.messages import Message, hush, put_out, tell
from generator.errors import RequestError
from generator.exchange.playback import Playback
from generator.files.atomic import place
from generator.files.loading import loading
from generator.pages.own_page import OwnPage
from generator.practice.circumstances import Mood
from generator.practice.player_session import PlayerOptions
from generator.practice.week_ahead import MOST_DAYS
from generator.practice.words import promise_words
from generator.publish.sheet import FORMATS, SheetOrder, parse_formats
from generator.rotation.words import count, long_day, weekday

HTML = "html"
"""The one format that is a page for a screen and no printed one."""


def today(
    date: options.Day = None,
    minutes: options.Minutes = None,
    instrument: options.Instrument = None,
    level: options.PlanLevel = None,
    low: options.Low = None,
    high: options.High = None,
    plan: options.PlanFile = None,
    section: options.Together = None,
    sheet_number: Annotated[
        int, typer.Option("--sheet-number", min=1, max=20, help="2 for a second sheet the same day.")
    ] = 1,
    hold_together: Annotated[
        bool, typer.Option("--hold-together", help="The slowest key sets the tempo of its row.")
    ] = False,
    days: Annotated[
        int, typer.Option("--days", min=1, max=MOST_DAYS, help="The sheets of so many days, as a forecast.")
    ] = 1,
    silent: Annotated[
        bool, typer.Option("--silent", help="Others sleep: what can be worked without a sound.")
    ] = False,
    easy: Annotated[
        bool, typer.Option("--easy", help="After an illness or a long day: less, what you know, slower.")
    ] = False,
    out: options.Out = Path("out"),
    format_: Annotated[
        str,
        typer.Option(
            "--format", "-f", help="pdf, png, svg, ly, musicxml, midi, wav, json, html; several with commas."
        ),
    ] = "pdf",
    paper: options.PlanPaper = None,
    print_: options.PlanPrint = None,
    staff: options.Staff = None,
    landscape: options.Landscape = None,
    show: options.PlanShow = None,
    fingerings: options.Fingerings = False,
    hints: options.Hints = None,
    title: options.Title = "",
    note: options.Note = "",
    click: options.Click = "every",
    drone: options.Drone = "none",
    pitch: options.Pitch = 440,
    count_in: options.CountIn = 1,
    midi_each: options.MidiEach = False,
    home: options.HomeFolder = None,
    no_cache: options.NoCache = False,
    studio: options.StudioFile = None,
    pupil: options.PupilName = None,
    two_sided: Annotated[
        bool, typer.Option("--two-sided", help="With --studio: every pupil begins on a sheet of their own.")
    ] = False,
    quiet: options.Quiet = False,
) -> None:
    """Print today's sheet: what has waited longest and what is due, inside your notes and minutes."""
    hush(quiet)
    if days > 1 and (silent or easy or hold_together or sheet_number > 1):
        raise RequestError(
            "--days prints usual sheets; leave out --silent, --easy, --hold-together, --sheet-number"
        )
    if section is not None:
        with loading():
            # A player alone needs none of it.
            from generator.cli import today_together  # noqa: PLC0415
        today_together.refuse_alone(
            ("--instrument", instrument), ("--low", low), ("--high", high), ("--silent", silent),
            ("--show", show), ("--click", click != "every"), ("--drone", drone != "none"),
            ("--pitch", pitch != 440), ("--count-in", count_in != 1), ("--midi-each", midi_each),
            ("--studio", studio), ("--pupil", pupil), ("--two-sided", two_sided),
        )  # fmt: skip
        today_together.print_together(
            section,
            today_together.Asked(
                date=date, days=days, minutes=minutes, level=level, plan=plan, number=sheet_number,
                together=hold_together, easy=easy, paper=paper, size=print_,
                own_page=OwnPage(staff, landscape), home=home, quiet=quiet,
            ),
            today_together.order_of(
                out, format_, title, note, options.cache(home, off=no_cache),
                options.hand_help(hints, fingerings=fingerings),
            ),
        )  # fmt: skip
        return
    asked = PlayerOptions(plan, instrument, level, low, high, options.DEFAULT_INSTRUMENT)
    formats = parse_formats(format_, (*FORMATS, HTML))
    if HTML in formats and (days > 1 or show not in (None, "notes")):
        raise RequestError(
            "--format html is the sheet of one day with its notes; leave out --days and --show"
        )
    order = SheetOrder(
        out=out,
        formats=tuple(name for name in formats if name != HTML),
        title=title,
        note=note,
        playback=Playback.asked(click, drone, pitch, count_in, each=midi_each),
        cache=options.cache(home, off=no_cache),
        help=options.hand_help(hints, fingerings=fingerings),
    )
    shown = show if show is None else options.show_named(show)
    if studio is not None or pupil is not None or two_sided:
        # Loaded for teachers alone.
        from generator.cli.studio import print_for_studio  # noqa: PLC0415

        others: dict[str, object] = {
            "--instrument": instrument,
            "--level": level,
            "--low": low,
            "--high": high,
            "--plan": plan,
        }
        others |= {"--silent": silent, "--easy": easy, "--hold-together": hold_together}
        others |= {"--sheet-number": sheet_number > 1, "--format": formats != ("pdf",), "--title": title}
        print_for_studio(
            studio,
            [name for name, said in others.items() if said],
            order,
            pupil=pupil,
            days=days,
            day=clock.day_named(date),
            minutes=minutes,
            paper=paper,
            size=print_,
            own_page=OwnPage(staff, landscape),
            show=shown,
            two_sided=two_sided,
            home=home,
            quiet=quiet,
        )
        return
    if days > 1:
        _print_week(
            week(
                clock.now(),
                days,
                day=clock.day_named(date),
                home=home,
                player=asked,
                minutes=minutes,
                order=order,
                paper=paper,
                size=print_,
                own_page=OwnPage(staff, landscape),
                show=shown,
            )
        )
        return
    done = todays_sheet(
        clock.now(),
        day=clock.day_named(date),
        home=home,
        player=asked,
        minutes=minutes,
        number=sheet_number,
        together=hold_together,
        mood=Mood(silent, easy) if silent or easy else None,
        paper=paper,
        size=print_,
        own_page=OwnPage(staff, landscape),
        show=shown,
        order=order,
    )
    tell((*_lines(done), *(Message(warning, loud=True) for warning in done.printed.warnings)))
    for path in done.printed.paths:
        put_out(path)
    if HTML in formats:
        put_out(_one_file(done, pitch, out))


def _one_file(done: Today, pitch: int, out: Path) -> Path:
    """The sheet as a page for any device, without a server."""
    with loading():
        from generator.api.one_sheet import file_name, sheet_data  # noqa: PLC0415  # no other format needs them
        from generator.publish.screen import ScreenPress  # noqa: PLC0415
        from generator.stand.one_file import one_file  # noqa: PLC0415
    with ScreenPress() as press:
        text = one_file(sheet_data(done, pitch, press))
    return place(text.encode(), out / file_name(done))


def _print_week(done: Week) -> None:
    """A line for each day, then the files."""
    for page in done.pages:
        sheet = page.sheet
        said = f"{weekday(sheet.day)} {long_day(sheet.day)}: sheet {sheet.code}, {count(len(sheet.rows), 'exercise')}"
        tell([Message(f"{said}, {count(sheet.minutes, 'minute')}")])
    tell(
        [
            Message(
                "a forecast from the second day on; note what you played with: scalewright played all --sheet CODE"
            )
        ]
    )
    tell(Message(warning, loud=True) for warning in done.printed.warnings)
    for path in done.printed.paths:
        put_out(path)


def _lines(done: Today) -> Iterator[Message]:
    """A line for each exercise, then the promise, then what else is good to know."""
    page, session = done.page, done.session
    for number, exercise in enumerate(page.exercises, 1):
        yield Message(f"{number}. {exercise.heading}: {exercise.reason}")
        for line in exercise.notes:
            yield Message(f"   {line}")
    sheet = page.sheet
    rest = f", {sheet.rest} of them rest" if sheet.rest else ""
    once_more = "printed again; " if page.again else ""
    yield Message(
        f"sheet {sheet.code}: {once_more}{count(sheet.minutes, 'minute')}{rest}; {promise_words(sheet)}"
    )
    for _, text in sheet.notes:
        yield Message(text)
    for line in page.remarks:
        yield Message(line, loud=True)
    if page.unfit:
        phrase, reason = page.unfit[0]
        more = f", and {len(page.unfit) - 1} more (see: scalewright plan show)" if len(page.unfit) > 1 else ""
        yield Message(f"left out: {phrase}: {reason}{more}")
    if session.path is None:
        yield Message(
            f"this is the starter plan, for {session.player.instrument.name}"
            + ("; say what you play with --instrument" if session.guessed else "")
            + "; make your own with: scalewright plan new"
        )
    elif session.guessed:
        yield Message(f"the plan names no instrument: written for {session.player.instrument.name}")
