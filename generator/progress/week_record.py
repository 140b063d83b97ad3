"""A week's practice record on one page, to be read and signed: seven days, what was played, tempi, minutes.

It always fits one page. Where there is too much, the lines run on, then the letters get smaller, then the tempi go, and
at last each day names only as many exercises as there is room for and counts the others; the page says so.
"""

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.progress.drawing import HAIR, TIED, Drawing, Line, Mark, Measure, Text, wrapped
from generator.progress.drawn_page import (
    Frame,
    Heading,
    fitting,
    foot,
    head,
    key_text,
    phrase_text,
)
from generator.progress.history import ExerciseName
from generator.progress.report import WEEK, Play
from generator.rotation.words import count, day_and_month, long_day, weekday

_SIZE, _SMALL, _SMALLEST = 10.5, 9.5, 9.0  # points
_LINE = 0.45  # millimetres for each point of size
_DAY, _MINUTES, _GAP = 31.0, 18.0, 4.0  # millimetres: the columns beside what was played
_SEPARATOR = f"{TIED}· "  # a line may end with the dot, not begin with it
BOXES = {False: "\u2610", True: "\u2612"}  # an empty box, and a box with a cross
_LOWEST_ROW, _FOOT = 15.0, 52.0
_MOST_AIMS, _AIM = 5, 5.0
_NO_TEMPI = "Shortened to fit one page: tempi left out."
_COUNTED = "Shortened to fit one page: tempi left out, some exercises counted instead of named."


@dataclass(frozen=True, slots=True)
class Played:
    """One kind of exercise on one day.

    Attributes:
        kind: the phrase without key.
        keys: each with the highest tempo noted that day, or None.
        ticked: for each key whether it was played; empty on a day for which nothing was printed.
    """

    kind: str
    keys: tuple[tuple[str, int | None], ...]
    ticked: tuple[bool, ...] = ()

    def words(self, *, tempi: bool) -> str:
        """``Major in thirds: E♭ 84, A♭``, with boxes where there are some; the kind alone without a key."""
        boxes = [BOXES[one] for one in self.ticked] or [""] * len(self.keys)
        parts = [
            TIED.join(filter(None, (box if key else "", key, str(bpm) if tempi and bpm else "")))
            for box, (key, bpm) in zip(boxes, self.keys, strict=True)
        ]
        told = ", ".join(filter(None, parts))
        if told and any(key for key, _ in self.keys):
            return f"{phrase_text(self.kind)}: {told}"
        alone = TIED.join(filter(None, (boxes[0], phrase_text(self.kind))))
        return f"{alone}: {told}" if told else alone


@dataclass(frozen=True, slots=True)
class RecordDay:
    """One day of the record.

    Attributes:
        day: its date.
        played: what was played, in the order of playing, and what was to be played besides.
        minutes: noted, or None.
        open: the day has not come yet; its lines are left for a pencil.
        practised: something was played.
    """

    day: dt.date
    played: tuple[Played, ...]
    minutes: int | None
    open: bool
    practised: bool = False

    @property
    def number(self) -> int:
        """How many exercises it names."""
        return sum(len(one.keys) for one in self.played)


@dataclass(frozen=True, slots=True)
class WeekRecord:
    """Seven days in a row, and lines about what is to be ready by a day."""

    days: tuple[RecordDay, ...]
    aims: tuple[str, ...] = ()

    @property
    def practised(self) -> int:
        """Days with a play."""
        return sum(day.practised for day in self.days)

    @property
    def boxed(self) -> bool:
        """Whether it says what was to be played."""
        return any(one.ticked for day in self.days for one in day.played)


@dataclass(frozen=True, slots=True)
class RecordPage:
    """The page, and what was shortened, or ""."""

    drawing: Drawing
    shortened: str


@dataclass(frozen=True, slots=True)
class _Manner:
    """How the days are written; a limit is the most lines a day may have."""

    size: float
    run_on: bool = False
    tempi: bool = True
    limit: int | None = None

    @property
    def line(self) -> float:
        return self.size * _LINE

    @property
    def shortened(self) -> str:
        if self.limit is not None:
            return _COUNTED
        return "" if self.tempi else _NO_TEMPI


_MANNERS = (
    _Manner(_SIZE),
    _Manner(_SIZE, run_on=True),
    _Manner(_SMALL, run_on=True),
    _Manner(_SMALLEST, run_on=True),
    _Manner(_SMALLEST, run_on=True, tempi=False),
    *(_Manner(_SMALLEST, run_on=True, tempi=False, limit=limit) for limit in range(8, 0, -1)),
)


