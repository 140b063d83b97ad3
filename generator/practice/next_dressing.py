"""What an exercise wears when it returns: the next articulation and rhythm, the next name of its key, its tempi.

Each time an exercise was played the next articulation and the next rhythm of its row come; where both go round, so do
their combinations. What makes no sense together is passed over. The tempi lead from the last one reached to the goal;
after a play that felt shaky they begin one metronome mark lower ("fall back one step if it fails", a clarinet teacher's
rule).
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import lcm

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing, Strokes
from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation, check_suits, suits
from generator.exercise.build import Player, per_beat
from generator.exercise.records import Exercise, Tempo
from generator.exercise.request import EVERY, Request
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.tempo import MARKS, beat_value
from generator.phrase import expand
from generator.phrase.read import FASTEST, SLOWEST, parse
from generator.phrase.vocabulary import UNIT_NAMES
from generator.practice.repertoire import KeptExercise
from generator.rotation import Event
from generator.theory.duration import Value
from generator.theory.pitch import NoteName

SHAKY = 2
Worn = tuple[Articulation | None, Articulation | None]


@dataclass(frozen=True, slots=True)
class Past:
    """What the log says of one exercise.

    Attributes:
        plays: how often it was played.
        tempo: the last tempo noted, in its own beat.
        rating: how the last play felt, 1 to 4.
    """

    plays: int = 0
    tempo: int | None = None
    rating: int | None = None


def pasts(events: Iterable[Event], before: str, wanted: Collection[str]) -> dict[str, Past]:
    """The past of some exercises: what was played before a day.

    Args:
        events: the log, by date and then as saved.
        before: the day, as 2027-03-05.
        wanted: ids of the exercises.
    """
    entries = [event for event in events if event.kind == "void" or event.item in wanted]
    gone = {event.ref for event in entries if event.kind == "void"}
    found: dict[str, Past] = {}
    for event in entries:
        if event.kind != "play" or event.item is None or event.day >= before or event.seq in gone:
            continue
        past = found.get(event.item, Past())
        found[event.item] = Past(past.plays + 1, event.tempo or past.tempo, event.rating)
    return found


def last_tempo(dressing: Dressing, past: Past) -> int | None:
    """Where the row of tempi begins."""
    if past.tempo is None:
        return dressing.first_tempo
    tempo = min(max(past.tempo, SLOWEST), FASTEST)
    if (past.rating or 0) > SHAKY:
        return tempo
    return max((mark for mark in MARKS if mark < tempo), default=tempo)


def next_exercise(
    entry: KeptExercise,
    dressing: Dressing,
    past: Past,
    player: Player,
    tempo: int | None,
    syllables: tuple[str, ...] = (),
) -> Exercise:
    """Build an exercise as it is worn this time.

    Args:
        entry: which.
        dressing: what it wears in turn.
        past: how often it was played.
        player: for whom.
        tempo: where the row of tempi begins, or None to leave it to the player.
        syllables: a player's own tonguing syllables.

    Raises:
        DoesNotFitError: it does not fit the player, not even bare.
    """
    bare = parse(entry.name, shared_catalogue())
    if entry.tonics:
        names = entry.tonics.split()
        bare = replace(bare, keys=(NoteName.parse(names[past.plays % len(names)]),))
    for worn in _in_turn(bare, dressing, past.plays, player):
        try:
            return expand.build_single(_with_tempo(worn, dressing, tempo), player, syllables=syllables)
        except DoesNotFitError:
            continue
    return expand.build_single(_with_tempo(bare, dressing, tempo), player, syllables=syllables)


def _in_turn(bare: Request, dressing: Dressing, turn: int, player: Player) -> Iterator[Request]:
    """The request as it is worn on this turn, then as on the next ones, in case it makes no sense."""
    if isinstance(bare.form, Routine):
        return
    rhythms = _rhythms(dressing)
    for now in range(turn, turn + len(rhythms) * max(1, len(dressing.articulations))):
        round_trip = lcm(len(rhythms), max(1, len(dressing.articulations)))
        rhythm = rhythms[(now + now // round_trip) % len(rhythms)]
        framed = replace(bare, rhythm=rhythm, metre=dressing.metre)
        strokes = _strokes(framed, dressing.articulations, player)
        up, down = strokes[now % len(strokes)]
        yield replace(framed, articulation=up, articulation_down=down)


def _rhythms(dressing: Dressing) -> Sequence[Rhythm | None]:
    if EVERY in dressing.rhythms:
        return expand.even_rhythms()
    return [shared_catalogue().rhythms.find(name) for name in dressing.rhythms] or [None]


def _strokes(framed: Request, asked: Sequence[Strokes], player: Player) -> list[Worn]:
    """The articulations that suit the rhythm and the instrument, or none."""
    rows = shared_catalogue().articulations
    found: list[Worn] = []
    for up, down in asked:
        falling = rows.find(down) if down else None
        if up == EVERY:
            beat = per_beat(expand.recipe(framed).rhythm)
            found += [(row, falling) for row in rows.rows if suits(row, beat, player.instrument.wind)]
            continue
        rising = rows.find(up) if up else None
        if _suit(replace(framed, articulation=rising, articulation_down=falling), player):
            found.append((rising, falling))
    return found or [(None, None)]


def _suit(request: Request, player: Player) -> bool:
    try:
        recipe = expand.recipe(request)
        for row in (recipe.up, recipe.down):
            check_suits(row, per_beat(recipe.rhythm), recipe.rhythm.name, player.instrument.wind)
    except DoesNotFitError:
        return False
    return True


def _with_tempo(request: Request, dressing: Dressing, tempo: int | None) -> Request:
    if tempo is None:
        return request
    unit = UNIT_NAMES[dressing.unit] if dressing.unit else _beat(request)
    goal = dressing.goal if dressing.goal and dressing.goal > tempo else None
    return replace(request, tempo=Tempo(unit, tempo), goal=goal, step=dressing.step if goal else None)


def _beat(request: Request) -> Value:
    if isinstance(request.form, Routine):
        return beat_value(request.form.rhythm.metre)
    return beat_value(expand.recipe(request).rhythm.metre)
