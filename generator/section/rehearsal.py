"""From a section and some phrases to the page of every chair: a use case without paper.

Chairs that read and play the same share a part.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from generator.catalogue.key_lists import load_key_lists, spelled_out
from generator.catalogue.percussion import LINE, PERCUSSION_CLEF
from generator.documents.section import Chair, Section
from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.records import Exercise, Note
from generator.files.resources import data_folder
from generator.phrase import expand as studio
from generator.phrase.read import parse
from generator.section.ensemble import Seat
from generator.section.turns import Plan, Turn, recipes, turn
from generator.theory.pitch import NoteName


@dataclass(frozen=True, slots=True)
class Part:
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
        """Whether it is rhythm on one line."""
        return self.chairs[0].unpitched

    @property
    def keys(self) -> tuple[str, ...]:
        """Written tonics, in order of the exercises; "" where there is none."""
        return tuple(NoteName.parse(e.key).words if e.key else "" for e in self.exercises)


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """Every page of a handout.

    Attributes:
        parts: in score order.
        turns: the exercises, each for all seats.
        together: bars line up.
        refused: phrase and reason of each single request that could not be carried out.
    """

    parts: tuple[Part, ...]
    turns: tuple[Turn, ...]
    together: bool
    refused: tuple[tuple[str, str], ...] = field(default=())

    @property
    def headings(self) -> tuple[str, ...]:
        """Over the exercises, in concert terms."""
        return tuple(t.heading for t in self.turns)


def rehearse(section: Section, plan: Plan, before: Sequence[Turn] = ()) -> Rehearsal:
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
        for recipe in recipes(text, seats, exact=plan.exact):
            try:
                turns.append(turn(recipe, seats, plan))
            except DoesNotFitError as error:
                refused.append((recipe.phrase, str(error)))
        if len(turns) == begun:
            raise DoesNotFitError(refused[-1][1])
    pitched = {seat.player: n for n, seat in enumerate(seats)}
    parts = [
        Part(
            chairs,
            who,
            tuple(_page(t.read, pitched.get(who), who, t.heading) for t in turns),
            tuple(_page(t.heard, pitched.get(who), who, t.heading) for t in turns),
        )
        for who, chairs in shared
    ]
    return Rehearsal(tuple(parts), tuple(turns), not plan.own_range, tuple(refused))


def shared_pages(section: Section) -> list[tuple[Player, tuple[Chair, ...]]]:
    """Chairs grouped by what they read: one instrument at one level is one page."""
    found: dict[Player, list[Chair]] = {}
    for chair in section.chairs:
        found.setdefault(chair.who, []).append(chair)
    return [(who, tuple(chairs)) for who, chairs in found.items()]


def seats_of(section: Section) -> tuple[Seat, ...]:
    """The pitched pages of a section; the key each reads comes later.

    A section of percussion alone is seated with one player, whose rhythm it takes.
    """
    seats = [
        Seat(_who(who, chairs), who, NoteName(0))
        for who, chairs in shared_pages(section)
        if not chairs[0].unpitched
    ]
    return tuple(seats) or (Seat("flute", studio.player("flute"), NoteName(0)),)


def first_key(plan: Plan) -> NoteName:
    """The concert key of the first phrase that names one, or B-flat, the key bands begin in.

    Raises:
        RequestError: a phrase cannot be read.
    """
    lists = load_key_lists(data_folder("shared"))
    for text in plan.phrases:
        if keys := parse(spelled_out(text, lists), studio.catalogue()).keys:
            return keys[0]
    return NoteName.parse("Bb")


def _who(who: Player, chairs: Sequence[Chair]) -> str:
    names = list(dict.fromkeys(c.name for c in chairs))
    level = "" if who.level == "standard" else f" ({who.level})"
    return f"{names[0]}{level}"


def _page(exercises: Sequence[Exercise], place: int | None, who: Player, heading: str) -> Exercise:
    if place is not None:
        return exercises[place]
    return _rhythm_of(exercises[0], who, heading)


def _rhythm_of(exercise: Exercise, who: Player, heading: str) -> Exercise:
    """The rhythm of an exercise on one line, for percussion without a definite pitch."""
    bars = tuple(replace(bar, notes=tuple(_stroke(n) for n in bar.notes)) for bar in exercise.bars)
    return replace(
        exercise,
        head="Rhythm",
        details="",
        concert_heading=f"{heading[0].lower()}{heading[1:]}",
        instrument=who.instrument.name,
        level=who.level,
        key="",
        signature=0,
        clefs=(PERCUSSION_CLEF,) * len(bars),
        bars=bars,
        notes=(),
        ottava=False,
        drone="",
    )


def _stroke(note: Note) -> Note:
    if note.pitch is None:
        return note
    marks = tuple(mark for mark in note.marks if mark != "breath")
    return replace(note, pitch=LINE, slur=None, syllable=None, text=None, marks=marks)
