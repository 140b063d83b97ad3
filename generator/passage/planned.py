"""A passage in a plan: the request that keeps it, and what one visit to it prints.

Each visit is the passage and the next recipe in turn; of all keys it is two. What is printed carries the passage's own
text, so that the page can be made again after the file was changed or is gone.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise, Tempo
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.passage.all_keys import ORDER
from generator.passage.drill import drilled
from generator.passage.for_chair import written_for
from generator.passage.kept import KeptPassage, from_text, text_of
from generator.passage.recipe_rows import drill_rows
from generator.passage.request import DrillRequest, canonical_drill, parse_drill
from generator.passage.store import Passages

KEYS_A_VISIT = 2
"""A passage and one recipe, where a plan says nothing else: a short turn (Carter and Grahn 2016)."""
_KEYS = "%%scalewright-keys "
_CLASSES = 12


def as_request(phrase: str) -> Request:
    """What a plan keeps of a drill phrase: the passage, its recipes where some are named, and its tempi.

    Raises:
        RequestError: as `parse_drill`.

    >>> from generator.phrase.write import canonical
    >>> canonical(as_request("drill scherzo, chunk, crotchet = 72 to 120"))
    'drill scherzo, chunks, quarter = 72 to 120'
    """
    said = parse_drill(phrase)
    name = canonical_drill(replace(said, tempo=None, goal=None))
    place = sum(map(ord, name)) % _CLASSES
    routine = Routine(name, (), shared_catalogue().rhythms.find("quarters"), catalogue=place)
    return Request(routine, tempo=said.tempo, goal=said.goal)


def visit(
    name: str, passages: Passages, player: Player, plays: int, tempo: int | None, goal: int | None
) -> Exercise:
    """What is printed of a passage this time, under one number.

    Args:
        name: as the plan keeps it: "drill scherzo", or with recipes.
        passages: the player's own.
        player: for whom.
        plays: how often it was played before.
        tempo: where the row of tempi begins, or None.
        goal: tempo worked towards, or None for the passage's own.

    Raises:
        RequestError: there is no such passage any more, or nothing of it makes sense.
    """
    asked = parse_drill(name)
    kept = passages.find(asked.name)
    mine = written_for(kept, player) if kept.concert else kept
    wanted = goal or (mine.goal.bpm if mine.goal else None)
    begin = tempo or (wanted // 2 if wanted else None)
    if begin is not None:
        climbs = wanted if wanted and wanted > begin else None
        asked = replace(asked, tempo=Tempo(mine.beat, begin), goal=climbs)
    usual = (one.name for one in drill_rows().recipes if one.name != "passage")
    recipes = [one for one in asked.recipes if one != "passage"] or list(usual)
    reason = ""
    for turn in range(plays, plays + len(recipes)):
        recipe = recipes[turn % len(recipes)]
        round_ = plays // len(recipes)
        first = KEYS_A_VISIT * round_ % len(ORDER)
        offsets = ORDER[first : first + KEYS_A_VISIT]
        try:
            return _made(mine, replace(asked, recipes=(recipe,), every=False), player, offsets)
        except DoesNotFitError as error:
            reason = str(error)
    raise RequestError(reason or f"{name} makes no drill")


def visit_again(phrase: str, text: str, player: Player) -> Exercise:
    """What was printed of a passage, from the phrase and the text that were kept with the page.

    Raises:
        RequestError: they came from elsewhere and cannot be read.
    """
    keys = next((line for line in text.splitlines() if line.startswith(_KEYS)), "")
    numbers = [int(word) for word in keys.removeprefix(_KEYS).split() if word.lstrip("-").isdecimal()]
    offsets = [number for number in numbers if number in ORDER] or list(ORDER[:KEYS_A_VISIT])
    return _made(from_text(text), parse_drill(phrase), player, offsets)


def _made(kept: KeptPassage, asked: DrillRequest, player: Player, offsets: Sequence[int]) -> Exercise:
    passage = drilled(kept, replace(asked, recipes=("passage",)), player).exercises[0]
    drill = drilled(kept, asked, player, offsets=offsets).exercises[0]
    keys = f"{_KEYS}{' '.join(map(str, offsets))}\n" if drill.recipe == "all keys" else ""
    title = f"{kept.name[:1].upper()}{kept.name[1:]}, {kept.passage.name}"
    whole = replace(
        passage,
        phrase=canonical_drill(asked),
        head=title,
        called=None,
        text=keys + text_of(kept),
    )
    if drill.recipe == "passage":  # rows of numbers to join the chunks
        return replace(whole, beneath=drill.beneath)
    return replace(whole, follows=(replace(drill, called=""),))
