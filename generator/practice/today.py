"""Today's sheet: chosen once from the list and the log, kept in the log, and printed from what is kept.

The first print and every reprint go the same way, from the stored rows, so the same day gives the same sheet whatever
was played meanwhile. Other minutes, another level or a changed plan make another sheet; it leaves out what was played
today already. A sheet of a day gone by is printed as it was whatever the plan says now, unless other minutes or another
level are asked for.
"""

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from generator.catalogue.players import player_named
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.passage.named import apart
from generator.phrase import expand
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.practice.aims import open_aims, standings_in
from generator.practice.asking import line_id
from generator.practice.changes import played_on, record_changes
from generator.practice.circumstances import USUAL, Circumstances, Mood, circumstances
from generator.practice.growth import as_grown
from generator.practice.line_log import events_of_list
from generator.practice.log_care import daily_care
from generator.practice.player_session import PlayerSession
from generator.practice.sheet_record import (
    SheetRecord,
    SheetRow,
    code_for,
    note_printed,
    sheets_of,
    unread_sheets,
)
from generator.practice.terms import terms_of, usual_minutes
from generator.practice.upkeep import Upkeep, upkeep_due
from generator.practice.wardrobe import Wardrobe
from generator.practice.whose_log import note_player
from generator.practice.words import thread_words, told_reason
from generator.practice_log import PracticeLog, utc_text
from generator.rotation import (
    RULE_VERSION,
    DaySheet,
    Event,
    Item,
    Remark,
    Topic,
    plan_sheet,
)


@dataclass(frozen=True, slots=True)
class DayRequest:
    """When and what is asked.

    Attributes:
        day: the day of the sheet.
        clock: today by the clock.
        moment: now, with its time zone.
        minutes: instead of the plan's, or None.
        number: 2 for a second sheet the same day.
        together: the slowest key sets the tempo of its row.
        mood: no sound, or no strength.
        otherwise: other minutes or another level or range than usual are asked for, so a sheet that is kept for a
            day gone by is not what is meant.
        taken: codes that are others' sheets already.
    """

    day: dt.date
    clock: dt.date
    moment: dt.datetime
    minutes: int | None = None
    number: int = 1
    together: bool = False
    mood: Mood = USUAL
    otherwise: bool = False
    taken: tuple[str, ...] = ()

    @property
    def today(self) -> str:
        """The day, as the log writes it."""
        return self.day.isoformat()


@dataclass(frozen=True, slots=True)
class TodaysPage:
    """A sheet ready to print.

    Attributes:
        sheet: as the log keeps it.
        player: for whom, at the level it was made for.
        exercises: in order.
        again: it was made earlier.
        unfit: phrase and reason of what the instrument or level cannot carry.
        remarks: what is good to know about the log.
    """

    sheet: SheetRecord
    player: Player
    exercises: tuple[Exercise, ...]
    again: bool
    unfit: tuple[tuple[str, str], ...] = ()
    remarks: tuple[str, ...] = ()


def todays_page(session: PlayerSession, request: DayRequest) -> TodaysPage:
    """Choose today's sheet, or take the one that was chosen before, and build its exercises.

    Raises:
        RequestError: there is nothing to play, with the reason.
        OutputError: the log cannot be read or written.
    """
    with PracticeLog.open(session.home.log) as log:
        session = as_grown(session, log, request.day)
        mark = _mark(session, request)
        before = sheets_of(log, request.day, None)
        instrument = session.player.instrument.name
        remarks = unread_sheets(log, request.day, instrument)
        file = session.band.file if session.band else session.path
        remarks += note_player(log, session.plan.player, file, instrument)
        kept = request.day < request.clock and not request.otherwise
        for sheet in reversed(before):
            same = (sheet.instrument, sheet.number) == (instrument, request.number)
            if same and (kept or sheet.mark == mark):
                try:
                    player = session.player if session.band else _player(sheet)
                    exercises = rebuilt(sheet, player, session.plan.syllables)
                except RequestError as error:  # it came from elsewhere, or the words have changed since
                    remarks.append(f"sheet {sheet.code} in the log cannot be printed again: {error}")
                    continue
                note_printed(log, sheet)
                remarks += daily_care(log, request.clock)  # the run that chose it may have been cut short
                return TodaysPage(sheet, player, exercises, again=True, remarks=tuple(remarks))
        sheet, exercises = _chosen(session, request, log, before, mark)
        log.append([sheet.entry(utc_text(request.moment))])
        note_printed(log, sheet)
        remarks += daily_care(log, request.clock)
    return TodaysPage(
        sheet,
        session.player,
        exercises,
        again=False,
        unfit=session.repertoire.unfit,
        remarks=tuple(remarks),
    )


