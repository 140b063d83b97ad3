"""Who has which voice of a chorale: from the soprano down to the bass, each family complete where it can be.

Chairs of one instrument part: the first clarinets lie above the second. Where a family has fewer chairs than voices, a
chair of several copies is parted too, so that four clarinets sound four notes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Chair, Section
from generator.exercise.build import Player
from generator.pages.score import CHOIRS
from generator.phrase.read import parse_all
from generator.section.ensemble import Seat

MOST_VOICES, USUAL_VOICES = 6, 4
# From so many chairs on there are five voices, and six.
_FIVE, _SIX = 9, 14
# Where the highest and lowest voice lie at most (middle of a flute's scale; low brass), and how far apart at least.
_HIGHEST, _LOWEST, _APART = 72.0, 46.0, 17.0
_AWAY, _OUT_OF_REACH, _UNHEARD, _UNEVEN = 1 / 36, 30.0, 6.0, 3.0
_REACH = 4  # semitones round the middle of a voice that a chair should have
# They join in where they lie, and complete no family.
_BESIDE = ("mallet", "keyboard", "harp", "plucked")


@dataclass(frozen=True, slots=True)
class _Unit:
    """Some copies of a chair, which play one voice."""

    chair: int
    copies: int
    low: int
    high: int

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def has_chorale(phrases: Sequence[str]) -> bool:
    """Whether some phrase asks for several voices.

    Raises:
        RequestError: a phrase cannot be read.
    """
    # Most handouts hold none, and reading twice takes its time.
    if not any("chor" in p.casefold() or "tun" in p.casefold() or "balanc" in p.casefold() for p in phrases):
        return False
    return any(
        request.figure is not None and request.figure.kind == "chords"
        for phrase in phrases
        for request in parse_all(phrase, shared_catalogue())
    )


def parted(section: Section) -> Section:
    """The section with a voice for every pitched chair; chairs of several copies are parted where that is needed.

    Args:
        section: any section.
    """
    pitched = [n for n, chair in enumerate(section.chairs) if not chair.unpitched]
    families = _families(section, pitched)
    units = [unit for family in families for unit in family]
    voices = _voices(units, sum(section.chairs[u.chair].copies for u in units))
    while True:
        families = [_split(family, voices) for family in families]
        units = [unit for family in families for unit in family]
        middles = _middles(units, voices)
        found = [
            (unit, v)
            for family in families
            for unit, v in zip(family, _assigned(family, middles), strict=True)
        ]
        if voices <= 1 or len({v for _, v in found}) == voices or not units:
            break
        voices -= 1
    placed: dict[int, list[tuple[_Unit, int]]] = {}
    for unit, voice in found:
        placed.setdefault(unit.chair, []).append((unit, voice))
    chairs: list[Chair] = []
    for number, chair in enumerate(section.chairs):
        if number in placed:
            chairs += _voiced(chair, placed[number])
        elif number in pitched:
            unit = _unit(section, number)
            nearest = min(range(voices), key=lambda v: abs(unit.middle - middles[v])) if units else 0
            chairs.append(replace(chair, voice=nearest))
        else:
            chairs.append(chair)
    return replace(section, chairs=tuple(chairs))


def voices_of(seats: Sequence[Seat]) -> tuple[int, ...]:
    """A voice for each seat, where no chair is to be parted.

    Args:
        seats: who plays.
    """
    chairs = tuple(Chair(seat.name, seat.player) for seat in seats)
    return tuple(max(0, chair.voice) for chair in parted(Section("", chairs)).chairs)


def family_of(player: Player) -> int:
    """Which bracket of a score an instrument stands in."""
    family = player.instrument.family
    return next((n for n, families in enumerate(CHOIRS) if family in families), len(CHOIRS))


def _families(section: Section, pitched: Sequence[int]) -> list[list[_Unit]]:
    """Families of chairs that have voices of their own, each from the highest down."""
    own = [n for n in pitched if section.chairs[n].player.instrument.wind not in _BESIDE] or list(pitched)
    order = sorted(own, key=lambda n: family_of(section.chairs[n].player))
    return [
        sorted((_unit(section, n) for n in same), key=lambda u: (-u.middle, u.chair))
        for _, same in groupby(order, key=lambda n: family_of(section.chairs[n].player))
    ]


def _unit(section: Section, number: int) -> _Unit:
    chair = section.chairs[number]
    sounds, own = chair.player.instrument.sounds.semitones, chair.player.compass
    return _Unit(number, chair.copies, own.low.height + sounds, own.high.height + sounds)


def _voices(units: Sequence[_Unit], players: int) -> int:
    """How many voices: four in a small section, up to six in a band."""
    if len(units) >= _SIX:
        return MOST_VOICES
    return USUAL_VOICES + 1 if len(units) >= _FIVE else max(1, min(USUAL_VOICES, players))


def _split(family: Sequence[_Unit], voices: int) -> list[_Unit]:
    """A family with chairs of several copies parted, until it has as many as there are voices."""
    found = list(family)
    while len(found) < voices:
        widest = max(found, key=lambda unit: unit.copies)
        if widest.copies < 2:
            break
        place, half = found.index(widest), (widest.copies + 1) // 2
        found[place : place + 1] = [
            replace(widest, copies=half),
            replace(widest, copies=widest.copies - half),
        ]
    return found


def _middles(units: Sequence[_Unit], voices: int) -> list[float]:
    """Where each voice lies, from the highest down, in sounding half steps."""
    if not units:
        return [60.0] * voices
    high = min(max(u.middle for u in units), _HIGHEST)
    low = max(min(u.middle for u in units), _LOWEST)
    if high - low < _APART:
        # Few instruments, or all alike: as far apart as their notes allow.
        centre = (high + low) / 2
        high = min(centre + _APART / 2, max(u.high for u in units) - 3)
        low = max(high - _APART, min(u.low for u in units) + 3)
    return [high - (high - low) * v / max(1, voices - 1) for v in range(voices)]


def _assigned(family: Sequence[_Unit], middles: Sequence[float]) -> tuple[int, ...]:
    """A voice for each chair of a family, from the highest down, so that as many voices as can be are heard."""
    voices = len(middles)
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {(0, 0): (0.0, ())}
    for place, unit in enumerate(family):
        row: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {}
        for (last, heard), (total, path) in best.items():
            for voice in range(last, voices):
                share = (place + 0.5) / len(family) - (voice + 0.5) / voices
                cost = total + _off(unit, voice, middles) + _UNEVEN * share * share
                state = (voice, heard | 1 << voice)
                if state not in row or cost < row[state][0]:
                    row[state] = (cost, (*path, voice))
        best = row
    return min(
        ((cost + _UNHEARD * (voices - heard.bit_count()), path) for (_, heard), (cost, path) in best.items()),
    )[1]


def _off(unit: _Unit, voice: int, middles: Sequence[float]) -> float:
    off = unit.middle - middles[voice]
    # The highest and the lowest voice may be doubled an octave further out.
    doubles = (voice == 0 and off > 0) or (voice == len(middles) - 1 and off < 0)
    reached = unit.low <= middles[voice] - _REACH and middles[voice] + _REACH <= unit.high
    return 0.0 if doubles else off * off * _AWAY + (0 if reached else _OUT_OF_REACH)


def _voiced(chair: Chair, placed: Sequence[tuple[_Unit, int]]) -> list[Chair]:
    """A chair with its voice, or one for each voice that it is parted into."""
    voices = dict.fromkeys(v for _, v in placed)
    if len(voices) == 1:
        return [replace(chair, voice=placed[0][1])]
    copies = {v: sum(u.copies for u, own in placed if own == v) for v in voices}
    return [
        replace(chair, name=f"{chair.name} {n}", copies=copies[v], voice=v)
        for n, v in enumerate(sorted(voices), 1)
    ]