def week_record(
    plays: Iterable[Play],
    first: dt.date,
    today: dt.date,
    planned: Mapping[dt.date, Sequence[ExerciseName]] | None = None,
    aims: Sequence[str] = (),
) -> WeekRecord:
    """Collect seven days.

    Args:
        plays: the plays that stand in the log, in the order of playing.
        first: the first day.
        today: days after it are left open.
        planned: what the sheets of each day had.
        aims: what is to be ready by a day, each in a line.
    """
    days = [first + dt.timedelta(days=n) for n in range(WEEK)]
    by_day: dict[dt.date, list[Play]] = {day: [] for day in days}
    for play in plays:
        if play.day in by_day and play.day <= today:
            by_day[play.day].append(play)
    printed = planned or {}
    return WeekRecord(
        tuple(_day(day, some, printed.get(day, ()), open_=day > today) for day, some in by_day.items()),
        tuple(aims),
    )


def _day(day: dt.date, plays: Sequence[Play], printed: Sequence[ExerciseName], *, open_: bool) -> RecordDay:
    kinds: dict[str, dict[str, int | None]] = {}
    for play in plays:
        keys = kinds.setdefault(play.kind, {})
        key = key_text(play.tonic) if play.tonic else ""
        keys[key] = max(keys.get(key) or 0, play.tempo or 0) or None
    noted = {(kind, key) for kind, keys in kinds.items() for key in keys}
    for one in printed:
        kinds.setdefault(one.kind, {}).setdefault(key_text(one.tonic) if one.tonic else "", None)
    played = tuple(
        Played(kind, tuple(keys.items()), tuple((kind, key) in noted for key in keys) if printed else ())
        for kind, keys in kinds.items()
    )
    minutes = [play.minutes for play in plays if play.minutes is not None]
    return RecordDay(day, played, sum(minutes) if minutes else None, open_, practised=bool(plays))


def record_page(
    record: WeekRecord, player: str, instrument: str, frame: Frame, measure: Measure
) -> RecordPage:
    """Draw the record.

    Args:
        record: the week.
        player: name, or "" for a line to write it on.
        instrument: as it is called at the top of a page.
        frame: the part of the paper to draw on.
        measure: widths of words.
    """
    first, last = record.days[0].day, record.days[-1].day
    week = f"{weekday(first)} {long_day(first)} to {weekday(last)} {long_day(last)}"
    marks, top = head(frame, Heading("Practice record", instrument, player, week), measure)
    if not player:
        marks += [Text(frame.left, top - 3.5, "Name", 10.5), _rule(frame.left + 12, frame.left + 75, top - 3)]
    room = frame.bottom - 6 - _foot(record) - top - 7
    manner = next(
        (one for one in _MANNERS if sum(_heights(record, one, frame, measure)) <= room), _MANNERS[-1]
    )
    heights = _heights(record, manner, frame, measure)
    # What is left over is shared out, so that the page is filled and there is room for a pencil.
    more = max(0.0, min((room - sum(heights)) / WEEK, 8.0))
    y = _titles(marks, frame, top + 5.5, boxed=record.boxed)
    for day, height in zip(record.days, heights, strict=True):
        marks += _row(day, manner, frame, y, measure)
        y += height + more
        marks.append(Line(((frame.left, y), (frame.right, y)), HAIR))
    marks += _below(record, manner, frame, measure)
    page = Drawing(frame.paper_width, frame.paper_height, tuple(marks))
    return RecordPage(page, manner.shortened)


def _aims(record: WeekRecord) -> list[str]:
    """What is to be ready by a day, the first few and how many more."""
    more = len(record.aims) - _MOST_AIMS
    told = [phrase_text(line) for line in record.aims[:_MOST_AIMS]]
    return [*told, f"and {count(more, 'more aim')}"] if more > 0 else told


def _foot(record: WeekRecord) -> float:
    """Height of what stands below the days."""
    return _FOOT + _AIM * len(_aims(record))


def _column(frame: Frame) -> float:
    """Width of the column of what was played."""
    return frame.width - _DAY - _MINUTES - _GAP


def _titles(marks: list[Mark], frame: Frame, y: float, *, boxed: bool) -> float:
    told = f"To be played {BOXES[False]}, played {BOXES[True]}" if boxed else "Played"
    marks += [
        Text(frame.left, y, "Day", _SMALL, "bold"),
        Text(frame.left + _DAY, y, f"{told}, and beats a minute reached", _SMALL, "bold"),
        Text(frame.right, y, "Minutes", _SMALL, "bold", "right"),
        Line(((frame.left, y + 1.5), (frame.right, y + 1.5)), 0.8),
    ]
    return y + 1.5