def _player(sheet: SheetRecord) -> Player:
    """For whom a sheet was made."""
    if sheet.level in LEVELS:
        return player_named(sheet.instrument, sheet.level)
    return player_named(sheet.instrument, low=sheet.low, high=sheet.high)


def _mark(session: PlayerSession, request: DayRequest) -> str:
    plan = session.plan
    minutes = request.minutes or plan.minutes
    together = request.together or plan.together
    known = (session.repertoire.mark, session.player.compass.words, minutes)
    parts = (*known, plan.minutes, plan.share, plan.names, plan.theme, together)
    # Two sections may rehearse the same on one day, and a code shall lead to one of them.
    whose = session.home.log.parent.name if session.band else ""
    told = [*map(str, parts), *filter(None, [request.mood.words, whose])]
    return sha256("\x1f".join(told).encode()).hexdigest()[:16]


def _passage_again(row: SheetRow, player: Player) -> Exercise:
    from generator.passage.planned import visit_again  # noqa: PLC0415  # few days have a passage

    return visit_again(row.phrase, row.text, player)


def rebuilt(sheet: SheetRecord, player: Player, syllables: tuple[str, ...]) -> tuple[Exercise, ...]:
    """The exercises of a stored sheet, from their phrases."""
    names = shared_catalogue()
    return tuple(
        _with_reason(
            _passage_again(row, player)
            if row.text
            else expand.build_single(parse(row.phrase, names, LOGGED), player, syllables=syllables),
            row,
            sheet,
        )
        for row in sheet.rows
    )


def with_reasons(exercises: Iterable[Exercise], sheet: SheetRecord) -> tuple[Exercise, ...]:
    """The exercises of a sheet, each with the line under its heading."""
    return tuple(_with_reason(made, row, sheet) for made, row in zip(exercises, sheet.rows, strict=True))


def _with_reason(exercise: Exercise, row: SheetRow, sheet: SheetRecord) -> Exercise:
    return replace(exercise, reason=told_reason(row, sheet.rows))


def _chosen(
    session: PlayerSession, request: DayRequest, log: PracticeLog, before: Sequence[SheetRecord], mark: str
) -> tuple[SheetRecord, tuple[Exercise, ...]]:
    """A new sheet.

    Args:
        session: the player.
        request: what is asked.
        log: the log; what has changed on the list is noted in it.
        before: every sheet of the day so far, of all instruments, for no two may have one code.
        mark: what the sheet is chosen from.
    """
    instrument = session.player.instrument.name
    items = session.repertoire.items(request.day)
    events = events_of_list(log, session.repertoire, items.ids)
    now = utc_text(request.moment)
    if record_changes(log, items, events, request.day, request.clock, now, instrument):
        events = events_of_list(log, session.repertoire, items.ids)
    earlier = {
        sheet.number: sheet
        for sheet in before
        if sheet.instrument == instrument and sheet.number < request.number
    }
    missing = request.number - 1 - len(earlier)
    already = {line_id(row.item, instrument) for sheet in earlier.values() for row in sheet.rows}
    already |= played_on(events, request.day)
    special = circumstances(session, items, events, request.day, request.minutes, request.mood)
    upkeep = upkeep_due(log, session.repertoire, events, request.day) if special.usual else ()
    aims = open_aims(standings_in(log, session.repertoire, request.day))
    chosen = choose(
        session,
        items,
        events,
        replace(request, minutes=special.planned),
        number=1 + missing,
        already=already | special.left_out,
        upkeep=upkeep,
        aims=aims,
    )
    wardrobe = Wardrobe(session, request, log, events, upkeep, special.slower, aims)
    worn = special.worn(wardrobe.dress(chosen, items))
    if session.band:  # what is left of the minutes goes by between exercises, while somebody speaks
        worn = [(replace(row, rest_after=0), made) for row, made in worn]
    rows = tuple(row for row, _ in worn)
    taken = [*(sheet.code for sheet in before), *request.taken]
    code = code_for(request.day, [instrument, request.number, mark, *rows], taken)
    plays = sum(event.kind == "play" for event in events)
    notes = tuple(
        (str(note.topic), note.text)
        for note in chosen.notes
        if special.tells(note.topic) and _tells(note, items, plays)
    )
    sheet = replace(_record(session, request, chosen, special, mark), code=code, rows=rows)
    sheet = replace(sheet, notes=(*special.notes, *notes))
    return sheet, tuple(_with_reason(made, row, sheet) for row, made in worn)


