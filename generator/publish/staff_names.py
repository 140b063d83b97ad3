"""What the staves of a score are called: the instrument, or its chairs where an instrument has several parts."""

import re
from collections import Counter
from collections.abc import Sequence

from generator.documents.section import called
from generator.pages.score import Staff
from generator.section.rehearsal import ChairPart

_NUMBER = re.compile(r"(\d{1,2})")


def staves(parts: Sequence[ChairPart], *, concert: bool) -> tuple[Staff, ...]:
    """The staves of a score.

    Args:
        parts: in score order.
        concert: at concert pitch instead of as read.
    """
    counts = Counter(part.player.instrument.name for part in parts)
    seen: Counter[str] = Counter()
    found: list[Staff] = []
    for part in parts:
        instrument = part.player.instrument
        seen[instrument.name] += 1
        several = counts[instrument.name] > 1
        name, short = called(instrument), instrument.short
        if several:
            name, short = _numbered(part, seen[instrument.name])
        exercises = part.heard if concert else part.exercises
        found.append(Staff(name, short, instrument.name, instrument.family, exercises))
        if any(one.left for one in exercises):
            lower = tuple(one.left or one for one in exercises)
            found.append(Staff("", "", instrument.name, instrument.family, lower))
    return tuple(found)


def _numbered(part: ChairPart, place: int) -> tuple[str, str]:
    """Names for one of several parts of an instrument."""
    names = list(dict.fromkeys(chair.name for chair in part.chairs))
    instrument = part.player.instrument
    numbers = [m[1] for name in names if (m := _NUMBER.search(name))]
    short = f"{instrument.short} {', '.join(numbers) if len(numbers) == len(names) else place}"
    if len(names) > 1:
        return _joined(names) or f"{called(instrument)} {place}", short
    return (names[0] if names[0] != called(instrument) else f"{called(instrument)} {place}"), short


def _joined(names: Sequence[str]) -> str:
    """``1st, 2nd Clarinet`` for chairs that differ in their first word alone, or ""."""
    firsts, rests = zip(*(name.partition(" ")[::2] for name in names), strict=True)
    return f"{', '.join(firsts)} {rests[0]}" if len(set(rests)) == 1 and rests[0] else ""
