"""The rows of a sheet as they are worn on its day, and their exercises."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol

from generator.catalogue.tables import shared_catalogue
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.passage.named import is_drill
from generator.passage.store import Passages
from generator.phrase.read import parse
from generator.practice.aims import AimStanding
from generator.practice.gathering import counts_beats
from generator.practice.growing_list import aim_name
from generator.practice.next_dressing import last_tempo, next_exercise, slow_tempo
from generator.practice.player_session import PlayerSession
from generator.practice.repertoire import KeptExercise
from generator.practice.sheet_record import SheetRow
from generator.practice.turns import Due, PastPlay, plays_of, turn_of
from generator.practice.upkeep import Upkeep
from generator.practice_log import PracticeLog
from generator.rotation import DaySheet, Event, Item, Lane, Row

_LOST = 1  # how a play felt after which a row begins a metronome mark lower


class OnDay(Protocol):
    """What of a request for a day the dress depends on."""

    @property
    def today(self) -> str:
        """The day, as 2027-03-05."""

    @property
    def together(self) -> bool:
        """The slowest key sets the tempo of its row."""

    @property
    def number(self) -> int:
        """2 for a second sheet the same day."""


@dataclass(frozen=True)
class Wardrobe:
    """Dresses the rows of one sheet.

    Attributes:
        session: the player.
        request: the day.
        log: the log.
        events: what it says, under the names of lines.
        upkeep: what is to be kept alive today.
        slower: the rows of tempi begin a metronome mark lower.
        aims: what is still to be reached, by the ids of its exercises.
    """

    session: PlayerSession
    request: OnDay
    log: PracticeLog
    events: Sequence[Event]
    upkeep: tuple[Upkeep, ...] = ()
    slower: bool = False
    aims: Mapping[str, AimStanding] = field(default_factory=dict)

    @property
    def together(self) -> bool:
        """Whether the slowest key sets the tempo of its row."""
        return self.request.together or self.session.plan.together

    def dress(self, chosen: DaySheet, items: Sequence[Item]) -> list[tuple[SheetRow, Exercise]]:
        """The rows of a sheet, with their exercises.

        Raises:
            DoesNotFitError: one does not fit the player, not even bare.
        """
        ids = {item.id for item in items} if self.together else {row.item_id for row in chosen.rows}
        name_of = self.session.repertoire.name_of
        kept = self.session.repertoire.called({name_of(item_id) for item_id in ids})
        by_id = {self.session.repertoire.item_id(name): one for name, one in kept.items()}
        instrument = self.session.player.instrument.name
        plays = plays_of(self.log, self.events, self.request.today, by_id, instrument)
        turns = {
            row.item_id: self._turn(by_id[row.item_id], plays.get(row.item_id, []), row)
            for row in chosen.rows
        }
        strokes = dict(self._strokes(chosen.rows, by_id, turns))
        worn = []
        for row in chosen.rows:
            turn, stroke = turns[row.item_id], strokes.get(row.item_id)
            tempo = self._tempo(by_id[row.item_id], turn, by_id, plays, slowly=bool(chosen.given_to))
            turn = _without_goal(turn) if chosen.given_to else turn
            exercise = next_exercise(
                by_id[row.item_id],
                turn,
                self.session.player,
                tempo,
                self.session.plan.syllables,
                stroke=stroke.stroke_on(by_id[row.item_id]) if stroke else "",
                passages=Passages(self.session.home.passages),
            )
            worn.append((self._row(row, exercise, turn, stroke), exercise))
        return worn

    def _turn(self, kept: KeptExercise, plays: Sequence[PastPlay], row: Row) -> Due:
        aim = self.aims.get(row.item_id)
        listed = row.listed or (aim_name(aim.aim.phrase) if aim else "")
        turn = turn_of(kept, self.session.repertoire, plays, self.request.today, listed)
        if aim is None or not aim.aim.tempo or row.listed or turn.asking.listed == listed:
            return turn
        if not is_drill(kept.name) and not counts_beats(
            parse(kept.name, shared_catalogue()), turn.asking.dressing
        ):
            return turn
        dressing = replace(turn.asking.dressing, goal=aim.aim.tempo)
        return replace(turn, asking=replace(turn.asking, dressing=dressing))

    def _row(self, row: Row, exercise: Exercise, turn: Due, stroke: Upkeep | None) -> SheetRow:
        return SheetRow(
            item=row.item_id,
            phrase=exercise.phrase,
            floor=row.lane is Lane.FLOOR and self.request.number == 1,
            minutes=row.minutes,
            reason=self._reason(row, exercise, stroke),
            rest_after=row.rest_after,
            aim=exercise.tempo.bpm if exercise.tempo else None,
            goal=turn.asking.goal or (exercise.tempi[-1] if exercise.text and exercise.tempi else None),
            text=exercise.text,
        )

    def _reason(self, row: Row, exercise: Exercise, stroke: Upkeep | None) -> str:
        aim = self.aims.get(row.item_id)
        first = [aim.reason] if aim and not row.listed else []
        last = [stroke.words] if stroke and _wears(exercise, stroke) else []
        return "; ".join([*first, row.reason, *last])

    def _strokes(
        self, rows: Sequence[Row], kept: Mapping[str, KeptExercise], turns: Mapping[str, Due]
    ) -> Iterator[tuple[str, Upkeep]]:
        """For each thing to be kept alive a row that wears it: one that was begun, whose turn asks for it."""
        taken: set[str] = set()
        for upkeep in self.upkeep:
            fit = [row for row in rows if upkeep.stroke_on(kept[row.item_id]) and row.item_id not in taken]
            fit = [row for row in fit if _asks(turns[row.item_id], upkeep)]
            for row in sorted(fit, key=lambda row: (row.new, bool(row.listed), row.minutes))[:1]:
                taken.add(row.item_id)
                yield row.item_id, upkeep

    def _tempo(
        self,
        kept: KeptExercise,
        turn: Due,
        every: Mapping[str, KeptExercise],
        plays: Mapping[str, Sequence[PastPlay]],
        *,
        slowly: bool,
    ) -> int | None:
        """Where the row of tempi begins."""
        dressing = turn.asking.dressing
        if slowly:
            return slow_tempo(dressing, turn.past)
        tempo = last_tempo(dressing, replace(turn.past, rating=_LOST) if self.slower else turn.past)
        if not self.together:
            return tempo
        # "The slowest key sets the tempo for all keys" (a clarinet teacher, the Klarinet list, 1998).
        tempi = [
            last_tempo(dressing, own.past)
            for item_id, one in every.items()
            if one.asked == kept.asked
            and item_id in plays
            and self._keyless(one.name) == self._keyless(kept.name)
            for own in [turn_of(one, self.session.repertoire, plays[item_id], self.request.today)]
            if own.past.tempo is not None
        ]
        return min((one for one in tempi if one is not None), default=tempo)

    @cached_property
    def _read(self) -> dict[str, Request]:
        return {}

    def _keyless(self, name: str) -> Request:
        if name not in self._read:
            request = _passage(name) if is_drill(name) else parse(name, shared_catalogue())
            self._read[name] = replace(request, keys=())
        return self._read[name]


def _passage(name: str) -> Request:
    from generator.passage.planned import as_request  # noqa: PLC0415  # few days have a passage

    return as_request(name)


def _without_goal(turn: Due) -> Due:
    """The same at one calm tempo, with none to work towards."""
    dressing = replace(turn.asking.dressing, goal=None, step=None)
    return replace(turn, asking=replace(turn.asking, dressing=dressing))


def _asks(turn: Due, upkeep: Upkeep) -> bool:
    return any(up.startswith(upkeep.kind) for up, _ in turn.asking.dressing.articulations)


def _wears(exercise: Exercise, upkeep: Upkeep) -> bool:
    return upkeep.kind in exercise.phrase
