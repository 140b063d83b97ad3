"""A section: who sits where, in score order."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from generator.catalogue.players import OWN_RANGE, level_named
from generator.catalogue.spelled import spelled
from generator.catalogue.tables import Table
from generator.documents.playing_tests import USUAL_TEST, PlayingTest
from generator.errors import RequestError, UnknownNameError, clipped, shown
from generator.exercise.build import Player
from generator.exercise.instrument import Compass, Instrument
from generator.pages.reader import USUAL_READER, ReaderNeeds

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
        reader: how that person needs pages printed.
        voice: which voice of a chorale it has, from 0, the highest; -1 where there is none.
    """

    name: str
    player: Player
    copies: int = 1
    person: str = ""
    reader: ReaderNeeds = USUAL_READER
    voice: int = -1

    @property
    def unpitched(self) -> bool:
        """Whether it reads rhythm alone."""
        return self.player.instrument.unpitched


@dataclass(frozen=True, slots=True)
class Doubt:
    """A cell of a roster that nobody can read for certain.

    Attributes:
        line: number of the line.
        person: who stands there, or "".
        field: instrument, level, low, high or copies.
        said: what the cell says.
        likely: names it may mean, likeliest first.
        reason: why it cannot be read, where that is not plain.
    """

    line: int
    person: str
    field: str
    said: str
    likely: tuple[str, ...] = ()
    reason: str = ""

    @property
    def words(self) -> str:
        """In one line."""
        who = f" ({clipped(self.person)})" if self.person else ""
        if not self.said:
            return f"line {self.line}{who}: there is no {self.field}"
        likely = f"; likely: {', '.join(self.likely)}" if self.likely else ""
        reason = self.reason or f"{shown(self.said)} is no {self.field} that is known here"
        return f"line {self.line}{who}: {self.field}: {reason}{likely}"


@dataclass(frozen=True, slots=True)
class Answer:
    """What somebody said about a doubtful cell.

    Attributes:
        field: as in the doubt.
        said: what the cell says.
        means: what it means; "-" leaves the line out.
    """

    field: str
    said: str
    means: str


@dataclass(frozen=True, slots=True)
class Section:
    """Chairs in score order.

    Attributes:
        title: name of the band, class or section; "" for none.
        chairs: from the top of the score.
        note: a line for everyone.
        doubts: cells of a roster that await an answer.
        remarks: how a roster was read, for the person.
        answers: those given so far.
        plan: path of the plan of what it rehearses, from its file's folder, or "".
        rehearsals: days of the week on which it meets, Monday being 0; empty where nobody says.
        test: its playing test.
    """

    title: str
    chairs: tuple[Chair, ...]
    note: str = ""
    doubts: tuple[Doubt, ...] = ()
    remarks: tuple[str, ...] = ()
    answers: tuple[Answer, ...] = ()
    plan: str = ""
    rehearsals: tuple[int, ...] = ()
    test: PlayingTest = USUAL_TEST


def in_score_order(chairs: Sequence[Chair]) -> tuple[Chair, ...]:
    """Chairs as in a score; those of one instrument stay in their own order."""
    return tuple(sorted(chairs, key=lambda c: c.player.instrument.order))


def at_levels(section: Section, levels: Sequence[str]) -> Section:
    """The same chairs once at each level, for pages of one difficulty each; limits of a chair's own hold at each.

    Args:
        section: any section.
        levels: level names.

    Raises:
        RequestError: no such level.
    """
    names = [level_named(level) for level in levels]
    chairs = [
        replace(chair, name=f"{chair.name}, {name}", player=_at_level(chair.player, name))
        for chair in section.chairs
        for name in names
    ]
    return replace(section, chairs=tuple(chairs))


def _at_level(player: Player, level: str) -> Player:
    """The player at a level; limits of their own hold there too, alone where the level has nothing between them."""
    usual, own = player.instrument.level(level), player.compass
    if player.level != OWN_RANGE:
        return Player(player.instrument, level, usual)
    low = max(usual.low, own.low, key=lambda pitch: pitch.height)
    high = min(usual.high, own.high, key=lambda pitch: pitch.height)
    if low.height > high.height:
        return player
    return Player(player.instrument, level, Compass(low, high, own.source, own.drums))


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
            parts = _named(name_, instruments)
        except UnknownNameError as error:
            faults.append(str(error))
            continue
        for said, found in parts:
            player = Player(found, name, found.level(name))
            chairs.append(Chair(said, player, max(1, int(copies or 1))))
    if faults:
        more = [f"--instruments: {len(faults) - MOST_TOLD} more mistakes"] if faults[MOST_TOLD:] else []
        raise RequestError("\n".join([*faults[:MOST_TOLD], *more]))
    if not chairs:
        raise RequestError(
            "--instruments names none; write some with commas, like flute, alto saxophone, tuba"
        )
    return Section("", in_score_order(chairs))


def _named(text: str, instruments: Table[Instrument]) -> list[tuple[str, Instrument]]:
    """The instruments of a name, each with what its chair is called: "Cl. 2" as it is written."""
    try:
        found = instruments.find(text)
    except UnknownNameError:
        parts = spelled(text).parts
        if not parts or any(part.guessed for part in parts):
            raise
        return [(p.said if p.chair else called(p.instrument), p.instrument) for p in parts]
    return [(called(found), found)]


def called(instrument: Instrument) -> str:
    """What a chair without a name of its own is called."""
    return instrument.label.split(" (")[0]
