"""What a required list asks of each page of a section, and a draw that is common to all.

An instrument the list does not name takes the sheet of one that is read and fingered alike, and that is said; one that
has none is left out by name, and the others go on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from generator.catalogue.tables import shared_catalogue
from generator.documents.required_list import RequiredItem, RequiredList
from generator.documents.section import Chair, Section
from generator.errors import DoesNotFitError, RequestError, clipped
from generator.exercise.build import Player
from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.phrase import expand
from generator.phrase.write import canonical
from generator.practice.required_sheet import fitting, worn
from generator.section.rehearsal import shared_pages

_MOST_REFUSED = 2


@dataclass(frozen=True, slots=True)
class ListSlot:
    """One exercise of a list for one player.

    Attributes:
        place: in the list as it stands for the instrument, from 0.
        single: fitted to the player.
        item: what asks for it.
        exercise: as it is read.
    """

    place: int
    single: Request
    item: RequiredItem
    exercise: Exercise

    @property
    def said(self) -> str:
        """As the list asks for it, whatever span the instrument has."""
        plain = Request(self.single.form)
        return canonical(replace(self.single, span=plain.span, register=plain.register, tempo=None))


@dataclass(frozen=True, slots=True)
class ListedPage:
    """What a list asks of those who share a page.

    Attributes:
        player: who it is.
        chairs: their chairs.
        slots: what they can have of it.
        count: how much it asks.
    """

    player: Player
    chairs: tuple[Chair, ...]
    slots: tuple[ListSlot, ...]
    count: int

    @property
    def unpitched(self) -> bool:
        """Whether it is a drum."""
        return self.player.instrument.unpitched

    def at(self, place: int) -> ListSlot | None:
        """What they have at a place."""
        return next((slot for slot in self.slots if slot.place == place), None)

    def saying(self, said: str) -> ListSlot | None:
        """What they have of something the list asks for."""
        return next((slot for slot in self.slots if slot.said == said), None)


def listed_pages(required: RequiredList, section: Section) -> tuple[list[ListedPage], list[str]]:
    """What a list asks of each page, and what is to be said about that, a line each.

    Args:
        required: the list.
        section: who plays.

    Raises:
        DoesNotFitError: it is for nobody in this section.
    """
    listed: list[ListedPage] = []
    told: list[str] = []
    without: list[Chair] = []
    for player, chairs in shared_pages(section):
        stands_for = required.stands_for(player.instrument, shared_catalogue().instruments)
        try:
            items = required.items_for(stands_for)
        except DoesNotFitError:
            without += chairs
            continue
        one, refused = _of_one(player, chairs, items, stands_for.name)
        told += _remarks(required, player.instrument, stands_for, _names(chairs))
        told += [f"left out for {_names(chairs)}: {reason}" for reason in refused[:_MOST_REFUSED]]
        if refused[_MOST_REFUSED:]:
            told.append(f"left out for {_names(chairs)}: {len(refused)} of {one.count} in all")
        if one.slots:
            listed.append(one)
    if without:
        whom = clipped(", ".join(required.named), 160)
        told.insert(0, f"left out, because the list is for {whom} alone: {_names(without, most=12)}")
    if not listed:
        raise DoesNotFitError("\n".join(dict.fromkeys(told)))
    return listed, told


def _of_one(
    player: Player, chairs: tuple[Chair, ...], items: Sequence[RequiredItem], name: str
) -> tuple[ListedPage, list[str]]:
    """What one page can have of a list, and why not the rest."""
    slots: list[ListSlot] = []
    refused: list[str] = []
    asked = [
        (single, item) for item in items for single in expand.singles_for(item.request_for(name), player)
    ]
    for place, (single, item) in enumerate(asked):
        try:
            fitted = fitting(single, item, player)
            slots.append(ListSlot(place, fitted, item, built(fitted, player)))
        except DoesNotFitError as error:
            refused.append(str(error))
    return ListedPage(player, chairs, tuple(slots), len(asked)), refused


def _remarks(required: RequiredList, instrument: Instrument, other: Instrument, names: str) -> Iterator[str]:
    if other != instrument:
        yield f"{names}: the list does not name the {instrument.name}; as for the {other.name}"
    elif required.named and instrument.name not in required.named:
        yield f"{names}: what the list asks of everyone; for some exercises it names other instruments"


def _names(chairs: Sequence[Chair], most: int = 3) -> str:
    names = list(dict.fromkeys(chair.name for chair in chairs))
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if names[most:] else "")


def drawn_pages(
    listed: Sequence[ListedPage], draw: int, chance: Random, required: RequiredList
) -> tuple[list[ListedPage], list[str]]:
    """The same draw for all: by place where every list is equally long, else of what all have in common.

    Args:
        listed: what is asked of each page.
        draw: how many exercises.
        chance: draws them.
        required: the list.

    Returns:
        What is drawn for each page, and who lacks what of it: nobody stops a draw for the want of notes.

    Raises:
        RequestError: there are not so many.
    """
    pitched = [one for one in listed if not one.unpitched] or list(listed)
    by_place = len({one.count for one in pitched}) < 2

    def of(one: ListedPage, slot: ListSlot) -> ListSlot | None:
        return one.at(slot.place) if by_place else one.saying(slot.said)

    first, *others = [one for one in pitched if len(one.slots) == one.count] or pitched
    shared = [slot for slot in first.slots if all(of(other, slot) for other in others)]
    if draw > len(shared):
        common = " that all these instruments have" if others and len(shared) < first.count else ""
        raise RequestError(f"{required.title} has {len(shared)} exercises{common}; {draw} cannot be drawn")
    places = chance.sample(range(len(shared)), draw)
    drawn = [shared[place] for place in (sorted(places) if required.ordered else places)]
    # One articulation for all: who does not know it plays plain.
    strokes = [worn(slot.single, slot.item, chance) for slot in drawn]
    found: list[ListedPage] = []
    told: list[str] = []
    for one in listed:
        slots = []
        for place, (slot, stroke) in enumerate(zip(drawn, strokes, strict=True)):
            # A drummer has one rhythm where the others have a scale in every key.
            own = of(one, slot) or (one.slots[-1] if one.unpitched else None)
            if own:
                slots.append(replace(_dressed(own, stroke, one.player), place=place))
            else:
                told.append(f"left out for {_names(one.chairs)}: {slot.said}, for want of notes")
        if slots:
            found.append(replace(one, slots=tuple(slots), count=draw))
    return found, told


def _dressed(slot: ListSlot, drawn: Request, player: Player) -> ListSlot:
    """With the articulation that was drawn, where the list leaves a choice."""
    if not slot.item.articulations:
        return slot
    single = replace(slot.single, articulation=drawn.articulation)
    return replace(slot, single=single, exercise=built(single, player))


def built(single: Request, player: Player) -> Exercise:
    """An exercise of a list; plain, where the instrument does not have the strokes asked for.

    Raises:
        DoesNotFitError: the player cannot have it.
    """
    try:
        return expand.build_single(single, player)
    except DoesNotFitError:
        # Strokes that the instrument does not have: the notes count.
        return expand.build_single(replace(single, articulation=None, articulation_down=None), player)
