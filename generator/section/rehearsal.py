"""From a section and some phrases to the page of every chair: a use case without paper.

Chairs that read and play the same share a part.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Chair, Section
from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.exercise.routine import Routine
from generator.passage.named import is_drill
from generator.phrase.read import parse_all
from generator.section.chorale_turns import any_turn
from generator.section.ensemble import Seat
from generator.section.flexibility import flexibility_turn, for_a_section
from generator.section.percussion import follows, percussion_page
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.turns import Turn, recipes
from generator.theory.pitch import NoteName


@dataclass(frozen=True, slots=True)
class ChairPart:
    """Chairs that share a page.

    Attributes:
        chairs: who reads it.
        player: instrument, level and compass.
        exercises: as read.
        heard: at concert pitch.
    """

    chairs: tuple[Chair, ...]
    player: Player
    exercises: tuple[Exercise, ...]
    heard: tuple[Exercise, ...]

    @property
    def unpitched(self) -> bool:
        """Whether it is rhythm alone."""
        return self.chairs[0].unpitched

    @property
    def keys(self) -> tuple[str, ...]:
        """Written tonics, in order of the exercises, or the signs of a passage; "" where there is none."""
        return tuple(
            _signs(e.signature) if e.recipe and e.key else NoteName.parse(e.key).words if e.key else ""
            for e in self.exercises
        )


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """Every page of a handout.

    Attributes:
        parts: in score order.
        turns: the exercises, each for all seats.
        together: bars line up.
        refused: phrase and reason of each single request that could not be carried out.
    """

    parts: tuple[ChairPart, ...]
    turns: tuple[Turn, ...]
    together: bool
    refused: tuple[tuple[str, str], ...] = field(default=())

    @property
    def headings(self) -> tuple[str, ...]:
        """Over the exercises, in concert terms."""
        return tuple(t.heading for t in self.turns)


def _signs(signature: int) -> str:
    """``2 flats``: a passage has a signature, and its key is its own."""
    if not signature:
        return "no signs"
    return f"{abs(signature)} {'sharp' if signature > 0 else 'flat'}{'s' if abs(signature) > 1 else ''}"


def rehearse(section: Section, plan: RehearsalPlan, before: Sequence[Turn] = ()) -> Rehearsal:
    """Make the page of every chair.

    Args:
        section: who plays.
        plan: what.
        before: turns that come first, such as a warm-up, made for ``seats_of(section)``.

    Raises:
        RequestError: a phrase cannot be read, or nothing of it fits.
    """
    shared = shared_pages(section)
    seats = seats_of(section)
    turns, refused = list(before), []
    for text in plan.phrases:
        begun = len(turns)
        if is_drill(text):
            made, left_out = _drilled(text, seats, plan)
            turns += made
            refused += left_out
            continue
        for request in parse_all(text, shared_catalogue(), plan.ways):
            if isinstance(request.form, Routine) and for_a_section(request.form):
                turns.append(flexibility_turn(request, seats))
        for recipe in recipes(text, seats, exact=plan.exact, ways=plan.ways):
            try:
                turns.append(any_turn(recipe, seats, plan))
            except DoesNotFitError as error:
                refused.append((recipe.phrase, str(error)))
        if len(turns) == begun:
            raise DoesNotFitError(refused[-1][1])
    pitched = {(seat.player, seat.voice): n for n, seat in enumerate(seats)}
    parts = []
    for player, chairs in shared:
        place = pitched.get((player, chairs[0].voice))
        read = tuple(_page(t.read, place, player, t) for t in turns)
        heard = tuple(_page(t.heard, place, player, t) for t in turns)
        parts.append(ChairPart(chairs, player, read, heard))
    return Rehearsal(tuple(parts), tuple(turns), not plan.own_range, tuple(refused))


def _drilled(
    text: str, seats: Sequence[Seat], plan: RehearsalPlan
) -> tuple[Sequence[Turn], list[tuple[str, str]]]:
    """The turns of a drill phrase, and what of it makes no sense."""
    # Few handouts hold a passage.
    from generator.passage.request import parse_drill  # noqa: PLC0415
    from generator.section.drill_turns import drill_turns  # noqa: PLC0415

    done = drill_turns(text, plan.passage(parse_drill(text).name), seats, plan)
    return done.turns, [(text, line) for line in done.left_out]


def shared_pages(section: Section) -> list[tuple[Player, tuple[Chair, ...]]]:
    """Chairs grouped by what they read: one instrument at one level, with one voice of a chorale, is one page."""
    found: dict[tuple[Player, int], list[Chair]] = {}
    for chair in section.chairs:
        found.setdefault((chair.player, chair.voice), []).append(chair)
    return [(player, tuple(chairs)) for (player, _), chairs in found.items()]


def seats_of(section: Section) -> tuple[Seat, ...]:
    """Who plays the line of a section; the key each reads comes later. Percussion but for mallets plays under it.

    A section of percussion alone is seated with one player, whose line it takes.
    """
    seats = [
        Seat(_who(player, chairs), player, NoteName(0), chairs[0].voice)
        for player, chairs in shared_pages(section)
        if not follows(player.instrument)
    ]
    return tuple(seats) or (Seat("flute", player_named("flute"), NoteName(0), 0),)


def first_key(plan: RehearsalPlan) -> NoteName:
    """The concert key of the first phrase that names one, or B-flat, the key bands begin in.

    Raises:
        RequestError: a phrase cannot be read.
    """
    for text in plan.phrases:
        if is_drill(text):
            continue
        if keys := parse_all(text, shared_catalogue())[0].keys:
            return keys[0]
    return NoteName.parse("Bb")


def _who(player: Player, chairs: Sequence[Chair]) -> str:
    names = list(dict.fromkeys(c.name for c in chairs))
    level = "" if player.level == "standard" else f" ({player.level})"
    return f"{names[0]}{level}"


def _page(exercises: Sequence[Exercise], place: int | None, player: Player, turn: Turn) -> Exercise:
    if place is not None:
        return exercises[place]
    return percussion_page(turn, player)
