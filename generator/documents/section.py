"""A section: who sits where, in score order."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from generator.catalogue.players import level_named
from generator.catalogue.tables import Table
from generator.errors import RequestError, UnknownNameError
from generator.exercise.build import Player
from generator.exercise.instrument import Instrument

_COPIES = re.compile(r"(?:([0-9]{1,2})(?: ?x)? )?(.+)")  # fits any text of one line
MOST_CHAIRS, MOST_TOLD = 300, 20


@dataclass(frozen=True, slots=True)
class Chair:
    """One chair.

    Attributes:
        name: what it is called: "2nd Clarinet".
        player: instrument, level and written compass.
        copies: how many printed copies it needs.
        person: who sits there, or "".
    """

    name: str
    player: Player
    copies: int = 1
    person: str = ""

    @property
    def unpitched(self) -> bool:
        """Whether it reads rhythm alone."""
        return self.player.instrument.unpitched


@dataclass(frozen=True, slots=True)
class Section:
    """Chairs in score order.

    Attributes:
        title: name of the band, class or section; "" for none.
        chairs: from the top of the score.
        note: a line for everyone.
    """

    title: str
    chairs: tuple[Chair, ...]
    note: str = ""


def in_score_order(chairs: Sequence[Chair]) -> tuple[Chair, ...]:
    """Chairs as in a score; those of one instrument stay in their own order."""
    return tuple(sorted(chairs, key=lambda c: c.player.instrument.order))


def at_levels(section: Section, levels: Sequence[str]) -> Section:
    """The same chairs once at each level, for pages of one difficulty each.

    Args:
        section: any section.
        levels: level names.

    Raises:
        RequestError: no such level.
    """
    names = [level_named(level) for level in levels]
    chairs = [
        replace(
            chair,
            name=f"{chair.name}, {name}",
            player=Player(chair.player.instrument, name, chair.player.instrument.level(name)),
        )
        for chair in section.chairs
        for name in names
    ]
    return replace(section, chairs=tuple(chairs))


def from_names(text: str, level: str, instruments: Table[Instrument]) -> Section:
    """A section from ``flute, alto saxophone, 2 clarinet, tuba``.

    Args:
        text: instrument names with commas; a number before a name asks for so many copies.
        level: level of all.
        instruments: pitched and unpitched.

    Raises:
        RequestError: an unknown name or level, or no name at all; all mistakes, one a line.
    """
    name = level_named(level)
    chairs: list[Chair] = []
    faults: list[str] = []
    words = [" ".join(w.split()) for w in text.split(",") if w.strip()]
    if len(words) > MOST_CHAIRS:
        raise RequestError(f"--instruments names {len(words)} chairs; at most {MOST_CHAIRS} are possible")
    for word in words:
        copies, name_ = _COPIES.match(word).groups()  # type: ignore[union-attr]
        try:
            found = instruments.find(name_)
        except UnknownNameError as error:
            faults.append(str(error))
            continue
        chairs.append(Chair(called(found), Player(found, name, found.level(name)), max(1, int(copies or 1))))
    if faults:
        more = [f"--instruments: {len(faults) - MOST_TOLD} more mistakes"] if faults[MOST_TOLD:] else []
        raise RequestError("\n".join([*faults[:MOST_TOLD], *more]))
    if not chairs:
        raise RequestError(
            "--instruments names none; write some with commas, like flute, alto saxophone, tuba"
        )
    return Section("", in_score_order(chairs))


def called(instrument: Instrument) -> str:
    """What a chair without a name of its own is called."""
    return instrument.label.split(" (")[0]
