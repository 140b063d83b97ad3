"""From degrees to the pitches of a line: how it is spelled, where it turns, and how it closes."""

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.figure import Group
from generator.exercise.instrument import Compass
from generator.exercise.notate import LineTone
from generator.theory.form import Ladder, Way


def spelled_line(
    groups: Sequence[Group], ladder: Ladder, compass: Compass, *, resolved: bool
) -> list[LineTone]:
    """The pitches of a line.

    Args:
        groups: what is played, in order.
        ladder: the form on its written tonic.
        compass: the player's written compass.
        resolved: a form that wants it is followed by its resolution.

    Raises:
        DoesNotFitError: the resolution lies outside the compass.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.pitch import NoteName, Pitch
    >>> ladder = Ladder(shared_catalogue().forms.find("melodic minor"), NoteName.parse("A"))
    >>> groups = [Group((degree,), "up") for degree in range(28, 36)]
    >>> groups += [Group((degree,), "down") for degree in range(34, 27, -1)]
    >>> line = spelled_line(groups, ladder, Compass(Pitch.parse("C4"), Pitch.parse("C6")), resolved=True)
    >>> print(*[tone.pitch for tone in line])
    A4 B4 C5 D5 E5 F#5 G#5 A5 G5 F5 E5 D5 C5 B4 A4
    """
    steps = [(d, g.way) for g in groups for d in g.degrees]
    if all(len(g.degrees) == 1 for g in groups[:-1]):
        spelled = _kept_at_turns(steps, ladder)
        tones = _with_turns(
            [LineTone(ladder.pitch(d, s), w) for (d, w), s in zip(steps, spelled, strict=True)]
        )
    else:
        tones = [LineTone(ladder.pitch(d, way), way) for d, way in steps]
    if resolved and ladder.form.resolves.steps:
        tones.append(_resolution(tones[-1], ladder, compass))
    return tones


def _resolution(last: LineTone, ladder: Ladder, compass: Compass) -> LineTone:
    """The note a form resolves to, an octave lower where the compass lacks it."""
    rest = ladder.form.resolves.above(last.pitch)
    for pitch in (rest, rest.octaves_up(-1)):
        if compass.holds(pitch):
            return LineTone(pitch, last.half)
    raise DoesNotFitError(f"{ladder.form.name} cannot resolve to {rest.words} between {compass.words}")


def _kept_at_turns(steps: Sequence[tuple[int, Way]], ladder: Ladder) -> list[Way]:
    """Which form spells each note of a scale.

    Melodic minor that turns on its sixth or seventh degree keeps the raised notes there: F-sharp G-sharp F-sharp E in A
    minor, never the augmented second of G-sharp F (common practice, no source).
    """
    spelled = [way for _, way in steps]
    if ladder.form.up == ladder.form.down:
        return spelled
    for turn in range(1, len(steps)):
        before, after = steps[turn - 1][1], steps[turn][1]
        if before == after or not _differs(steps[turn - 1][0], ladder):
            continue
        places = range(turn, len(steps)) if before == "up" else range(turn - 1, -1, -1)
        for place in places:
            degree, way = steps[place]
            if way != "down" or not _differs(degree, ladder):
                break
            spelled[place] = "up"
    return spelled


def _differs(degree: int, ladder: Ladder) -> bool:
    return ladder.pitch(degree, "up").height != ladder.pitch(degree, "down").height


def _with_turns(tones: Sequence[LineTone]) -> list[LineTone]:
    """Mark the note that two halves share: the outermost one where the way changes."""
    marked = list(tones)
    for index in range(1, len(marked)):
        before, here = marked[index - 1], marked[index]
        if before.half == here.half:
            continue
        rising = before.half == "up"
        outer = index - 1 if (before.pitch.height > here.pitch.height) == rising else index
        marked[outer] = replace(marked[outer], turn=True)
    return marked
