"""A passage of one's own for a whole section: the same drill for every chair, lined up bar for bar.

Where chunks begin, which of them are equal and which keys are drilled is decided once, from the music as it sounds.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exercise.articulation import UNSLURRED
from generator.exercise.build import Player
from generator.exercise.instrument import Compass
from generator.exercise.records import Exercise
from generator.passage.all_keys import ORDER, best_interval, label_of, transposed
from generator.passage.drill import SCALES, Drilled, SharedDrill, drilled, through
from generator.passage.kept import KeptPassage, text_of
from generator.passage.records import Passage
from generator.passage.request import DrillRequest, parse_drill
from generator.passage.scales import scales_of
from generator.section.concert_pitch import at_concert_pitch, in_clef
from generator.section.drill_places import (
    PassagePlace,
    brought,
    explained,
    octaves_of,
    placed,
    read_interval,
)
from generator.section.ensemble import Seat
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.resting import beyond, silenced
from generator.section.together import FOLDED, RESTS
from generator.section.turns import Turn
from generator.theory.interval import Interval


@dataclass(frozen=True, slots=True)
class DrillTurns:
    """The exercises of one drill for everyone, and a line about each recipe that makes no sense for its passage."""

    turns: tuple[Turn, ...]
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Drill:
    """One drill on its way to the chairs: the passage as it sounds, what is asked of it, and what is decided once."""

    kept: KeptPassage
    request: DrillRequest
    plan: RehearsalPlan
    offsets: tuple[int, ...]
    missing: tuple[str, ...]
    scales: str

    def made(
        self, passage: Passage, player: Player, instrument: str, bring: Callable[[Passage], Passage]
    ) -> Drilled:
        """The exercises on one chair's notes."""
        kept = replace(self.kept, passage=passage, instrument=instrument, concert=False)
        shared = SharedDrill(self.kept.passage, bring, self.missing)
        return drilled(
            kept,
            self.request,
            player,
            offsets=self.offsets,
            scales=self.scales,
            shared=shared,
            numbered=False,
        )


def drill_turns(text: str, kept: KeptPassage, seats: Sequence[Seat], plan: RehearsalPlan) -> DrillTurns:
    """The turns of a drill phrase.

    Args:
        text: like "drill chorale, chunks".
        kept: its passage, in concert pitch or for one instrument, whose sounding pitch counts then.
        seats: who plays.
        plan: how a section plays together.

    Raises:
        RequestError: the phrase cannot be read, or nothing of it makes sense.
        DoesNotFitError: somebody lacks notes who must not.
    """
    request = parse_drill(text)
    sounding, told = as_it_sounds(kept)
    own = (kept.instrument, -_down(kept)) if kept.instrument and not kept.concert else None
    places = placed(
        sounding.passage, seats, plan.together, keys=plan.keys, whole=plan.exact, always=bool(plan.levels),
        own=own, name=f"drill {kept.name}",
    )  # fmt: skip
    offsets, missing = _keys(sounding, request, seats, places, plan)
    drill = _Drill(sounding, request, plan, offsets, missing, _scales(sounding, request))
    model = drill.made(sounding.passage, seats[0].player, "", lambda passage: passage)
    pairs = [_for_one(drill, seat, place, model) for seat, place in zip(seats, places, strict=True)]
    title = f"{kept.name[:1].upper()}{kept.name[1:]}, {sounding.passage.name}"
    turns = []
    for number, one in enumerate(model.exercises):
        head = _head(one, title, first=number == 0)
        text_ = text_of(kept) if number == 0 else ""
        read = [replace(mine[number], head=head, called=None, text=text_) for mine, _ in pairs]
        heard = [replace(other[number], head=head, called=None, text=text_) for _, other in pairs]
        rhythm = replace(_for_rhythm(one), head=_rhythm_head(one, head), called=None, text=text_)
        told_here = (*told, *explained(seats, places)) if number == 0 else ()
        turns.append(
            Turn(
                head, tuple(read), tuple(heard), rhythm=rhythm, drill=title, told=told_here,
            )
        )  # fmt: skip
    return DrillTurns(tuple(turns), model.left_out)


def as_it_sounds(kept: KeptPassage) -> tuple[KeptPassage, tuple[str, ...]]:
    """A passage in concert pitch, and what is to be said about how its notes were understood.

    Args:
        kept: in concert pitch, or written for an instrument.

    Raises:
        UnknownNameError: its file names an instrument that there is not.
    """
    if kept.concert:
        return kept, ()
    if not kept.instrument:
        line = f"{kept.name} says for no instrument that it is written; its notes are taken as they sound"
        return replace(kept, concert=True, scales=()), (line,)
    instrument = shared_catalogue().instruments.find(kept.instrument)
    if instrument.unpitched:
        raise RequestError(
            f"{kept.name} is kept for the {instrument.name}, which has no pitches to give to others"
        )
    return replace(kept, passage=transposed(kept.passage, _down(kept)), concert=True, scales=()), ()