def _record(
    session: PlayerSession, request: DayRequest, chosen: DaySheet, special: Circumstances, mark: str
) -> SheetRecord:
    """What is kept of a sheet, but for its code, its rows and what is told of them."""
    return SheetRecord(
        code="",
        instrument=session.player.instrument.name,
        day=request.day,
        number=request.number,
        mark=mark,
        level=session.player.level,
        low=session.player.compass.low.name,
        high=session.player.compass.high.name,
        minutes=special.real(chosen.playing_minutes + chosen.rest_minutes),
        rest=special.real(chosen.rest_minutes),
        promise=chosen.promise if request.number == 1 and special.usual and not chosen.given_to else 0,
        rows=(),
        notes=(),
        rule=RULE_VERSION,
        usual=usual_minutes(session, request.minutes),
        thread=thread_words(session.plan.theme, chosen.thread),
        given_to=chosen.given_to,
        mood=special.mood.words,
    )


def _tells(note: Remark, items: Sequence[Item], plays: int) -> bool:
    """Whether a sentence says something: the load rests on ratings, which a new list does not have yet."""
    return note.topic is not Topic.LOAD or 2 * plays > len(items)


def choose(
    session: PlayerSession,
    items: Sequence[Item],
    events: Sequence[Event],
    request: DayRequest,
    *,
    number: int = 1,
    already: Collection[str] = (),
    upkeep: Sequence[Upkeep] = (),
    aims: Collection[str] = (),
) -> DaySheet:
    """What the rotation puts on a sheet.

    Args:
        session: the player.
        items: the list.
        events: the log.
        request: what is asked.
        number: 2 for a second sheet the same day.
        already: ids to leave out besides.
        upkeep: what is to be kept alive today.
        aims: ids of what is to be ready soon.

    Raises:
        RequestError: nothing, with the reason.
    """
    plan = session.plan
    sheet = plan_sheet(
        items,
        events,
        request.day,
        request.minutes or plan.minutes,
        number=number,
        already=already,
        upkeep=frozenset().union(*(one.item_ids for one in upkeep)),
        aims=aims,
        **terms_of(session, request.minutes),
    )
    if not sheet.rows:
        raise RequestError(" ".join(note.text for note in sheet.notes) or "There is nothing to play.")
    return _parted(sheet, session)


def _parted(sheet: DaySheet, session: PlayerSession) -> DaySheet:
    """The sheet with other work between two passages, and its rests where they were."""
    order = apart([session.repertoire.name_of(row.item_id) for row in sheet.rows])
    if order == sorted(order):
        return sheet
    rests = [row.rest_after for row in sheet.rows]
    rows = [sheet.rows[place] for place in order]
    return replace(
        sheet, rows=tuple(replace(row, rest_after=rest) for row, rest in zip(rows, rests, strict=True))
    )
