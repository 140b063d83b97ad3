"""Passages cut from lines of our own: the foot of a drill names a request that holds every one of their notes.

Every form that is a scale, arpeggio or the like, in figures of each kind, on any tonic; five to sixteen notes of it, on
the way up, on the way down, or over the turn at the top as the exercise has it. The request that is named is expanded
as a sheet would print it and the notes looked for in it, in whatever octave: in one stretch, or in one before a turn
and one after it, for another instrument turns elsewhere.
"""

from random import Random

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import GeneratorError
from generator.passage.records import Passage, PassageBar, PassageNote, WrittenValue
from generator.passage.scales import scales_of
from generator.phrase import expand
from generator.theory.duration import Metre, Value
from generator.theory.pitch import Pitch

Row = tuple[str, str, str, bool]
_TONICS = ("C", "G", "D", "A", "E", "F", "B-flat", "E-flat", "A-flat", "D-flat", "B", "F-sharp")
_SIXTEENTH = Value(16)


def lines(most: int) -> Row:
    """So many passages within a way up or down, and as many from anywhere, over turns too."""
    flute = player_named("flute")
    named = {True: 0, False: 0}
    for one_way in named:
        for seed in range(most):
            phrase, passage = cut_out_of_a_line(Random(seed), flute, one_way=one_way)
            run = [note.pitch.height % 12 for note in passage.attacks if note.pitch]
            found = scales_of(passage)
            held = any(_holds(one, run, flute) for one in found)
            named[one_way] += held
            if not held:
                where = "one way" if one_way else "anywhere"
                print(
                    f"    seed {seed}, {where}: {len(run)} notes of {phrase}: {', '.join(found) or 'nothing'}"
                )
    told = f"{named[True]} of {most}; cut anywhere, over turns too, {named[False]}"
    return (
        f"{most} passages of our own lines",
        "all named by a request that holds them",
        told,
        named[True] == most,
    )


def cut_out_of_a_line(chance: Random, player: object, *, one_way: bool = False) -> tuple[str, Passage]:
    """A phrase and some notes of its line, one after another; within its way up or down, or from anywhere."""
    names = shared_catalogue()
    figures = [one.name for one in names.figures.rows if not one.drone]
    while True:
        form = chance.choice(names.forms.rows)
        figure = chance.choice(["straight", chance.choice(figures)])
        tonic = chance.choice(_TONICS)
        phrase = f"{form.name} on {tonic}" + (f" in {figure}" if figure != "straight" else "")
        phrase += chance.choice((", up", ", down")) if one_way else ""
        try:
            (exercise,) = expand.exercises([phrase], player).exercises  # type: ignore[arg-type]
        except (GeneratorError, ValueError):
            continue
        pitches = exercise.pitches
        if len(pitches) < 12:
            continue
        count = chance.randrange(5, min(17, len(pitches) // 2))
        start = chance.randrange(len(pitches) - count)
        chosen = pitches[start : start + count]
        heights = [pitch.height for pitch in pitches]
        if one_way and not {min(heights), max(heights)}.isdisjoint(heights[start + 1 : start + count - 1]):
            continue  # down to the lowest note and up again to the tonic
        if len({pitch.height for pitch in chosen}) > 2:
            return exercise.phrase, passage_of(chosen, exercise.signature)


def passage_of(pitches: tuple[Pitch, ...], signature: int) -> Passage:
    """Pitches as sixteenths in 4/4."""
    metre = Metre.parse("4/4")
    notes = tuple(
        PassageNote(pitch, _SIXTEENTH.length * place, (WrittenValue(_SIXTEENTH),))
        for place, pitch in enumerate(pitches)
    )
    bars = tuple(
        PassageBar(str(number + 1), metre, signature, metre.length * number, metre.length)
        for number in range(-(-len(pitches) // 16))
    )
    return Passage(bars, notes)


def _holds(phrase: str, run: list[int], player: object) -> bool:
    """Whether the exercise of a phrase holds a run, in some octave."""
    try:
        made = expand.exercises([phrase], player).exercises  # type: ignore[arg-type]
    except GeneratorError:
        return False
    heights = [pitch.height % 12 for pitch in made[0].pitches]
    # A player turns where their instrument does, so what is before a turn and what is after it may lie apart.
    return any(
        _stands(run[:cut], heights) and _stands(run[cut:], heights) for cut in (0, *range(1, len(run)))
    )


def _stands(part: list[int], line: list[int]) -> bool:
    return any(line[k : k + len(part)] == part for k in range(len(line) - len(part) + 1))
