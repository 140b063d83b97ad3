"""Folding: a wide line brought into a narrow compass, group by group, by octaves.

Players at different levels then share bars and sound the same notes but for the octave. A group keeps its shape where
some octave holds all of it; else its notes are placed one by one.
"""

from collections.abc import Sequence

from generator.errors import DoesNotFitError
from generator.exercise.instrument import Compass
from generator.exercise.laying import Group
from generator.section.ensemble import Groups, moved, shifts_of
from generator.theory.form import Ladder

# What a change of octave costs, in semitones of distance from the middle of the compass: less after a tonic, where a
# player expects a new octave to begin, and at the turn, where a leap is no seventh in mid-scale; more beside the first
# and the last note, which tell where the line belongs.
_CHANGE, _CHANGE_AT_TONIC, _CHANGE_AT_END = 100.0, 40.0, 120.0


def fold(groups: Groups, ladder: Ladder, compass: Compass, home: int) -> Groups:
    """Bring every group into a compass with as few changes of octave as possible.

    Args:
        groups: the line, in degrees of the ladder.
        ladder: the written ladder of who plays.
        compass: written limits.
        home: degree of a tonic.

    Raises:
        DoesNotFitError: a note of the line lies in no octave of the compass.
    """
    parts = [part for group in groups for part in _parts(group, ladder, compass)]
    offers = [shifts_of((part,), ladder, compass) for part in parts]
    for part, offer in zip(parts, offers, strict=True):
        if not offer:
            note = ladder.pitch(part.degrees[0], part.way).note
            raise DoesNotFitError(f"no {note.words} lies between {compass.words}, in any octave")
    chosen = _path(parts, offers, ladder, compass, home)
    return tuple(moved((part,), shift * ladder.size)[0] for part, shift in zip(parts, chosen, strict=True))


def _parts(group: Group, ladder: Ladder, compass: Compass) -> list[Group]:
    if shifts_of((group,), ladder, compass):
        return [group]
    return [Group((degree,), group.way) for degree in group.degrees]


def _path(
    parts: Sequence[Group], offers: Sequence[Sequence[int]], ladder: Ladder, compass: Compass, home: int
) -> tuple[int, ...]:
    """The cheapest octave for each part."""
    middle = (compass.low.height + compass.high.height) / 2
    best: dict[int, tuple[float, tuple[int, ...]]] = dict.fromkeys(offers[0], (0.0, ()))
    previous = parts[0]
    top = max(part.degrees[0] for part in parts)
    for index, (part, offer) in enumerate(zip(parts, offers, strict=True)):
        heights = [ladder.pitch(d, part.way).height for d in part.degrees]
        tonic = (previous.degrees[0] - home) % ladder.size == 0
        change = _CHANGE_AT_TONIC if tonic or top in (previous.degrees[0], part.degrees[0]) else _CHANGE
        if index in (1, len(parts) - 1):
            change = _CHANGE_AT_END
        row: dict[int, tuple[float, tuple[int, ...]]] = {}
        for shift in offer:
            off = abs((min(heights) + max(heights)) / 2 + 12 * shift - middle)
            total, path = min((t + change * abs(shift - s), p) for s, (t, p) in best.items())
            row[shift] = (total + off, (*path, shift))
        best, previous = row, part
    return min(best.values())[1]
