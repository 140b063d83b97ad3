"""A page of one's own choice, kept in the log so that what was played of it can be noted by its code."""

import datetime as dt
from collections.abc import Iterator, Sequence

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import undressed
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.phrase.read import parse
from generator.phrase.write import canonical
from generator.practice.asking import line_name
from generator.practice.duration_estimate import minutes_of
from generator.practice.sheet_record import SheetRecord, SheetRow
from generator.practice_log import PracticeLog
from generator.rotation import RULE_VERSION

MOST = 120
"""Exercises of a page that is kept; more than that is a book, and nobody plays a book in a day."""


def keep_page(
    log: PracticeLog, code: str, player: Player, exercises: Sequence[Exercise], day: dt.date, recorded_at: str
) -> bool:
    """Keep a printed page under its code, once a day.

    Its plays count for the exercises of the plan whose lines they are; of itself it asks and promises nothing.

    Args:
        log: the player's log.
        code: as printed.
        player: for whom.
        exercises: in order.
        day: the day it was printed.
        recorded_at: the moment, as `utc_text` writes it.

    Returns:
        Whether it is kept; a book is not.

    Raises:
        OutputError: the log cannot be written.
    """
    if not code or len(exercises) > MOST:
        return False
    rows = tuple(row for one in exercises for row in _rows(one, player))
    if not rows:  # the passage alone, which has no number on its page
        rows = tuple(_row(one, player) for one in exercises[:1])
    page = SheetRecord(
        code=code,
        instrument=player.instrument.name,
        day=day,
        number=0,
        mark="",
        level=player.level,
        low=player.compass.low.name,
        high=player.compass.high.name,
        minutes=sum(row.minutes for row in rows),
        rest=0,
        promise=0,
        rows=rows,
        notes=(),
        rule=RULE_VERSION,
    )
    log.append([page.entry(recorded_at)])
    return True


def _rows(made: Exercise, player: Player) -> Iterator[SheetRow]:
    """A row for each number on the page: of a drill's page the rows of numbers to join have one too."""
    if not made.recipe:
        yield _row(made, player)
    elif made.called != "":
        yield _row(made, player)
        if made.called and any(heading[:1].isdecimal() for heading, _ in made.beneath):
            yield _row(made, player)


def _row(made: Exercise, player: Player) -> SheetRow:
    line, goal = _drill(made) if made.recipe else _line(made)
    tempo = made.tempo.bpm if made.tempo else None
    return SheetRow(
        item=f"{player.instrument.name}: {line}",
        phrase=made.phrase,
        floor=False,
        minutes=minutes_of(made),
        reason="",
        rest_after=0,
        aim=tempo,
        goal=goal or (None if made.recipe else tempo),
    )


def _line(made: Exercise) -> tuple[str, int | None]:
    """What the log calls an exercise, and the tempo worked towards."""
    request = parse(made.phrase, shared_catalogue())
    return line_name(canonical(undressed(request))), request.goal


def _drill(made: Exercise) -> tuple[str, int | None]:
    """The same of a passage of the player's own."""
    from generator.passage.request import canonical_drill, parse_drill  # noqa: PLC0415  # few sheets have a passage

    return canonical_drill(parse_drill(made.phrase).bare), made.tempi[-1] if made.tempi else None