def _heights(record: WeekRecord, manner: _Manner, frame: Frame, measure: Measure) -> list[float]:
    width = _column(frame)
    return [
        max(_LOWEST_ROW, len(_lines(day, manner, width, measure)) * manner.line + 3) for day in record.days
    ]


def _lines(day: RecordDay, manner: _Manner, width: float, measure: Measure) -> tuple[str, ...]:
    """What was played, in lines no wider than the column."""
    told = [one.words(tempi=manner.tempi) for one in day.played]
    if not manner.run_on:
        return tuple(line for words in told for line in wrapped(words, width, manner.size, measure))
    whole = wrapped(_SEPARATOR.join(told), width, manner.size, measure)
    if manner.limit is None or len(whole) <= manner.limit:
        return whole
    return _counted(day, manner, manner.limit, width, measure)


def _counted(day: RecordDay, manner: _Manner, limit: int, width: float, measure: Measure) -> tuple[str, ...]:
    """As many exercises as fit some lines, and how many more there are; at the least their number."""

    def lines(named: int) -> tuple[str, ...]:
        told = [one.words(tempi=False) for one in _first(day.played, named)]
        rest = count(day.number - named, "more exercise" if named else "exercise")
        return wrapped(
            _SEPARATOR.join([*told, f"and {rest}" if named else rest]), width, manner.size, measure
        )

    most = bisect_right(range(1, day.number), limit, key=lambda named: len(lines(named)))
    return lines(most)


def _first(played: Sequence[Played], number: int) -> list[Played]:
    """The first so many exercises."""
    found = []
    for one in played:
        if number <= 0:
            break
        found.append(Played(one.kind, one.keys[:number], one.ticked[:number]))
        number -= len(one.keys)
    return found


def _row(day: RecordDay, manner: _Manner, frame: Frame, y: float, measure: Measure) -> list[Mark]:
    base = y + 5.2
    marks: list[Mark] = [
        Text(frame.left, base, weekday(day.day), _SIZE, "bold"),
        Text(frame.left, base + 4.6, day_and_month(day.day), _SMALL),
    ]
    column = frame.left + _DAY
    lines = _lines(day, manner, _column(frame), measure)
    marks += [Text(column, base + n * manner.line, line, manner.size) for n, line in enumerate(lines)]
    if day.open and not day.played:
        marks.append(_rule(column, column + _column(frame), base + 5))
    elif not day.played:
        marks.append(Text(column, base, "—", _SIZE))
    if day.minutes is not None:
        marks.append(Text(frame.right, base, str(day.minutes), _SIZE, align="right"))
    return marks


def _below(record: WeekRecord, manner: _Manner, frame: Frame, measure: Measure) -> list[Mark]:
    """The sums, what was shortened, and the lines for a remark and a signature."""
    noted = [day.minutes for day in record.days if day.minutes is not None]
    told = f"Practised on {record.practised} of {WEEK} days."
    if noted:
        told += f" Minutes noted on {count(len(noted), 'day')}: {sum(noted)} in all."
    y = frame.bottom - 6 - _foot(record) + 8
    marks: list[Mark] = [Text(frame.left, y, told, _SIZE)]
    for number, line in enumerate(_aims(record)):
        y += _AIM
        head_words = "" if number else "Aims"
        marks.append(Text(frame.left, y, head_words, _SIZE, "bold"))
        marks += fitting(line, frame.left + 14, y, frame.width - 14, measure, size=_SIZE)
    if manner.shortened:
        marks += fitting(
            manner.shortened, frame.left, y + 5.5, frame.width, measure, size=_SMALL, face="italic"
        )
    middle = frame.left + 0.62 * frame.width
    for words, x, end, at in (
        ("Remark", frame.left, frame.right, y + 19),
        ("Signature", frame.left, middle - 6, y + 33),
        ("Date", middle, frame.right, y + 33),
    ):
        marks += [Text(x, at, words, _SIZE), _rule(x + measure(words, _SIZE, "regular") + 3, end, at + 0.6)]
    return [*marks, *foot(frame, "", 1, 1)]


def _rule(x: float, end: float, y: float) -> Line:
    """A line to write on."""
    return Line(((x, y), (end, y)), HAIR)