def _down(kept: KeptPassage) -> Interval:
    """The named interval from the part as it was kept to its sounding pitch."""
    sounds = shared_catalogue().instruments.find(kept.instrument).sounds
    return read_interval(kept.passage.bars[0].signature, -sounds)


def _scales(kept: KeptPassage, request: DrillRequest) -> str:
    """The line at the foot of a page of every recipe."""
    if request.recipes:
        return ""
    found = kept.scales or tuple(f"concert {one}" for one in scales_of(kept.passage, quickly=True))
    return "; ".join(found)


def _head(exercise: Exercise, title: str, *, first: bool) -> str:
    if exercise.recipe == "passage":
        return title
    return f"{title}: {exercise.head[:1].lower()}{exercise.head[1:]}" if first else exercise.head


def _keys(
    kept: KeptPassage,
    request: DrillRequest,
    seats: Sequence[Seat],
    places: Sequence[PassagePlace],
    plan: RehearsalPlan,
) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """The keys that everyone drills, and in words those that somebody has in no octave, where all must have them."""
    if not (plan.exact or plan.together == "narrow"):
        return ORDER, ()
    every = request.every or not request.recipes
    found, missing = [], []
    for offset in ORDER:
        names = []
        for seat, place in zip(seats, places, strict=True):
            music = through(replace(kept, passage=place.passage), whole_page=every)
            pitches = [note.pitch for note in music.attacks if note.pitch is not None]
            moved = transposed(music, best_interval(offset, music.bars[0].signature, pitches))
            if not octaves_of(moved, seat.player.compass):
                names.append(seat.name)
        if names:
            missing.append(f"{label_of(offset)} ({', '.join(names[:3])}{' and more' if names[3:] else ''})")
        else:
            found.append(offset)
    return tuple(found), tuple(missing)


def _for_one(
    drill: _Drill, seat: Seat, place: PassagePlace, model: Drilled
) -> tuple[list[Exercise], list[Exercise]]:
    """The exercises as a seat reads them, and at concert pitch; notes beyond its compass are rests in both."""
    player, plan = seat.player, drill.plan
    instrument = player.instrument
    if instrument.wind in UNSLURRED:
        plain = tuple(replace(note, slurred=False) for note in place.passage.notes)
        place = replace(place, passage=replace(place.passage, notes=plain))
    read = drill.made(place.passage, player, instrument.name, _bring(player.compass, plan))
    mine = [
        _adapted(one, like, place, player.compass)
        for one, like in zip(read.exercises, model.exercises, strict=True)
    ]
    if not instrument.transposes:
        # Instruments that differ by whole octaves stay as written in a score at concert pitch (common practice).
        return mine, mine
    sounding = at_concert_pitch(player)
    down = Interval(-place.up.steps, -place.up.semitones)
    heard = drill.made(
        transposed(place.passage, down), sounding, instrument.name, _bring(sounding.compass, plan)
    )
    others = [
        in_clef(_adapted(one, like, place, sounding.compass), instrument)
        for one, like in zip(heard.exercises, model.exercises, strict=True)
    ]
    return mine, others


def _bring(compass: Compass, plan: RehearsalPlan) -> Callable[[Passage], Passage]:
    bring = partial(brought, compass=compass, together=plan.together, always=bool(plan.levels))
    return lambda passage: bring(passage)[0]


def _adapted(exercise: Exercise, model: Exercise, place: PassagePlace, compass: Compass) -> Exercise:
    """With rests for what lies beyond the compass, and a line about that or about changes of octave."""
    silent = beyond(exercise, compass)
    if any(silent):
        made = silenced(exercise, silent)
        return replace(made, notes=(*made.notes, RESTS))
    folds = place.way == "folded" if exercise.recipe != "all keys" else _folds(exercise, model)
    return replace(exercise, notes=(*exercise.notes, FOLDED)) if folds else exercise


def _folds(exercise: Exercise, model: Exercise) -> bool:
    """Whether any of its keys changes octave within."""
    apart: set[int] = set()
    for mine, other in zip(exercise.bars, model.bars, strict=True):
        if other.label:  # another key begins
            apart = set()
        for one, like in zip(mine.notes, other.notes, strict=True):
            if one.pitch is not None and like.pitch is not None:
                apart.add(one.pitch.height - like.pitch.height)
        if len(apart) > 1:
            return True
    return False


def _for_rhythm(exercise: Exercise) -> Exercise:
    """For who reads rhythm alone: no key signature, no word about slurs and scales."""
    strokes = exercise.recipe == "articulations"
    bars = tuple(replace(bar, signature=None, label="" if strokes else bar.label) for bar in exercise.bars)
    beneath = tuple(row for row in exercise.beneath if row[0] != SCALES)
    return replace(exercise, bars=bars, beneath=beneath)


def _rhythm_head(exercise: Exercise, head: str) -> str:
    """What stands over what a drummer plays while the others change articulations."""
    return "Articulations of the others: keep time" if exercise.recipe == "articulations" else head
