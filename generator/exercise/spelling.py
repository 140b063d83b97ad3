"""From degrees to the pitches of a line: how it is spelled, where it turns, and how it closes."""

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.breath import Pause
from generator.exercise.instrument import Compass
from generator.exercise.laying import Group
from generator.exercise.notate import LineTone
from generator.theory.form import Ladder, Way


def spelled_line(
    groups: Sequence[Group],
    ladder: Ladder,
    compass: Compass,
    *,
    resolved: bool,
    shape: Sequence[Group] = (),
) -> list[LineTone]:
    """The pitches of a line.

    Args:
        groups: what is played, in order.
        ladder: the form on its written tonic.
        compass: the player's written compass.
        resolved: a form that wants it is followed by its resolution.
        shape: the line before it was folded into a narrow compass, which tells where it turns; empty where it was not.

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
    shape = shape or groups
    tones = _with_turns(
        [
            LineTone(ladder.pitch(d, g.way), half, pause="phrase" if k == len(g.degrees) - 1 else "")
            for g, half in zip(shape, _halves(shape, ladder.size), strict=True)
            for k, d in enumerate(g.degrees)
        ]
    )
    if all(len(g.degrees) == 1 for g in shape[:-1]):
        tones = [replace(t, opens=t.turn or k == 0, pause="") for k, t in enumerate(tones)]
    if shape is not groups:
        played = [ladder.pitch(d, g.way) for g in groups for d in g.degrees]
        tones = [replace(t, pitch=pitch) for t, pitch in zip(tones, played, strict=True)]
    if resolved and ladder.form.resolves.steps:
        tones.append(_resolution(tones[-1], ladder, compass))
    return _with_pauses(tones, ladder)


def _halves(groups: Sequence[Group], size: int) -> list[Way]:
    """The half of the line that each group belongs to.

    From the lowest note of a full range a line climbs less than an octave back to its tonic: that is the end of its
    falling half and no half of its own, just as a dip to the leading note is.
    """
    ways = [group.way for group in groups]
    start = next((k for k in range(len(ways), 0, -1) if ways[k - 1] != "up"), 0)
    fall = next((k for k in range(start, 0, -1) if ways[k - 1] != "down"), 0)
    if not 0 < start < len(ways):
        return ways
    last = groups[-1].degrees[-1]
    lowest = min(d for group in groups[start:] for d in group.degrees)
    highest = max(d for group in groups[fall:start] for d in group.degrees)
    climbs_back = last < highest and last - lowest < size
    end: list[Way] = ["down"] * (len(ways) - start)
    return [*ways[:start], *end] if climbs_back else ways


def _with_pauses(tones: Sequence[LineTone], ladder: Ladder) -> list[LineTone]:
    """What a breath after each note would part."""
    home = ladder.pitch(0).height
    marked: list[LineTone] = []
    for index, tone in enumerate(tones):
        after = tones[index + 1].pitch.height if index + 1 < len(tones) else None
        leads = after is not None and after - tone.pitch.height == 1 and (after - home) % 12 == 0
        pause: Pause = tone.pause
        if leads:
            pause = "never"
        elif tone.turn:
            pause = "turn"
        elif not pause and (tone.pitch.height - home) % 12 == 0:
            pause = "phrase"
        marked.append(tone if pause == tone.pause else replace(tone, pause=pause))
    return marked


def _resolution(last: LineTone, ladder: Ladder, compass: Compass) -> LineTone:
    """The note a form resolves to, an octave lower where the compass lacks it."""
    rest = ladder.form.resolves.above(last.pitch)
    for pitch in (rest, rest.octaves_up(-1)):
        if compass.holds(pitch):
            return LineTone(pitch, last.half)
    raise DoesNotFitError(f"{ladder.form.name} cannot resolve to {rest.words} between {compass.words}")


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
