"""Random passages handed out to a band and to an orchestra of beginners."""

from collections.abc import Iterator
from fractions import Fraction
from random import Random

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import from_names
from generator.documents.section_file import read_section
from generator.errors import DoesNotFitError
from generator.exercise.records import Bar
from generator.files.resources import data_folder
from generator.passage.kept import KeptPassage
from generator.section.percussion import follows
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.together import TOGETHER
from generator.theory.written_key import KEYS
from tests.passage.passages import random_passage

Row = tuple[str, str, str, bool]


def section(most: int) -> Row:
    instruments = shared_catalogue().instruments
    beginners = "flute, violin, viola, cello, double bass, harp, timpani, piano left hand, baritone voice"
    groups = [
        read_section(data_folder("shared") / "examples" / "harbour-street.toml", instruments),
        from_names(beginners, "first notes", instruments),
    ]
    made = faults = refused = 0
    for seed in range(most):
        chance = Random(seed)
        kept = KeptPassage("random", random_passage(chance, bars=chance.randint(1, 6)), concert=True)
        plan = RehearsalPlan(
            ("drill random",),
            kept=(kept,),
            together=chance.choice(TOGETHER),
            keys=chance.choice(KEYS),
        )
        for group in groups:
            try:
                rehearsal = rehearse(group, plan)
            except DoesNotFitError:
                refused += 1
                if plan.together != "narrow":
                    faults += 1
                    print(f"    seed {seed} is refused")
                continue
            made += 1
            if not all(_same_drill(part, rehearsal) for part in rehearsal.parts):
                faults += 1
                print(f"    seed {seed}")
    goal = "same bars, cells and pitch classes"
    return f"{made} handouts, {refused} refused", goal, f"{faults} faults", not faults


def _same_drill(part: ChairPart, rehearsal: Rehearsal) -> bool:
    """Whether a part has the bars, cells and pitch classes of the passage as it sounds, within its own notes."""
    up = part.player.instrument.sounds.semitones
    for mine, turn in zip(part.exercises, rehearsal.turns, strict=True):
        model = turn.rhythm
        assert model is not None
        if [bar.filled for bar in mine.bars] != [bar.filled for bar in model.bars]:
            return False
        if mine.recipe != "articulations" and [b.label for b in mine.bars] != [b.label for b in model.bars]:
            return False
        if follows(part.player.instrument):
            continue
        if not all(part.player.compass.holds(pitch) and abs(pitch.alter) <= 2 for pitch in mine.pitches):
            return False
        for bar, like in zip(mine.bars, model.bars, strict=True):
            there = dict(_heights(like))
            if any(place not in there or (h + up - there[place]) % 12 for place, h in _heights(bar)):
                return False
    return True


def _heights(bar: Bar) -> Iterator[tuple[Fraction, int]]:
    place = Fraction(0)
    for note in bar.notes:
        if note.pitch is not None:
            yield place, note.pitch.height
        place += note.length
