"""What an exercise wears when it returns: the next articulation and rhythm, the next name of its key, its tempi.

Each time an exercise was played the next articulation and the next rhythm of its row come; where both go round, so do
their combinations. The exercises of one row begin on different turns, so that a sheet is not all tongued. What makes no
sense together is passed over. The tempi lead from the last one reached to the goal; after a play that felt shaky they
begin one metronome mark lower ("fall back one step if it fails", a clarinet teacher's rule). Before a date they are
slow: two thirds of the last one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import lcm

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing, Strokes
from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation
from generator.exercise.build import Player, per_beat
from generator.exercise.records import Exercise, Tempo
from generator.exercise.request import EVERY, Request
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.suiting import check_suits, suits
from generator.exercise.tempo import MARKS, beat_value
from generator.passage.named import is_drill
from generator.passage.store import Passages
from generator.phrase import expand
from generator.phrase.read import FASTEST, SLOWEST, parse
from generator.phrase.vocabulary import UNIT_NAMES
from generator.practice.repertoire import KeptExercise
from generator.practice.turns import Due, Past
from generator.theory.duration import Value
from generator.theory.pitch import NoteName

SHAKY = 2
SLOWLY = Fraction(2, 3)
Worn = tuple[Articulation | None, Articulation | None]


def last_tempo(dressing: Dressing, past: Past) -> int | None:
    """Where the row of tempi begins."""
    if past.tempo is None:
        return dressing.first_tempo
    tempo = min(max(past.tempo, SLOWEST), FASTEST)
    if (past.rating or 0) > SHAKY:
        return tempo
    return max((mark for mark in MARKS if mark < tempo), default=tempo)


def slow_tempo(dressing: Dressing, past: Past) -> int | None:
    """A tempo for the last days before a date: calm, well below the last one reached."""
    tempo = past.tempo or dressing.goal or dressing.start
    if tempo is None:
        return None
    below: list[int] = [mark for mark in MARKS if mark <= SLOWLY * tempo]
    return below[-1] if below else SLOWEST


def next_exercise(
    kept: KeptExercise,
    turn: Due,
    player: Player,
    tempo: int | None,
    syllables: tuple[str, ...] = (),
    stroke: str = "",
    passages: Passages | None = None,
) -> Exercise:
    """Build an exercise as it is worn this time.

    Args:
        kept: which.
        turn: what is asked of it, and what was played of that.
        player: for whom.
        tempo: where the row of tempi begins, or None to leave it to the player.
        syllables: a player's own tonguing syllables.
        stroke: name of an articulation of the row that is to be worn out of turn, if it suits.
        passages: the player's own, for drills.

    Raises:
        DoesNotFitError: it does not fit the player, not even bare.
    """
    dressing, plays = turn.asking.dressing, turn.past.plays
    if is_drill(kept.name) and passages is not None:
        from generator.passage.planned import visit  # noqa: PLC0415  # few days have a passage

        return visit(kept.name, passages, player, plays, tempo, dressing.goal)
    bare = turn.asking.on(parse(kept.name, shared_catalogue()))
    if kept.tonics:
        names = kept.tonics.split()
        bare = replace(bare, keys=(NoteName.parse(names[plays % len(names)]),))
    now = plays + turn.shift
    forced = replace(dressing, articulations=((stroke, ""),))
    out_of_turn = (
        [worn for worn in _in_turn(bare, forced, now, player) if worn.articulation] if stroke else []
    )
    for worn in (*out_of_turn, *_in_turn(bare, dressing, now, player)):
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
    return replace(
        request,
        tempo=Tempo(unit, tempo),
        goal=goal,
        step=dressing.step if goal else None,
        climb=dressing.climb and goal is not None,
    )


def _beat(request: Request) -> Value:
    if isinstance(request.form, Routine):
        return beat_value(request.form.rhythm.metre)
    return beat_value(expand.recipe(request).rhythm.metre)
