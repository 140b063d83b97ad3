"""What a row of a plan asks of a line: how far it goes, where it lies, what it wears, how fast, how often.

A line is known by key, form, figure and degree. Whatever else a request says is asked of the line and can change
from one time to the next. A play meets what is asked if it was printed so, or over a longer span.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import get_args

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing, undressed
from generator.exercise.figure import Direction
from generator.exercise.request import EVERY, Request, row_name
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE, REGISTERS
from generator.practice.former_names import may_be_former, renamed
from generator.rotation import Event


@dataclass(frozen=True, slots=True)
class Asking:
    """One thing asked of a line.

    Attributes:
        span: name of the span.
        direction: which halves, and which first.
        register: where on the instrument.
        inside: no note beyond home and top.
        dressing: what it wears in turn, how fast, how often.
        until: last day on which it is asked, as a date, or "".
        listed: name of the dated list that asks, or "".
    """

    span: str
    direction: str
    register: str
    inside: bool
    dressing: Dressing
    until: str = ""
    listed: str = ""

    @classmethod
    def of(cls, request: Request, dressing: Dressing, until: str = "", listed: str = "") -> "Asking":
        """What a single request without dressing asks of its line."""
        return cls(
            request.span.name, request.direction, request.register, request.inside, dressing, until, listed
        )

    @property
    def every(self) -> int | None:
        """Wanted gap in practice days."""
        return self.dressing.every

    @property
    def goal(self) -> int | None:
        """Beats per minute worked towards."""
        return self.dressing.goal

    @property
    def minutes(self) -> int | None:
        """Length on the sheet, where the row says it."""
        return self.dressing.minutes

    @property
    def heavy(self) -> bool | None:
        """High or loud, where the row says it."""
        return self.dressing.heavy

    def lasts(self, day: str) -> bool:
        """Whether it is still asked on a day."""
        return not self.until or self.until >= day

    def on(self, line: Request) -> Request:
        """The line as it is asked for, without dressing."""
        if isinstance(line.form, Routine):
            return line
        span = shared_catalogue().spans.find(self.span)
        return replace(
            line,
            span=span,
            direction=self.direction,  # type: ignore[arg-type]
            register=self.register,  # type: ignore[arg-type]
            inside=self.inside,
        )

    def is_met_by(self, played: Request, *, bare: bool = False) -> bool:
        """Whether a play, as it was printed, is what is asked, or a longer span of it.

        Args:
            played: the request on the sheet.
            bare: without any articulation it is met too, for where none that is asked suits, nothing is printed.
        """
        spans = [row.name for row in shared_catalogue().spans.rows]
        wider = spans.index(played.span.name) - spans.index(self.span)
        lies = played.register == self.register or (wider < 0 and played.span.full)
        if wider > 0 or not lies or played.direction != self.direction:
            return False
        dressing = self.dressing
        if EVERY not in dressing.rhythms and row_name(played.rhythm) not in (dressing.rhythms or ("",)):
            return False
        return played.metre == dressing.metre and self._is_stroked(played, bare=bare)

    def _is_stroked(self, played: Request, *, bare: bool) -> bool:
        strokes = (row_name(played.articulation), row_name(played.articulation_down))
        asked = self.dressing.articulations
        if strokes == ("", ""):
            return bare or not asked
        return strokes in asked or any(up == EVERY for up, _ in asked)


def line_of(request: Request) -> Request:
    """The line of a single request: without what can be asked of it."""
    if isinstance(request.form, Routine):
        return undressed(request)
    own = (request.figure and request.figure.span) or FULL_RANGE
    plain = Request(request.form)
    return replace(
        undressed(request),
        span=own,
        direction=plain.direction,
        register=plain.register,
        inside=plain.inside,
    )


@cache
def _clauses() -> frozenset[str]:
    """What a canonical phrase says of span, direction and register."""
    spans = (row.name for row in shared_catalogue().spans.rows)
    registers = (f"from the {name}" for name in REGISTERS)
    return frozenset((*spans, *registers, *get_args(Direction), "inside the span"))


def line_name(name: str) -> str:
    """The name of the line of an exercise as older logs call it, with its span and register.

    >>> line_name("G major in thirds, two octaves, from the second degree")
    'G major in thirds, from the second degree'
    """
    head, *clauses = name.split(", ")
    asked = _clauses()
    return ", ".join((head, *(clause for clause in clauses if clause not in asked)))


def line_id(item_id: str, instrument: str) -> str:
    """What the log calls the line of an exercise that an older log may call otherwise.

    >>> line_id("flute: G major, one octave", "flute"), line_id("a march, in two", "flute")
    ('flute: G major', 'a march, in two')
    >>> line_id("flute: G dominant seventh, one octave", "flute")
    'flute: dominant seventh of G'
    """
    before = f"{instrument}: "
    if not _may_differ(item_id) or not item_id.startswith(before):
        return item_id
    return before + line_name(renamed(item_id[len(before) :]))


def _may_differ(item_id: str) -> bool:
    return ", " in item_id or may_be_former(item_id)


def _has_clauses(item_id: str, line: str) -> bool:
    """Whether an older name says more than the line, such as a span."""
    return item_id.count(", ") > line.count(", ")


def by_line(events: Iterable[Event], instrument: str, known: Iterable[str] = ()) -> list[Event]:
    """The log with every exercise under the name of its line.

    An older log may have one line several times, each with its span. All plays count for the line; that one of the
    spans left the list says nothing about the line, so those entries are left out. A line that only has another name
    today is the same line in everything.

    Args:
        events: the log.
        instrument: whose.
        known: names that are those of lines for sure, to save the trouble.
    """
    entries = list(events)
    unknown = {event.item for event in entries if event.item}.difference(known)
    lines = {item: line_id(item, instrument) for item in unknown if _may_differ(item)}
    lines = {item: line for item, line in lines.items() if line != item}
    if not lines:
        return entries
    return [
        event._replace(item=lines[event.item]) if event.item in lines else event
        for event in entries
        if event.kind != "item_out"
        or event.item not in lines
        or not _has_clauses(event.item, lines[event.item])
    ]
