"""A required list for a whole section: every chair gets what the list asks of its instrument, or a draw common to all.

What is asked of each page stands in `required_pages`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.required_file import read_list
from generator.documents.required_list import RequiredItem, RequiredList, find_list, lists_folder
from generator.documents.section import Chair, Section
from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.one_line import on_one_line
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.practice.required_pages import ListedPage, ListSlot, built, drawn_pages, listed_pages
from generator.practice.required_sheet import note_words, source_words
from generator.section.concert_pitch import at_concert_pitch, in_clef
from generator.section.playing_tests import AskedScale, piece_points
from generator.section.rehearsal import ChairPart, Rehearsal
from generator.section.turns import Turn


@dataclass(frozen=True, slots=True)
class RequiredHandout:
    """A list, or a draw from it, for a section.

    Attributes:
        title: of the pages.
        note: where it was read, what else it says, and the warning.
        rehearsal: the page of every chair that has one.
        told: one line each: whose sheet somebody takes, what is left out, why there is no score.
    """

    title: str
    note: str
    rehearsal: Rehearsal
    told: tuple[str, ...]


def required_handout(
    name: str, section: Section, here: Path, draw: int = 0, chance: Random | None = None
) -> RequiredHandout:
    """What a list asks of each chair.

    Args:
        name: of a list, or the path of a file.
        section: who plays.
        here: the current folder.
        draw: how many exercises to draw, the same for all; 0 takes all, in the order of the list.
        chance: for the draw; without it nothing is drawn.

    Raises:
        RequestError: no such list, it is for none of the instruments, or it is shorter than the draw.
        BadFileError: the file has mistakes.
    """
    required = read_list(find_list(name, lists_folder(), here), shared_catalogue())
    listed, told = listed_pages(required, section)
    if draw and chance is not None:
        listed, lacking = drawn_pages(listed, draw, chance, required)
        told += lacking
    parts, together = _parts(listed)
    if not together and len(parts) > 1:
        told.append("the list asks each instrument for its own notes, so that bars do not line up: no score")
    turns = tuple(turn for _, turn in _turns(listed))
    items = list(dict.fromkeys(slot.item for one in listed for slot in one.slots))
    title, note = _words(required, items, drawn=bool(draw))
    return RequiredHandout(title, note, Rehearsal(tuple(parts), turns, together), tuple(told))


def required_scales(
    name: str, section: Section, here: Path, draw: int, chance: Random
) -> tuple[str, str, list[AskedScale], tuple[str, ...]]:
    """The same for a playing test: each exercise of the list with what everybody reads of it.

    Args:
        name: of a list, or the path of a file.
        section: who is tested.
        here: the current folder.
        draw: how many exercises to draw; 0 takes all.
        chance: for the draw.

    Returns:
        The title of the list, what it says, its exercises, and what is to be said.

    Raises:
        RequestError: as `required_handout`.
    """
    pitched = replace(section, chairs=tuple(chair for chair in section.chairs if not chair.unpitched))
    if not pitched.chairs:  # drums alone have the rhythms of what a flute would play
        pitched = replace(section, chairs=(Chair("Flute", player_named("flute")),))
    required = read_list(find_list(name, lists_folder(), here), shared_catalogue())
    listed, told = listed_pages(required, pitched)
    if draw:
        listed, lacking = drawn_pages(listed, draw, chance, required)
        told += lacking
    tested = {chair.player for chair in section.chairs}
    players = frozenset(one.player for one in listed if one.player in tested)
    scales = []
    for place, turn in _turns(listed):
        found = [(one.player, slot.exercise) for one in listed if (slot := one.at(place))]
        pieces = tuple((player, e, piece_points(e)) for player, e in found if player in players)
        scales.append(AskedScale(turn.heading, turn.read[0], pieces, players))
    items = list(dict.fromkeys(slot.item for one in listed for slot in one.slots))
    title, note = _words(required, items, drawn=bool(draw))
    return title, note, scales, tuple(told)


def _words(required: RequiredList, items: Sequence[RequiredItem], *, drawn: bool) -> tuple[str, str]:
    """Title and note of a list, or of a draw from it."""
    words = [*note_words(required, items, drawn=drawn), f"{', '.join(source_words(required, items))}."]
    title = f"Mock draw: {required.title}" if drawn else required.title
    return title, " ".join(f"{word[:1].upper()}{word[1:]}" for word in words)


def _parts(listed: Sequence[ListedPage]) -> tuple[list[ChairPart], bool]:
    """The page of each, and whether all sound the same notes in the same bars, so that a score makes sense."""
    made = {one.player: _part(one) for one in listed}
    pitched = [part for part in made.values() if not part.unpitched]
    together = _together(pitched)
    for part in made.values():
        if part.unpitched:
            lines = _along(part, pitched[0]) if together and pitched else _different(part.exercises)
            made[part.player] = replace(part, exercises=lines, heard=lines)
    return list(made.values()), together and bool(pitched)


def _along(drums: ChairPart, other: ChairPart) -> tuple[Exercise, ...]:
    """The rhythm of what the others play, exercise for exercise."""
    return tuple(
        on_one_line(e, drums.player, ", ".join(w for w in (e.concert_heading or e.head, e.details) if w))
        for e in other.exercises
    )


def _different(exercises: Sequence[Exercise]) -> tuple[Exercise, ...]:
    """Each rhythm once: keys make no difference to a drum."""
    found: dict[object, Exercise] = {}
    for exercise in exercises:
        found.setdefault(exercise.bars, exercise)
    return tuple(found.values())


def _part(one: ListedPage) -> ChairPart:
    player, instrument = one.player, one.player.instrument
    read = tuple(_numbered(slot.exercise, place, slot) for place, slot in enumerate(one.slots))
    heard = read
    if instrument.transposes:
        sounding = at_concert_pitch(player)
        heard = tuple(
            in_clef(_heard(slot.single, sounding, own), instrument)
            for slot, own in zip(one.slots, read, strict=True)
        )
    return ChairPart(one.chairs, player, read, heard)


def _numbered(exercise: Exercise, place: int, slot: ListSlot) -> Exercise:
    """With the number that the others have for it, where something before it is left out."""
    return exercise if place == slot.place else replace(exercise, called=str(slot.place + 1))


def _heard(single: Request, sounding: Player, read: Exercise) -> Exercise:
    if not single.concert:
        return read
    try:
        return built(single, sounding)
    except DoesNotFitError:
        return read


def _together(parts: Sequence[ChairPart]) -> bool:
    if len({len(part.exercises) for part in parts}) > 1:
        return False
    return all(
        len({_heard_when(*one) for one in zip(same, parts, strict=True)}) == 1
        for same in zip(*(part.exercises for part in parts), strict=True)
    )


def _heard_when(exercise: Exercise, part: ChairPart) -> tuple[object, ...]:
    """Bars with lengths and rests, and the pitch classes that are heard."""
    bars = tuple(tuple((note.length, note.pitch is None) for note in bar.notes) for bar in exercise.bars)
    return bars, _classes(exercise, part)


def _classes(exercise: Exercise, part: ChairPart) -> tuple[int, ...]:
    sounds = part.player.instrument.sounds.semitones
    return tuple((pitch.height + sounds) % 12 for pitch in exercise.pitches)


def _turns(listed: Sequence[ListedPage]) -> Iterator[tuple[int, Turn]]:
    """What stands on the cover: one line for each place of the list that somebody has."""
    pitched = [one for one in listed if not one.unpitched] or list(listed)
    for place in sorted({slot.place for one in pitched for slot in one.slots}):
        own = [(one, slot) for one in pitched if (slot := one.at(place))]
        said = list(dict.fromkeys(slot.said for _, slot in own))
        heading = said[0] if len(said) == 1 else "each instrument its own"
        read = tuple(slot.exercise for _, slot in own)
        yield place, Turn(f"{heading[:1].upper()}{heading[1:]}", read, read)
