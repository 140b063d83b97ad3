"""What the staves of a score are called: as the director calls the chairs, in full and in short."""

import re
from collections import Counter
from collections.abc import Sequence

from generator.documents.section import Chair, called
from generator.exercise.hands import resting_left
from generator.exercise.instrument import Instrument
from generator.pages.score import Staff
from generator.section.rehearsal import ChairPart

_NUMBER = re.compile(r"(\d{1,2})")
_WORD = re.compile(r"[^\W\d_]+")
_ORDINAL = re.compile(r"\b(\d{1,2})(?:st|nd|rd|th)\b", re.IGNORECASE)
# A name of so few letters serves at later systems as it is.
_SHORT = 8
# More chairs on one staff are counted instead of named.
_MOST_NAMED = 4


def staves(parts: Sequence[ChairPart], *, concert: bool) -> tuple[Staff, ...]:
    """The staves of a score.

    Args:
        parts: in score order.
        concert: at concert pitch instead of as read.
    """
    names = part_names(parts)
    shorts = _apart([short_name(part.chairs) for part in parts])
    found: list[Staff] = []
    for part, name, short in zip(parts, names, shorts, strict=True):
        instrument = part.player.instrument
        exercises = part.heard if concert else part.exercises
        found.append(Staff(name, short, instrument.name, instrument.family, exercises))
        if any(one.left for one in exercises):
            lower = tuple(one.left or resting_left(one) for one in exercises)
            found.append(Staff("", "", instrument.name, instrument.family, lower))
    return tuple(found)


def part_names(parts: Sequence[ChairPart]) -> list[str]:
    """The chairs of each part in full, told apart where several parts are called the same."""
    seats = Counter(name for part in parts for name in {chair.name for chair in part.chairs})
    names = []
    for part in parts:
        name, level = _joined([chair.name for chair in part.chairs]), part.player.level
        # The second flutes of whom some are beginners have two parts.
        shared = level == "first notes" and any(seats[chair.name] > 1 for chair in part.chairs)
        names.append(f"{name}, {level}" if shared and not part.unpitched else name)
    return _apart(names)


def short_name(chairs: Sequence[Chair]) -> str:
    """What chairs of one instrument are called in short: ``Cl. 1, 2``, or their own names where those say more."""
    instrument = chairs[0].player.instrument
    names = list(dict.fromkeys(chair.name for chair in chairs))
    if len(names) == 1 and len(names[0]) <= _SHORT:
        return names[0]
    if not all(_ordinary(name, instrument) for name in names):
        return _joined(names)
    numbers = [m[1] for name in names if (m := _NUMBER.search(name))]
    return f"{instrument.short} {', '.join(numbers)}" if len(numbers) == len(names) else instrument.short


def _ordinary(name: str, instrument: Instrument) -> bool:
    """Whether a name holds nothing but the instrument and a number."""
    usual = f"{instrument.label} {instrument.name} {called(instrument)}".casefold()
    plain = _ORDINAL.sub(" ", name).casefold().replace("-", " ")
    return set(_WORD.findall(plain)) <= set(_WORD.findall(usual.replace("-", " ")))


def _joined(names: Sequence[str]) -> str:
    """``1st, 2nd Clarinet`` or ``Clarinet 1, 2`` for chairs that differ in one word; else each name."""
    names = list(dict.fromkeys(names))
    if len(names) > 1 and all(" " in name for name in names):
        firsts, rests = zip(*(name.split(" ", 1) for name in names), strict=True)
        if len(set(rests)) == 1:
            return f"{', '.join(firsts)} {rests[0]}"
        heads, lasts = zip(*(name.rsplit(" ", 1) for name in names), strict=True)
        if len(set(heads)) == 1:
            return f"{heads[0]} {', '.join(lasts)}"
    if len(names) > _MOST_NAMED:
        return f"{', '.join(names[: _MOST_NAMED - 1])} and {len(names) - _MOST_NAMED + 1} more"
    return ", ".join(names)


def _apart(names: Sequence[str]) -> list[str]:
    """Names told apart by a number where several staves would have the same."""
    counts, seen = Counter(names), Counter[str]()
    found: list[str] = []
    for name in names:
        seen[name] += 1
        found.append(f"{name} {seen[name]}" if counts[name] > 1 else name)
    return found
