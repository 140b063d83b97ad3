"""A required list on paper: all of it, or a mock draw as at an audition."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing
from generator.documents.required_file import read_list
from generator.documents.required_list import (
    WARNING,
    RequiredItem,
    RequiredList,
    find_list,
    list_names,
    lists_folder,
)
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.build import Player
from generator.exercise.request import Request
from generator.phrase import expand
from generator.phrase.write import canonical
from generator.practice.duration_estimate import estimate
from generator.practice.within import within

_BARE = Dressing()


@dataclass(frozen=True, slots=True)
class RequiredSheet:
    """A list, or a draw from it, for one player.

    Attributes:
        title: of the page.
        subtitle: where it was read, and whether it is from memory.
        note: what else the list says, and the warning.
        phrases: one for each exercise, in order.
        refused: phrase and reason of what does not fit.
    """

    title: str
    subtitle: str
    note: str
    phrases: tuple[str, ...]
    refused: tuple[tuple[str, str], ...] = ()


def every_list() -> list[RequiredList]:
    """The program's own required lists, by name."""
    folder = lists_folder()
    return [read_list(folder / f"{name}.toml", shared_catalogue()) for name in list_names(folder)]


def required_sheet(
    name: str, player: Player, here: Path, draw: int = 0, chance: Random | None = None
) -> RequiredSheet:
    """What a list asks of a player.

    Args:
        name: of a list, or the path of a file.
        player: the player.
        here: the current folder.
        draw: how many exercises to draw; 0 takes all, in the order of the list.
        chance: for the draw.

    Raises:
        RequestError: no such list, it is not for the instrument, nothing of it fits, or it is shorter than the draw.
        BadFileError: the file has mistakes.
    """
    required = read_list(find_list(name, lists_folder(), here), shared_catalogue())
    singles, refused = _singles(required.items_for(player.instrument), player)
    if not singles:
        raise DoesNotFitError(refused[-1][1])
    if draw > len(singles):
        raise RequestError(f"{required.title} has {len(singles)} exercises; {draw} cannot be drawn")
    if draw and chance is not None:
        drawn = chance.sample(range(len(singles)), draw)
        singles = [singles[place] for place in (sorted(drawn) if required.ordered else drawn)]
    phrases = tuple(canonical(worn(single, item, chance)) for single, item in singles)
    items = [item for _, item in singles]
    return RequiredSheet(
        f"Mock draw: {required.title}" if draw else required.title,
        " · ".join(source_words(required, items)),
        " ".join(note_words(required, items, drawn=bool(draw))),
        phrases,
        tuple(refused),
    )


def _singles(
    items: Sequence[RequiredItem], player: Player
) -> tuple[list[tuple[Request, RequiredItem]], list[tuple[str, str]]]:
    """Each exercise by itself; complete octaves come down to one where the instrument has no more."""
    found: list[tuple[Request, RequiredItem]] = []
    refused: list[tuple[str, str]] = []
    for item in items:
        for single in expand.singles_for(item.request_for(player.instrument.name), player):
            try:
                found.append((fitting(single, item, player), item))
            except DoesNotFitError as error:
                refused.append((canonical(single), str(error)))
    return found, refused


def fitting(single: Request, item: RequiredItem, player: Player) -> Request:
    """One exercise in the register and the span in which a player can have it.

    Raises:
        DoesNotFitError: the player cannot have it at all.
    """
    single = within(single, item.low, item.high, player, complete=item.complete)
    if item.complete:
        try:
            estimate(single, _BARE, player, exact=True)
        except DoesNotFitError:
            single = replace(single, span=shared_catalogue().spans.find("one octave"))
        else:
            return single
    estimate(single, _BARE, player)
    return single


def worn(single: Request, item: RequiredItem, chance: Random | None) -> Request:
    """With one of the articulations asked for, where the draw decides."""
    if chance is None or not item.articulations:
        return single
    return replace(
        single, articulation=shared_catalogue().articulations.find(chance.choice(item.articulations))
    )


def source_words(required: RequiredList, items: Sequence[RequiredItem]) -> list[str]:
    """Where a list was read, and whether it is from memory."""
    memory = ["from memory"] if items and all(item.memory for item in items) else []
    year = required.year if required.year in required.source else ""
    return [*memory, required.source if year else f"{required.source}, {required.year}"]


def note_words(required: RequiredList, items: Sequence[RequiredItem], *, drawn: bool) -> list[str]:
    """What else a list says, and the warning."""
    sets = list(dict.fromkeys(item.articulations for item in items if item.articulations))
    each = [f"Each {' and '.join(names)}." for names in sets] if not drawn else []
    order = ["In this order."] if required.ordered else []
    return [*order, *each, *([required.note] if required.note else []), WARNING]
