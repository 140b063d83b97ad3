"""How long an exercise takes on a sheet, and whether it is heavy, from its notes.

Time: half a minute to look, then six careful plays at the start tempo (clean three times in a row, at two tempi), or as
many as fill three minutes, but at least one. Whole minutes. (Our own convention; a plan may say otherwise.)

Heavy: for whoever blows or sings, an exercise most of whose notes lie in the top third of the player's own notes;
slurs over the partials already when a third of them does; overtones always. (The rule against two of them side by
side is brass teachers' custom; where it begins is our own convention.)

Warm: long tones, intervals over a drone, slurs over the partials that are not heavy. (Long tones and easy slurs first:
five band directors, The Instrumentalist, October 2009.)
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import Dressing
from generator.exercise.build import Player, Recipe, fit_request, written_tonic
from generator.exercise.fit import fit
from generator.exercise.records import Exercise
from generator.exercise.request import EVERY, Request
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.tempo import beat_value
from generator.passage.named import MINUTES, is_drill
from generator.phrase import expand
from generator.phrase.vocabulary import UNIT_NAMES
from generator.theory.form import Ladder

LOOK, PLAYS, MOST_PLAYING = 30, 6, 180  # seconds, times, seconds
USUAL_TEMPO = 60
_HIGH = Fraction(2, 3)
_MOST, _PARTIALS_HIGH = Fraction(1, 2), Fraction(1, 3)
_BLOWN = ("flute", "reed", "brass", "voice")


@dataclass(frozen=True, slots=True)
class DurationEstimate:
    """What the list needs to know of an exercise: whole minutes, whether it is heavy, whether it warms up."""

    minutes: int
    heavy: bool
    warm: bool = False


def estimate(single: Request, dressing: Dressing, player: Player, *, exact: bool = False) -> DurationEstimate:
    """Estimate a single request in a written key.

    Args:
        single: one key, no dressing.
        dressing: for its tempo and first rhythm.
        player: the player.
        exact: refuse a narrower span.

    Raises:
        DoesNotFitError: it does not fit the player's notes.
    """
    player = expand.stand_in(player)
    if isinstance(single.form, Routine) and is_drill(single.form.name):
        return DurationEstimate(MINUTES, heavy=False)
    if isinstance(single.form, Routine):
        made = expand.build_single(single, player)
        heights = [pitch.height for pitch in made.pitches]
        length = sum((bar.filled for bar in made.bars), Fraction(0))
        brass = player.instrument.wind == "brass"
        heavy = not brass or _heavy(heights, player, _PARTIALS_HIGH)
        return DurationEstimate(_minutes(length, made.beat.length, dressing), heavy, warm=brass and not heavy)
    name = next((name for name in dressing.rhythms if name != EVERY), "")
    rhythm = shared_catalogue().rhythms.find(name) if name else None
    recipe = expand.recipe(replace(single, rhythm=rhythm), exact=exact)
    if recipe.form.resolves.steps:
        expand.build_single(recipe.request, player, exact=exact)  # its note of rest must be in reach as well
    heights = _heights(recipe, player)
    row = recipe.rhythm
    unit = UNIT_NAMES[dressing.unit] if dressing.unit else beat_value(row.metre)
    figure = recipe.figure
    warm = figure.drone or bool(figure.articulation and figure.articulation.each)
    minutes = _minutes(_length(len(heights), row), unit.length, dressing)
    return DurationEstimate(minutes, _heavy(heights, player, _MOST), warm)


def minutes_of(made: Exercise) -> int:
    """The whole minutes that a finished exercise takes, played as often as is usual."""
    length = sum((bar.filled for bar in made.bars), Fraction(0))
    return _minutes(length, made.beat.length, Dressing(start=made.tempo.bpm if made.tempo else None))


def _heights(recipe: Recipe, player: Player) -> list[int]:
    request, form = recipe.request, recipe.form
    ladder = Ladder(form, written_tonic(request, form, player.instrument))
    groups = fit(fit_request(recipe, ladder, player.instrument), player.compass, recipe.spans).groups
    return [ladder.pitch(degree, group.way).height for group in groups for degree in group.degrees]


def _length(notes: int, rhythm: Rhythm) -> Fraction:
    """Whole notes that so many notes take, the last bar filled."""
    cell = sum((slot.value.length for slot in rhythm.cell), Fraction(0))
    bars = notes * cell / rhythm.notes_in_cell / rhythm.metre.length
    return -(-bars.numerator // bars.denominator) * rhythm.metre.length


def _minutes(length: Fraction, unit: Fraction, dressing: Dressing) -> int:
    if dressing.first_tempo is None:
        # Where eighths are counted, they are not played as slowly as quarters.
        unit = max(unit, Fraction(1, 4))
    once = length / unit * 60 / (dressing.first_tempo or USUAL_TEMPO)
    seconds = LOOK + max(once, min(PLAYS * once, Fraction(MOST_PLAYING)))
    return max(1, int(seconds / 60 + Fraction(1, 2)))


def _heavy(heights: list[int], player: Player, share: Fraction) -> bool:
    """Whether more than a share of the notes lies high."""
    if player.instrument.wind not in _BLOWN:
        return False
    low, high = player.compass.low.height, player.compass.high.height
    line = low + _HIGH * (high - low)
    return sum(height > line for height in heights) > share * len(heights)
